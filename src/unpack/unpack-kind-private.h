/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a file is by its first bytes. */
#pragma once

#include <glib.h>

typedef enum {
  TIDE_KIND_PLAIN,
  TIDE_KIND_GZIP,
  TIDE_KIND_ZIP,
  TIDE_KIND_WORKBOOK, /* a ZIP until it is looked into */
  TIDE_KIND_REFUSED,
} TideKind;

/* PLAIN: it bears no mark. what: the kind in a person's words, to be translated where it is said; NULL if PLAIN. */
TideKind tide_kind_find (const guint8 *bytes, gsize length, const char **what);
