/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text for a terminal: aligned tables, and lines that stay one line.
 *
 * Names and complaints come out of files and must not steer a terminal: control characters
 * and bytes that are no UTF-8 are shown as U+FFFD. Columns are as wide as their widest cell in
 * terminal cells (wide and combining characters counted as such), but no wider than
 * TIDE_TEXT_TABLE_CELL; longer text is cut with an ellipsis, as --json has it whole.
 */
#pragma once

#include <glib.h>

#define TIDE_TEXT_TABLE_CELL 64

typedef struct _TideTextTable TideTextTable;

/* One letter a column: 'l' left, 'r' right. */
TideTextTable *tide_text_table_new     (const char *columns);
void           tide_text_table_free    (TideTextTable *self);
/* The next cell; rows fill from the left. */
void           tide_text_table_add     (TideTextTable *self, const char *text);
void           tide_text_table_take    (TideTextTable *self, char *text);
/* Lines, each ended; where width is not 0, columns of words are cut to make them fit it. Transfer full. */
char          *tide_text_table_to_text (TideTextTable *self, guint width);
/* The same to stdout, fitting the terminal where that is one. */
void           tide_text_table_print   (TideTextTable *self);

/* Terminal cells that text takes. */
guint tide_text_width    (const char *text);
/* Valid UTF-8 without control characters and no-break spaces. Transfer full. */
char *tide_text_one_line (const char *text);
/* One such line to stdout. */
void  tide_text_print    (const char *format, ...) G_GNUC_PRINTF (1, 2);
/* "36.61 ± 0.12", or the value alone while its uncertainty is unknown. Transfer full. */
char *tide_text_figure   (double value, double uncertainty, int decimals);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideTextTable, tide_text_table_free)
