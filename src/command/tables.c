/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Aligned text, counted in terminal cells instead of bytes. Memory: the whole table, as a row
 * cannot be written before the last row's width is known.
 */
#include "command/tables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "recording/quantity.h"

/* What stands between two columns. */
#define COLUMN_GAP "  "

struct _TideTextTable
{
  char *columns; /* one letter each */
  guint n_columns;
  GPtrArray *cells; /* char *, row by row */
};

/* Helpers */

static guint
get_char_width (gunichar c)
{
  if (g_unichar_iszerowidth (c))
    return 0;
  return g_unichar_iswide (c) ? 2 : 1;
}

/* text cut so that it and an ellipsis fit a cell; text itself when it does. Takes text. */
static char *
clip (char *text)
{
  if (tide_text_width (text) <= TIDE_TEXT_TABLE_CELL)
    return text;

  guint width = 0;
  const char *end = text;
  while (width + get_char_width (g_utf8_get_char (end)) < TIDE_TEXT_TABLE_CELL)
    {
      width += get_char_width (g_utf8_get_char (end));
      end = g_utf8_next_char (end);
    }
  g_autofree char *kept = g_strndup (text, (gsize)(end - text));
  g_free (text);
  return g_strconcat (kept, "…", NULL);
}

static guint
get_column_width (TideTextTable *self, guint column)
{
  guint widest = 0;
  for (guint i = column; i < self->cells->len; i += self->n_columns)
    widest = MAX (widest, tide_text_width (g_ptr_array_index (self->cells, i)));
  return widest;
}

static void
append_spaces (GString *line, guint n)
{
  for (guint i = 0; i < n; i++)
    g_string_append_c (line, ' ');
}

static void
append_cell (GString *line, const char *cell, guint width, char side)
{
  guint room = width - tide_text_width (cell);
  if (side == 'r')
    append_spaces (line, room);
  g_string_append (line, cell);
  if (side == 'l')
    append_spaces (line, room);
}

static void
trim_end (GString *text)
{
  while (text->len > 0 && text->str[text->len - 1] == ' ')
    g_string_truncate (text, text->len - 1);
}

/* What stands for c in a line of a terminal. */
static gunichar
tame (gunichar c)
{
  /* A no-break space keeps a number and its unit together on a page; here it only hides them from
   * a search. */
  if (c == '\t' || c == 0xA0)
    return ' ';
  /* Line and paragraph separators are no control characters, and yet end a line. */
  return g_unichar_iscntrl (c) || c == 0x2028 || c == 0x2029 ? 0xFFFD : c;
}

/* Public */

TideTextTable *
tide_text_table_new (const char *columns)
{
  g_return_val_if_fail (columns != NULL && *columns != '\0', NULL);

  TideTextTable *self = g_new0 (TideTextTable, 1);
  self->columns = g_strdup (columns);
  self->n_columns = (guint)strlen (columns);
  self->cells = g_ptr_array_new_with_free_func (g_free);
  return self;
}

void
tide_text_table_free (TideTextTable *self)
{
  if (self == NULL)
    return;
  g_ptr_array_unref (self->cells);
  g_free (self->columns);
  g_free (self);
}

void
tide_text_table_add (TideTextTable *self, const char *text)
{
  g_ptr_array_add (self->cells, clip (tide_text_one_line (text)));
}

void
tide_text_table_take (TideTextTable *self, char *text)
{
  tide_text_table_add (self, text);
  g_free (text);
}

char *
tide_text_table_to_text (TideTextTable *self)
{
  g_return_val_if_fail (self->cells->len % self->n_columns == 0, NULL);

  g_autofree guint *widths = g_new (guint, self->n_columns);
  for (guint c = 0; c < self->n_columns; c++)
    widths[c] = get_column_width (self, c);

  GString *text = g_string_new (NULL);
  for (guint i = 0; i < self->cells->len; i++)
    {
      guint c = i % self->n_columns;
      if (c > 0)
        g_string_append (text, COLUMN_GAP);
      append_cell (text, g_ptr_array_index (self->cells, i), widths[c], self->columns[c]);
      if (c + 1 < self->n_columns)
        continue;
      trim_end (text);
      g_string_append_c (text, '\n');
    }
  return g_string_free (text, FALSE);
}

guint
tide_text_width (const char *text)
{
  guint width = 0;
  for (const char *c = text; *c != '\0'; c = g_utf8_next_char (c))
    width += get_char_width (g_utf8_get_char (c));
  return width;
}

char *
tide_text_one_line (const char *text)
{
  g_autofree char *valid = g_utf8_make_valid (text, -1);
  GString *line = g_string_new (NULL);
  for (const char *c = valid; *c != '\0'; c = g_utf8_next_char (c))
    g_string_append_unichar (line, tame (g_utf8_get_char (c)));
  return g_string_free (line, FALSE);
}

char *
tide_text_figure (double value, double uncertainty, int decimals)
{
  g_autofree char *number = tide_text_number (value, decimals);
  if (!isfinite (value) || !isfinite (uncertainty))
    return g_steal_pointer (&number);
  g_autofree char *around = tide_text_number (uncertainty, decimals);
  return g_strdup_printf ("%s ± %s", number, around);
}

void
tide_text_print (const char *format, ...)
{
  va_list args;
  va_start (args, format);
  g_autofree char *text = g_strdup_vprintf (format, args);
  va_end (args);
  g_autofree char *line = tide_text_one_line (text);
  printf ("%s\n", line);
}
