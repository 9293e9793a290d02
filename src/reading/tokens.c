/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Text becomes records of fields. Plain lines are split in plain.c, libcsv does all others (quotes,
 * doubled quotes, lone CR); this file hands the text to the one or the other, numbers the records
 * as a spreadsheet does and holds libcsv inside bounds.
 *
 * Where blanks divide the columns (delimiter ' '), lines are taken whole and split here: runs of
 * blanks and tabs are one border, a field in double quotes may hold some, and no field is empty.
 * With TIDE_WIDE_BLANKS one blank alone is none.
 *
 * Text may come in pieces of any size. A record's fields are reported as they end, then the
 * record. Refuses fields, records and column counts beyond the bounds, and a quote that swallows
 * the rest of the file. Memory: one field, at most TIDE_MAX_FIELD_BYTES and a piece.
 */
#include "reading/tokens-private.h"

#include <csv.h>
#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

/* libcsv is fed in pieces, so that a field cannot grow far beyond its bound before that is seen. */
#define PIECE_BYTES (16 * 1024)
/* libcsv's own 128 would grow a long field by very many steps. */
#define GROW_BYTES 4096

struct _TideTokens
{
  struct csv_parser parser;
  char delimiter;
  gboolean wrapped;
  TideFieldFunc field;
  TideRecordFunc record;
  gpointer user_data;
  guint64 row;       /* the number of the record being read */
  guint n_fields;    /* of it, so far */
  gsize n_bytes;     /* of it, so far */
  gboolean after_cr; /* a CR ended the last record; a LF right behind belongs to it */
  gboolean between;  /* all text so far is whole lines, and libcsv holds nothing */
  GString *held;     /* wrapped: the record's first field, until it is known to be the only one;
                        blanks: the line so far */
  GError *error;     /* the first bound that was hit */
};

static void
fail_field (TideTokens *tokens)
{
  g_set_error (&tokens->error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
               _ ("row %" PRIu64
                  " has a field of more than %d bytes; look for a quote mark that never closes"),
               tokens->row, TIDE_MAX_FIELD_BYTES);
}

/* The bounds, at the end of a field. */
static gboolean
check_bounds (TideTokens *tokens, gsize length)
{
  if (length > TIDE_MAX_FIELD_BYTES)
    fail_field (tokens);
  else if (tokens->n_bytes > TIDE_MAX_RECORD_BYTES)
    g_set_error (&tokens->error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("row %" PRIu64 " is longer than %d bytes"), tokens->row, TIDE_MAX_RECORD_BYTES);
  else if (tokens->n_fields >= TIDE_MAX_COLUMNS)
    g_set_error (&tokens->error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("row %" PRIu64 " has more than %d columns"), tokens->row, TIDE_MAX_COLUMNS);
  return tokens->error == NULL;
}

static void
emit_field (TideTokens *tokens, const char *text, gsize length)
{
  tokens->field (tokens->n_fields, text, length, tokens->user_data);
}

static void
take_inner_field_cb (void *text, size_t length, void *user_data)
{
  TideTokens *tokens = user_data;
  if (tokens->n_fields < TIDE_MAX_COLUMNS)
    emit_field (tokens, text, length);
  tokens->n_fields++;
}

/* A record that was quoted as a whole: its only field is tokenised again. */
static void
unwrap_held (TideTokens *tokens)
{
  struct csv_parser inner;
  csv_init (&inner, 0);
  csv_set_delim (&inner, (unsigned char)tokens->delimiter);
  csv_set_blk_size (&inner, GROW_BYTES);
  tokens->n_fields = 0;
  csv_parse (&inner, tokens->held->str, tokens->held->len, take_inner_field_cb, NULL, tokens);
  csv_fini (&inner, take_inner_field_cb, NULL, tokens);
  csv_free (&inner);
}

/* A byte-order mark inside a file that was put together of several; what old systems end a file or
 * a page with. */
static void
strip_control (const char **text, gsize *length)
{
  if (*length >= 3 && memcmp (*text, "\xef\xbb\xbf", 3) == 0)
    {
      *text += 3;
      *length -= 3;
    }
  gsize n = 0;
  while (n < *length && ((*text)[n] == '\x1a' || (*text)[n] == '\f'))
    n++;
  if (n == *length)
    *length = 0;
}

/* ="5.0": how a spreadsheet is told that it shall take a field as it is. */
static void
strip_formula (const char **text, gsize *length)
{
  if (*length < 3 || (*text)[0] != '=' || (*text)[1] != '"' || (*text)[*length - 1] != '"'
      || memchr (*text + 2, '"', *length - 3))
    return;
  *text += 2;
  *length -= 3;
}

static void
take_field_cb (void *field, size_t field_length, void *user_data)
{
  TideTokens *tokens = user_data;
  const char *text = field;
  gsize length = field_length;
  if (tokens->error)
    return;
  tokens->after_cr = FALSE;
  if (tokens->n_fields == 0)
    strip_control (&text, &length);
  strip_formula (&text, &length);
  tokens->n_bytes += length + 1;
  if (!check_bounds (tokens, length))
    return;

  if (tokens->wrapped && tokens->n_fields == 0)
    {
      g_string_truncate (tokens->held, 0);
      g_string_append_len (tokens->held, text, (gssize)length);
    }
  else
    {
      if (tokens->wrapped && tokens->n_fields == 1)
        tokens->field (0, tokens->held->str, tokens->held->len, tokens->user_data);
      emit_field (tokens, text, length);
    }
  tokens->n_fields++;
}

static void
take_record_cb (int terminator, void *user_data)
{
  TideTokens *tokens = user_data;
  if (tokens->error)
    return;
  gboolean is_blank = tokens->n_fields == 0;
  gboolean is_second_half = is_blank && tokens->after_cr && terminator == '\n';
  tokens->after_cr = terminator == '\r';
  if (is_second_half)
    return;
  if (!is_blank)
    {
      if (tokens->wrapped && tokens->n_fields == 1)
        unwrap_held (tokens);
      tokens->record (tokens->row, MIN (tokens->n_fields, TIDE_MAX_COLUMNS), terminator != -1,
                      tokens->user_data);
    }
  tokens->row++;
  tokens->n_fields = 0;
  tokens->n_bytes = 0;
}

TideTokens *
tide_tokens_new (char delimiter,
                 gboolean wrapped,
                 guint64 first_row,
                 TideFieldFunc field,
                 TideRecordFunc record,
                 gpointer user_data)
{
  TideTokens *tokens = g_new0 (TideTokens, 1);
  csv_init (&tokens->parser, CSV_REPALL_NL);
  csv_set_delim (&tokens->parser, (unsigned char)delimiter);
  csv_set_blk_size (&tokens->parser, GROW_BYTES);
  tokens->delimiter = delimiter;
  tokens->wrapped = wrapped && !tide_delimiter_is_blanks (delimiter);
  tokens->row = first_row;
  tokens->between = TRUE;
  tokens->field = field;
  tokens->record = record;
  tokens->user_data = user_data;
  tokens->held = g_string_new (NULL);
  return tokens;
}

void
tide_tokens_free (TideTokens *tokens)
{
  csv_free (&tokens->parser);
  g_string_free (tokens->held, TRUE);
  g_clear_error (&tokens->error);
  g_free (tokens);
}

static gboolean
pass_error (TideTokens *tokens, GError **error)
{
  if (!tokens->error)
    return TRUE;
  g_propagate_error (error, g_error_copy (tokens->error));
  return FALSE;
}

/* Feeds libcsv to the line's end, or as far as a piece goes. Gives the number of bytes taken. */
static gsize
parse_line (TideTokens *tokens, const char *text, gsize length)
{
  const char *line_end = memchr (text, '\n', MIN (length, PIECE_BYTES));
  gsize piece = line_end ? (gsize)(line_end - text) + 1 : MIN (length, PIECE_BYTES);
  if (csv_parse (&tokens->parser, text, piece, take_field_cb, take_record_cb, tokens) != piece)
    g_error ("%s", csv_strerror (csv_error (&tokens->parser))); /* out of memory: as GLib does */
  if (!tokens->error && tokens->parser.entry_pos > TIDE_MAX_FIELD_BYTES)
    fail_field (tokens);
  /* a line end inside quotes is text that libcsv holds */
  tokens->between = line_end && tokens->n_fields == 0 && tokens->parser.entry_pos == 0;
  return piece;
}

/* ---- Columns lined up with blanks ---- */

static gboolean
is_blank (char c)
{
  return c == ' ' || c == '\t';
}

/* A field ends at p. */
static gboolean
is_border (char delimiter, const char *p, const char *end)
{
  return is_blank (*p) && (delimiter == ' ' || *p == '\t' || p + 1 == end || is_blank (p[1]));
}

static void
split_at_blanks (TideTokens *tokens, const char *line, gsize length, int terminator)
{
  const char *p = line, *end = line + length;
  for (;;)
    {
      while (p < end && is_blank (*p))
        p++;
      if (p == end)
        break;
      const char *close =
          *p == '"' && end - p > 1 ? memchr (p + 1, '"', (gsize)(end - p - 1)) : NULL;
      const char *start = close ? p + 1 : p, *stop = close;
      for (p = close ? close + 1 : p; p < end && !is_border (tokens->delimiter, p, end); p++)
        ;
      if (!stop)
        stop = p;
      take_field_cb ((void *)start, (gsize)(stop - start), tokens);
    }
  take_record_cb (terminator, tokens);
}

/* Takes one line, or what there is of it. */
static gsize
feed_blank_line (TideTokens *tokens, const char *text, gsize length)
{
  gsize n = 0;
  while (n < length && text[n] != '\n' && text[n] != '\r')
    n++;
  if (tokens->held->len + n > TIDE_MAX_RECORD_BYTES)
    {
      tokens->n_bytes = tokens->held->len + n;
      check_bounds (tokens, 0);
      return n;
    }
  if (n == length || tokens->held->len > 0)
    g_string_append_len (tokens->held, text, (gssize)n);
  if (n == length)
    return n;
  if (tokens->held->len > 0)
    split_at_blanks (tokens, tokens->held->str, tokens->held->len, text[n]);
  else
    split_at_blanks (tokens, text, n, text[n]);
  g_string_truncate (tokens->held, 0);
  return n + 1;
}

/* ---- Text ---- */

gboolean
tide_tokens_feed (TideTokens *tokens, const char *text, gsize length, GError **error)
{
  static const TidePlainFuncs report = { take_field_cb, take_record_cb };
  for (gsize done = 0; done < length && !tokens->error;)
    {
      if (tide_delimiter_is_blanks (tokens->delimiter))
        {
          done += feed_blank_line (tokens, text + done, length - done);
          continue;
        }
      if (tokens->between)
        done += tide_plain_split (text + done, length - done, tokens->delimiter, &report, tokens);
      if (done < length)
        done += parse_line (tokens, text + done, length - done);
    }
  return pass_error (tokens, error);
}

/* A quote that is still open at the end is harmless where a file was cut inside a row; where line
 * ends follow it, rows are lost. */
gboolean
tide_tokens_finish (TideTokens *tokens, GError **error)
{
  if (tide_delimiter_is_blanks (tokens->delimiter))
    {
      if (tokens->held->len > 0)
        split_at_blanks (tokens, tokens->held->str, tokens->held->len, -1);
      g_string_truncate (tokens->held, 0);
      return pass_error (tokens, error);
    }
  gboolean is_open = tokens->parser.quoted && tokens->parser.entry_pos > 0;
  gboolean has_line_end = is_open
                          && (memchr (tokens->parser.entry_buf, '\n', tokens->parser.entry_pos)
                              || memchr (tokens->parser.entry_buf, '\r', tokens->parser.entry_pos));
  csv_set_opts (&tokens->parser, CSV_STRICT | CSV_STRICT_FINI);
  if (csv_fini (&tokens->parser, take_field_cb, take_record_cb, tokens) == 0)
    return pass_error (tokens, error);
  if (has_line_end)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN,
                   _ ("row %" PRIu64
                      " opens a quote mark that never closes; all below it is inside"),
                   tokens->row);
      return FALSE;
    }
  csv_set_opts (&tokens->parser, 0);
  csv_fini (&tokens->parser, take_field_cb, take_record_cb, tokens);
  return pass_error (tokens, error);
}

gboolean
tide_tokens_is_between (const TideTokens *tokens, guint64 *row)
{
  *row = tokens->row;
  return tokens->between;
}

void
tide_tokens_pass (TideTokens *tokens, guint64 n_records)
{
  tokens->row += n_records;
  tokens->after_cr = FALSE;
}

/* ---- Records kept as text ---- */

static void
keep_field_cb (guint column, const char *text, gsize length, gpointer user_data)
{
  TideTable *table = user_data;
  guint32 start = (guint32)table->text->len;
  g_array_append_val (table->starts, start);
  g_string_append_len (table->text, text, (gssize)length);
  g_string_append_c (table->text, '\0');
}

static void
keep_record_cb (guint64 row, guint n_fields, gboolean terminated, gpointer user_data)
{
  TideTable *table = user_data;
  TideTableRow kept = { row, table->starts->len - n_fields, n_fields };
  g_array_append_val (table->rows, kept);
}

TideTable *
tide_table_new (const char *text,
                gsize length,
                char delimiter,
                gboolean wrapped,
                guint64 first_row,
                gboolean at_end,
                GError **error)
{
  g_autoptr (TideTable) table = g_new0 (TideTable, 1);
  table->text = g_string_sized_new (length + length / 4);
  table->starts = g_array_new (FALSE, FALSE, sizeof (guint32));
  table->rows = g_array_new (FALSE, FALSE, sizeof (TideTableRow));
  table->is_whole = at_end;
  g_autoptr (TideTokens) tokens =
      tide_tokens_new (delimiter, wrapped, first_row, keep_field_cb, keep_record_cb, table);
  if (!tide_tokens_feed (tokens, text, length, error))
    return NULL;
  if (at_end && !tide_tokens_finish (tokens, error))
    return NULL;
  return g_steal_pointer (&table);
}

void
tide_table_free (TideTable *table)
{
  g_string_free (table->text, TRUE);
  g_array_unref (table->starts);
  g_array_unref (table->rows);
  g_free (table);
}

const char *
tide_table_field (const TideTable *table, guint row, guint column)
{
  const TideTableRow *kept = &g_array_index (table->rows, TideTableRow, row);
  if (column >= kept->n_fields)
    return "";
  return table->text->str + g_array_index (table->starts, guint32, kept->first + column);
}

guint
tide_table_n_fields (const TideTable *table, guint row)
{
  return g_array_index (table->rows, TideTableRow, row).n_fields;
}
