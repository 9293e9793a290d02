/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a rule says of one column, as text and back: `v=3:mV`, `a/2="Strom, B"`, `-=5`.
 *
 * A column is told by its number or by its name; a name that holds a colon or a quote mark, that
 * is all digits, or that begins or ends with a blank stands in quotes, quotes in it doubled.
 */
#include "reading/rule-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

static const char *const keys[TIDE_N_QUANTITIES] = {
  [TIDE_QUANTITY_TIME] = "t",           [TIDE_QUANTITY_VOLTAGE] = "v",
  [TIDE_QUANTITY_CURRENT] = "a",        [TIDE_QUANTITY_POWER] = "w",
  [TIDE_QUANTITY_ENERGY] = "wh",        [TIDE_QUANTITY_CHARGE] = "ah",
  [TIDE_QUANTITY_TEMPERATURE] = "temp", [TIDE_QUANTITY_DATA_PLUS] = "dp",
  [TIDE_QUANTITY_DATA_MINUS] = "dm",    [TIDE_QUANTITY_CC1] = "cc1",
  [TIDE_QUANTITY_CC2] = "cc2",
};

const char *
tide_column_key_of (TideQuantity quantity)
{
  g_return_val_if_fail (quantity < TIDE_N_QUANTITIES, "-");
  return keys[quantity];
}

TideColumnStatement *
tide_column_statement_copy (const TideColumnStatement *statement)
{
  TideColumnStatement *copy = g_memdup2 (statement, sizeof *statement);
  copy->name = g_strdup (statement->name);
  copy->unit_text = g_strdup (statement->unit_text);
  return copy;
}

void
tide_column_statement_free (TideColumnStatement *statement)
{
  g_free (statement->name);
  g_free (statement->unit_text);
  g_free (statement);
}

/* The error of a column's text. */
G_GNUC_PRINTF (3, 4)
static gboolean
refuse (GError **error, const char *text, const char *format, ...)
{
  va_list arguments;
  va_start (arguments, format);
  g_autofree char *why = g_strdup_vprintf (format, arguments);
  va_end (arguments);
  g_autofree char *line = g_strdelimit (g_strndup (text, TIDE_RULE_MAX_NAME_BYTES), "\r\n\t", ' ');
  g_autofree char *valid = g_utf8_make_valid (line, -1);
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE, _ ("column %s: %s"), valid, why);
  return FALSE;
}

/* ---- Left of the "=" ---- */

static gboolean
parse_lane (const char *slash, guint *lane)
{
  guint64 number;
  if (!slash)
    {
      *lane = 1;
      return TRUE;
    }
  if (!g_ascii_string_to_unsigned (slash + 1, 10, 1, TIDE_MAX_LANES, &number, NULL))
    return FALSE;
  *lane = (guint)number;
  return TRUE;
}

static gboolean
parse_key (TideColumnStatement *statement, const char *text, const char *equals, GError **error)
{
  g_autofree char *key = g_strstrip (g_strndup (text, (gsize)(equals - text)));
  if (g_strcmp0 (key, "-") == 0)
    return TRUE;
  char *slash = strchr (key, '/');
  if (!parse_lane (slash, &statement->lane))
    return refuse (error, text, _ ("behind the slash stands the number of a run, 1 to %d"),
                   TIDE_MAX_LANES);
  if (slash)
    *slash = '\0';
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    if (g_strcmp0 (keys[q], key) == 0)
      {
        statement->is_read = TRUE;
        statement->quantity = (TideQuantity)q;
        if (q == TIDE_QUANTITY_TIME && statement->lane > 1)
          return refuse (error, text, _ ("all runs of a table share one time; leave out the /%u"),
                         statement->lane);
        return TRUE;
      }
  return refuse (
      error, text,
      _ ("left of the equals sign stands t, v, a, w, wh, ah, temp, dp, dm, cc1, cc2 or - "
         "(not to be read)"));
}

/* ---- Right of it ---- */

/* Where the quoted name that begins at open ends, at its last quote mark; NULL: it does not. */
static const char *
find_closing_quote (const char *open)
{
  for (const char *p = open + 1; *p; p++)
    if (*p == '"')
      {
        if (p[1] != '"')
          return p;
        p++;
      }
  return NULL;
}

static char *
dup_unquoted (const char *open, const char *close)
{
  GString *name = g_string_new (NULL);
  for (const char *p = open + 1; p < close; p++)
    {
      g_string_append_c (name, *p);
      p += *p == '"';
    }
  return g_string_free (name, FALSE);
}

static gboolean
is_all_digits (const char *text)
{
  return *text != '\0' && text[strspn (text, "0123456789")] == '\0';
}

/* Takes name. */
static gboolean
take_name (TideColumnStatement *statement, char *name, const char *text, GError **error)
{
  statement->name = name;
  if (*name == '\0')
    return refuse (error, text,
                   _ ("right of the equals sign stands the column's number from 1, or its name"));
  if (strlen (name) > TIDE_RULE_MAX_NAME_BYTES)
    return refuse (error, text,
                   _ ("the name is longer than %d bytes; tell the column by its number"),
                   TIDE_RULE_MAX_NAME_BYTES);
  for (const char *p = name; *p; p++)
    if (g_ascii_iscntrl (*p) && !strchr ("\r\n\t", *p))
      return refuse (error, text, _ ("a name holds no control characters"));
  return TRUE;
}

static gboolean
take_number (TideColumnStatement *statement, const char *digits, const char *text, GError **error)
{
  guint64 number;
  if (!g_ascii_string_to_unsigned (digits, 10, 1, TIDE_MAX_COLUMNS, &number, NULL))
    return refuse (error, text, _ ("columns are numbered from 1 to %d"), TIDE_MAX_COLUMNS);
  statement->number = (guint)number;
  return TRUE;
}

/* Sets rest to what follows the column: "" or ":mV". */
static gboolean
parse_column (TideColumnStatement *statement,
              const char *text,
              const char *right,
              const char **rest,
              GError **error)
{
  if (*right == '"')
    {
      const char *close = find_closing_quote (right);
      if (!close)
        return refuse (error, text, _ ("the quote mark is not closed"));
      *rest = close + 1 + strspn (close + 1, " ");
      if (**rest != '\0' && **rest != ':')
        return refuse (error, text,
                       _ ("behind the name in quotes stands nothing or a colon and the unit"));
      return take_name (statement, dup_unquoted (right, close), text, error);
    }
  const char *colon = strchr (right, ':');
  *rest = colon ? colon : right + strlen (right);
  g_autofree char *column = g_strstrip (g_strndup (right, (gsize)(*rest - right)));
  if (is_all_digits (column))
    return take_number (statement, column, text, error);
  return take_name (statement, g_steal_pointer (&column), text, error);
}

static gboolean
is_unit_of (const char *text, TideQuantity quantity, TideUnit *unit)
{
  TideQuantity found;
  return tide_unit_parse (text, quantity, &found, unit) && tide_quantity_takes (quantity, found);
}

static gboolean
parse_unit (TideColumnStatement *statement, const char *text, const char *rest, GError **error)
{
  if (*rest == '\0')
    return TRUE;
  statement->unit_text = g_strstrip (g_strdup (rest + 1));
  if (!statement->is_read)
    return refuse (error, text, _ ("a column that is not read has no unit"));
  if (*statement->unit_text == '\0' || strpbrk (statement->unit_text, "\r\n\t")
      || !is_unit_of (statement->unit_text, statement->quantity, &statement->unit))
    return refuse (error, text,
                   _ ("\"%s\" is no unit of %s, which is measured in %s or parts of it"),
                   statement->unit_text, tide_quantity_get_name (statement->quantity),
                   tide_quantity_get_unit (statement->quantity));
  return TRUE;
}

TideColumnStatement *
tide_column_statement_parse (const char *text, GError **error)
{
  g_autoptr (TideColumnStatement) statement = g_new0 (TideColumnStatement, 1);
  const char *equals = strchr (text, '='), *rest = "";
  if (!equals)
    {
      refuse (error, text, _ ("write it as v=3:mV or t=\"Name\""));
      return NULL;
    }
  const char *right = equals + 1 + strspn (equals + 1, " ");
  if (!parse_key (statement, text, equals, error)
      || !parse_column (statement, text, right, &rest, error)
      || !parse_unit (statement, text, rest, error))
    return NULL;
  return g_steal_pointer (&statement);
}

/* ---- Back to text ---- */

static void
append_name (GString *text, const char *name)
{
  gboolean is_plain = !strpbrk (name, ":\"\r\n\t") && !is_all_digits (name) && *name != ' '
                      && name[strlen (name) - 1] != ' ';
  if (is_plain)
    {
      g_string_append (text, name);
      return;
    }
  g_string_append_c (text, '"');
  for (const char *p = name; *p; p++)
    g_string_append (text, *p == '"' ? "\"\"" : (char[]){ *p, '\0' });
  g_string_append_c (text, '"');
}

char *
tide_column_statement_format (const TideColumnStatement *statement)
{
  g_autoptr (GString) text = g_string_new (statement->is_read ? keys[statement->quantity] : "-");
  if (statement->is_read && statement->lane > 1)
    g_string_append_printf (text, "/%u", statement->lane);
  g_string_append_c (text, '=');
  if (statement->name)
    append_name (text, statement->name);
  else
    g_string_append_printf (text, "%u", statement->number);
  if (statement->unit_text)
    g_string_append_printf (text, ":%s", statement->unit_text);
  return g_string_free (g_steal_pointer (&text), FALSE);
}

gboolean
tide_column_statement_clash (const TideColumnStatement *a, const TideColumnStatement *b)
{
  gboolean same_column = a->number == b->number && g_strcmp0 (a->name, b->name) == 0;
  gboolean same_meaning =
      a->is_read && b->is_read && a->quantity == b->quantity && a->lane == b->lane;
  return same_column || same_meaning;
}
