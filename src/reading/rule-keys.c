/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The keys of a reading rule: each has one line of a table with its way in, from a text that a
 * person wrote, and its way out, to the shortest text that means the same.
 */
#include "reading/rule-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

/* Rows from step to step further apart than a day are no log of a charge. */
#define LONGEST_INTERVAL_S  86400
#define SHORTEST_INTERVAL_S 1e-6
/* Names stand in the head of a file, whose rows are fewer. */
#define MAX_HEADER_ROW     TIDE_HEAD_BYTES
#define MAX_TABLES         10000
#define MAX_ENCODING_BYTES 40

G_GNUC_PRINTF (3, 4)
static gboolean
refuse (GError **error, const char *key, const char *format, ...)
{
  va_list arguments;
  va_start (arguments, format);
  g_autofree char *why = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE, "%s: %s", key, why);
  return FALSE;
}

static void
replace (char **field, const char *text)
{
  char *copy = g_strdup (text);
  g_free (*field);
  *field = copy;
}

void
tide_reading_rule_state_column (TideReadingRule *rule, TideColumnStatement *statement)
{
  for (guint i = rule->columns->len; i > 0; i--)
    if (tide_column_statement_clash (g_ptr_array_index (rule->columns, i - 1), statement))
      g_ptr_array_remove_index (rule->columns, i - 1);
  g_ptr_array_add (rule->columns, statement);
}

static gboolean
set_column (TideReadingRule *rule, const char *text, GError **error)
{
  if (!text)
    {
      g_ptr_array_set_size (rule->columns, 0);
      return TRUE;
    }
  TideColumnStatement *statement = tide_column_statement_parse (text, error);
  if (!statement)
    return FALSE;
  tide_reading_rule_state_column (rule, statement);
  return TRUE;
}

static gboolean
has_control (const char *text)
{
  for (const char *p = text; *p; p++)
    if (g_ascii_iscntrl (*p))
      return TRUE;
  return FALSE;
}

static gboolean
set_time (TideReadingRule *rule, const char *text, GError **error)
{
  gboolean is_serial = g_strcmp0 (text, "serial") == 0;
  if (text && !is_serial)
    {
      if (*text == '\0' || has_control (text) || strlen (text) > TIDE_RULE_MAX_NAME_BYTES)
        return refuse (
            error, "time",
            _ ("\"serial\", or how a point in time is written, such as %%d.%%m.%%Y %%H:%%M:%%S"));
      g_autoptr (TidePattern) pattern = tide_pattern_new (text, error);
      if (!pattern)
        return FALSE;
    }
  rule->time_serial = is_serial;
  replace (&rule->time_pattern, is_serial ? NULL : text);
  return TRUE;
}

static char *
get_time (const TideReadingRule *rule)
{
  return g_strdup (rule->time_serial ? "serial" : rule->time_pattern);
}

static gboolean
set_every (TideReadingRule *rule, const char *text, GError **error)
{
  double seconds = 0;
  if (text
      && (!tide_number_parse (text, strlen (text), '.', 0, &seconds)
          || !(seconds >= SHORTEST_INTERVAL_S && seconds <= LONGEST_INTERVAL_S)))
    return refuse (error, "every",
                   _ ("the seconds from row to row, such as 1 or 0.5, at most a day"));
  rule->every_s = seconds;
  return TRUE;
}

static char *
get_every (const TideReadingRule *rule)
{
  char text[G_ASCII_DTOSTR_BUF_SIZE];
  if (rule->every_s == 0)
    return NULL;
  /* as short as it is the same */
  for (int digits = 1; digits <= 17; digits++)
    {
      char format[8];
      g_snprintf (format, sizeof format, "%%.%dg", digits);
      g_ascii_formatd (text, sizeof text, format, rule->every_s);
      if (g_ascii_strtod (text, NULL) == rule->every_s)
        break;
    }
  return g_strdup (text);
}

static gboolean
set_decimal (TideReadingRule *rule, const char *text, GError **error)
{
  if (text && g_strcmp0 (text, ".") != 0 && g_strcmp0 (text, ",") != 0)
    return refuse (error, "decimal", _ ("the decimal mark is \".\" or \",\""));
  rule->decimal_mark = text ? *text : '\0';
  return TRUE;
}

static char *
dup_mark (char mark)
{
  return mark ? g_strndup (&mark, 1) : NULL;
}

static char *
get_decimal (const TideReadingRule *rule)
{
  return dup_mark (rule->decimal_mark);
}

static gboolean
set_delimiter (TideReadingRule *rule, const char *text, GError **error)
{
  char mark = '\0';
  if (g_strcmp0 (text, "tab") == 0 || g_strcmp0 (text, "\t") == 0)
    mark = '\t';
  else if (g_strcmp0 (text, "space") == 0 || g_strcmp0 (text, " ") == 0)
    mark = ' ';
  else if (text && strlen (text) == 1 && g_ascii_ispunct (*text) && !strchr ("\"'.+-", *text))
    mark = *text;
  else if (text)
    return refuse (error, "delimiter",
                   _ ("the mark between columns is one such as , ; | or the word tab or space"));
  rule->delimiter = mark;
  return TRUE;
}

static char *
get_delimiter (const TideReadingRule *rule)
{
  return rule->delimiter == '\t'  ? g_strdup ("tab")
         : rule->delimiter == ' ' ? g_strdup ("space")
                                  : dup_mark (rule->delimiter);
}

static gboolean
is_encoding (const char *text)
{
  if (*text == '\0' || strlen (text) > MAX_ENCODING_BYTES
      || text[strspn (text, G_CSET_A_2_Z G_CSET_a_2_z G_CSET_DIGITS "-_.:+()")] != '\0')
    return FALSE;
  g_autoptr (GCharsetConverter) converter = g_charset_converter_new ("UTF-8", text, NULL);
  return converter != NULL;
}

static gboolean
set_encoding (TideReadingRule *rule, const char *text, GError **error)
{
  if (text && !is_encoding (text))
    return refuse (
        error, "encoding",
        _ ("no encoding of that name is known here; such as UTF-8, WINDOWS-1252, UTF-16LE"));
  replace (&rule->encoding, text);
  return TRUE;
}

static char *
get_encoding (const TideReadingRule *rule)
{
  return g_strdup (rule->encoding);
}

static gboolean
set_header (TideReadingRule *rule, const char *text, GError **error)
{
  guint64 row = 0;
  if (text && !g_ascii_string_to_unsigned (text, 10, 0, MAX_HEADER_ROW, &row, NULL))
    return refuse (
        error, "header",
        _ ("the number of the row that names the columns, from 1, or 0 where none does"));
  rule->header_row = text ? (int)row : -1;
  return TRUE;
}

static char *
get_header (const TideReadingRule *rule)
{
  return rule->header_row < 0 ? NULL : g_strdup_printf ("%d", rule->header_row);
}

static gboolean
set_sheet (TideReadingRule *rule, const char *text, GError **error)
{
  if (text && (*text == '\0' || has_control (text) || strlen (text) > TIDE_RULE_MAX_NAME_BYTES))
    return refuse (error, "sheet", _ ("the number of a sheet from 1, or its name"));
  replace (&rule->sheet, text);
  return TRUE;
}

static char *
get_sheet (const TideReadingRule *rule)
{
  return g_strdup (rule->sheet);
}

static gboolean
set_table (TideReadingRule *rule, const char *text, GError **error)
{
  guint64 table = 0;
  if (text && !g_ascii_string_to_unsigned (text, 10, 1, MAX_TABLES, &table, NULL))
    return refuse (error, "table", _ ("the number of a table in the file, from 1"));
  rule->table = (guint)table;
  return TRUE;
}

static char *
get_table (const TideReadingRule *rule)
{
  return rule->table == 0 ? NULL : g_strdup_printf ("%u", rule->table);
}

static gboolean
set_broken (TideReadingRule *rule, const char *text, GError **error)
{
  if (text && g_strcmp0 (text, "accept") != 0)
    return refuse (error, "broken",
                   _ ("\"accept\", where more than a fifth of the rows may be broken"));
  rule->accept_broken = text != NULL;
  return TRUE;
}

static char *
get_broken (const TideReadingRule *rule)
{
  return rule->accept_broken ? g_strdup ("accept") : NULL;
}

static const char *const key_names[] = { "column",    "time",     "every",  "decimal",
                                         "delimiter", "encoding", "header", "sheet",
                                         "table",     "broken",   NULL };

static const TideRuleKey keys[] = {
  { set_column, NULL },         { set_time, get_time },           { set_every, get_every },
  { set_decimal, get_decimal }, { set_delimiter, get_delimiter }, { set_encoding, get_encoding },
  { set_header, get_header },   { set_sheet, get_sheet },         { set_table, get_table },
  { set_broken, get_broken },
};
G_STATIC_ASSERT (G_N_ELEMENTS (keys) + 1 == G_N_ELEMENTS (key_names));

const char *const *
tide_reading_rule_get_keys (void)
{
  return key_names;
}

const TideRuleKey *
tide_rule_key_find (const char *name)
{
  for (guint i = 0; i < G_N_ELEMENTS (keys); i++)
    if (g_strcmp0 (key_names[i], name) == 0)
      return &keys[i];
  return NULL;
}
