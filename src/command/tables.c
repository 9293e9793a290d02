/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Aligned text, counted in terminal cells instead of bytes. Memory: the whole table, as a row
 * cannot be written before the last row's width is known.
 */
#include "command/tables.h"

#include <math.h>
#include <stdio.h>
#include <string.h>
#include <sys/ioctl.h>
#include <unistd.h>

#include "recording/quantity.h"

/* What stands between two columns. */
#define COLUMN_GAP "  "
/* No column of words is made narrower than this to fit a terminal. */
#define NARROWEST 8

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

/* text, or as much of it as fits width with an ellipsis behind it. Transfer full. */
static char *
clip (const char *text, guint width)
{
  if (tide_text_width (text) <= width)
    return g_strdup (text);

  guint used = 0;
  const char *end = text;
  while (used + get_char_width (g_utf8_get_char (end)) < width)
    {
      used += get_char_width (g_utf8_get_char (end));
      end = g_utf8_next_char (end);
    }
  g_autofree char *kept = g_strndup (text, (gsize)(end - text));
  return g_strconcat (kept, "…", NULL);
}

static guint
get_column_width (TideTextTable *self, guint column)
{
  guint widest = 0;
  for (guint i = column; i < self->cells->len; i += self->n_columns)
    widest = MAX (widest, tide_text_width (g_ptr_array_index (self->cells, i)));
  return MIN (widest, TIDE_TEXT_TABLE_CELL);
}

static guint
get_table_width (TideTextTable *self, const guint *widths)
{
  guint total = (guint)strlen (COLUMN_GAP) * (self->n_columns - 1);
  for (guint c = 0; c < self->n_columns; c++)
    total += widths[c];
  return total;
}

/* The widest column of words; numbers are never cut. */
static guint
find_widest (TideTextTable *self, const guint *widths)
{
  guint widest = self->n_columns;
  for (guint c = 0; c < self->n_columns; c++)
    if (self->columns[c] == 'l' && (widest == self->n_columns || widths[c] > widths[widest]))
      widest = c;
  return widest;
}

/* Takes from the widest until the table fits, or nothing is left to take. */
static void
fit_columns (TideTextTable *self, guint *widths, guint width)
{
  guint c = find_widest (self, widths);
  while (c < self->n_columns && widths[c] > NARROWEST && get_table_width (self, widths) > width)
    {
      widths[c]--;
      c = find_widest (self, widths);
    }
}

/* Cells across the terminal that stdout is; 0: it is none. */
static guint
get_terminal_width (void)
{
  struct winsize size = { 0 };
  if (!isatty (STDOUT_FILENO) || ioctl (STDOUT_FILENO, TIOCGWINSZ, &size) != 0)
    return 0;
  return size.ws_col;
}

static void
append_spaces (GString *line, guint n)
{
  for (guint i = 0; i < n; i++)
    g_string_append_c (line, ' ');
}

static void
append_cell (GString *line, const char *text, guint width, char side)
{
  g_autofree char *cell = clip (text, width);
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
  g_ptr_array_add (self->cells, tide_text_one_line (text));
}

void
tide_text_table_take (TideTextTable *self, char *text)
{
  tide_text_table_add (self, text);
  g_free (text);
}

char *
tide_text_table_to_text (TideTextTable *self, guint width)
{
  g_return_val_if_fail (self->cells->len % self->n_columns == 0, NULL);

  g_autofree guint *widths = g_new (guint, self->n_columns);
  for (guint c = 0; c < self->n_columns; c++)
    widths[c] = get_column_width (self, c);
  if (width > 0)
    fit_columns (self, widths, width);

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

void
tide_text_table_print (TideTextTable *self)
{
  g_autofree char *text = tide_text_table_to_text (self, get_terminal_width ());
  fputs (text, stdout);
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
