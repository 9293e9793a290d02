/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: what tests need of an assembler. */
#pragma once

#include "recording/assembler.h"

/* In place of TIDE_CHUNK_ROWS, before the first push; at least 2. */
void tide_assembler_set_chunk_rows (TideAssembler *assembler, guint chunk_rows);
