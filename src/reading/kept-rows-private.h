/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The rows of one run, kept as long as their file grows, so that recordings can be made of them again and again. */
#pragma once

#include "reading/runs-private.h"
#include "recording/sink.h"

void     tide_kept_rows_clear    (TideRawRows *kept);
/* A TideRowsFunc; user_data is the kept rows. */
gboolean tide_kept_rows_take_cb  (TideRawRows *more, gpointer user_data, GError **error);
/* As reading the file does it, from a copy of the rows; rows is what they came through. complaints of the text as a whole
 * are the first recording's, and gain those of the rows. */
gboolean tide_kept_rows_assemble (const TideRawRows *kept, const TideUnderstanding *understanding, guint lane,
                                  TideRows *rows, GPtrArray *complaints, TideSink *sink,
                                  GError **error);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideRawRows, tide_kept_rows_clear)
