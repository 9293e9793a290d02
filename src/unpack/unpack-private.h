/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What all ways of unpacking are held to. */
#pragma once

#include "unpack/unpack.h"

/* FALSE and an error beyond TIDE_UNPACKED_FREE_BYTES and TIDE_MAX_UNPACKED_RATIO. */
gboolean tide_unpacked_is_bearable (guint64 packed_bytes, guint64 unpacked_bytes, GError **error);
