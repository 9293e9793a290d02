/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The conditions of a run: one table of fields, plain text in each. What a person typed is
 * checked in tide_condition_check() and nowhere else.
 */
#include "recording/conditions.h"

#include <string.h>

#include <glib/gi18n-lib.h>

#define MOST_BYTES 10000

/* Colder or warmer than any place where somebody logs a charge. */
#define COLDEST_CELSIUS -60
#define WARMEST_CELSIUS 120

typedef struct
{
  const char *id;
  const char *label;
} Field;

static const Field fields[TIDE_N_CONDITIONS] = {
  [TIDE_CONDITION_NAME] = { "name", N_ ("Name") },
  [TIDE_CONDITION_DEVICE] = { "device", N_ ("Device") },
  [TIDE_CONDITION_PORT] = { "port", N_ ("Port") },
  [TIDE_CONDITION_MODE] = { "mode", N_ ("Mode") },
  [TIDE_CONDITION_SUPPLY] = { "supply", N_ ("Supply") },
  [TIDE_CONDITION_CABLE] = { "cable", N_ ("Cable") },
  [TIDE_CONDITION_METER] = { "meter", N_ ("Meter") },
  [TIDE_CONDITION_AMBIENT] = { "ambient", N_ ("Ambient") },
  [TIDE_CONDITION_DATE] = { "date", N_ ("Date") },
  [TIDE_CONDITION_NOTES] = { "notes", N_ ("Notes") },
};

G_DEFINE_BOXED_TYPE (TideConditions, tide_conditions, tide_conditions_copy, tide_conditions_free)

TideConditions *
tide_conditions_new (void)
{
  TideConditions *conditions = g_new0 (TideConditions, 1);

  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    conditions->text[i] = g_strdup ("");
  return conditions;
}

TideConditions *
tide_conditions_copy (const TideConditions *conditions)
{
  TideConditions *copy = g_new0 (TideConditions, 1);

  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    copy->text[i] = g_strdup (conditions->text[i]);
  return copy;
}

void
tide_conditions_free (TideConditions *conditions)
{
  if (conditions == NULL)
    return;
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    g_free (conditions->text[i]);
  g_free (conditions);
}

gboolean
tide_conditions_equal (const TideConditions *a, const TideConditions *b)
{
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    if (!g_str_equal (a->text[i], b->text[i]))
      return FALSE;
  return TRUE;
}

const char *
tide_conditions_get (const TideConditions *conditions, TideCondition field)
{
  g_return_val_if_fail ((guint)field < TIDE_N_CONDITIONS, "");
  return conditions->text[field];
}

gboolean
tide_conditions_set (TideConditions *conditions, TideCondition field, const char *text)
{
  g_return_val_if_fail ((guint)field < TIDE_N_CONDITIONS, FALSE);

  g_autofree char *stripped = g_strstrip (g_strdup (text != NULL ? text : ""));
  if (field == TIDE_CONDITION_AMBIENT)
    g_strdelimit (stripped, ",", '.'); /* so that equal conditions are equal texts */
  if (g_str_equal (stripped, conditions->text[field]))
    return FALSE;
  g_free (conditions->text[field]);
  conditions->text[field] = g_steal_pointer (&stripped);
  return TRUE;
}

const char *
tide_condition_get_id (TideCondition field)
{
  g_return_val_if_fail ((guint)field < TIDE_N_CONDITIONS, "");
  return fields[field].id;
}

const char *
tide_condition_get_label (TideCondition field)
{
  g_return_val_if_fail ((guint)field < TIDE_N_CONDITIONS, "");
  return _ (fields[field].label);
}

static gboolean
is_temperature (const char *text)
{
  g_autofree char *pointed = g_strdelimit (g_strdup (text), ",", '.');
  char *end = NULL;

  /* g_ascii_strtod() takes more than a person would call a number: "0x1F", "inf", "nan". */
  if (pointed[strspn (pointed, "+-.0123456789")] != '\0')
    return FALSE;
  double celsius = g_ascii_strtod (pointed, &end);
  return end != pointed && *end == '\0' && celsius >= COLDEST_CELSIUS && celsius <= WARMEST_CELSIUS;
}

static gboolean
is_date_time (const char *text)
{
  g_autoptr (GTimeZone) utc = g_time_zone_new_utc ();
  g_autoptr (GDateTime) moment = g_date_time_new_from_iso8601 (text, utc);

  return moment != NULL;
}

/* GLib 2.74 takes only a date with a time to the second; the standard also knows the date alone
 * and the time to the minute. */
static gboolean
is_date (const char *text)
{
  g_autofree char *midnight = g_strconcat (text, "T00:00:00", NULL);

  if (is_date_time (text) || is_date_time (midnight))
    return TRUE;
  if (strlen (text) < strlen ("2024-05-01T13:45") || text[13] != ':')
    return FALSE;
  g_autofree char *to_the_second = g_strdup_printf ("%.16s:00%s", text, text + 16);
  return is_date_time (to_the_second);
}

/* Text that can stand in a list, a file and a legend; notes may have several lines. */
static gboolean
is_plain (const char *text, gboolean lines_allowed)
{
  for (const char *p = text; *p != '\0'; p = g_utf8_next_char (p))
    {
      gunichar c = g_utf8_get_char (p);
      GUnicodeType type = g_unichar_type (c);

      if (lines_allowed && (c == '\n' || c == '\r' || c == '\t'))
        continue;
      if (type == G_UNICODE_CONTROL || type == G_UNICODE_LINE_SEPARATOR
          || type == G_UNICODE_PARAGRAPH_SEPARATOR)
        return FALSE;
    }
  return TRUE;
}

/* What is wrong with text; translated, static; NULL when nothing is. */
static const char *
find_fault (TideCondition field, const char *text)
{
  if (strlen (text) > MOST_BYTES)
    return _ ("too long; at most 10000 bytes can be kept");
  if (!g_utf8_validate (text, -1, NULL))
    return _ ("not valid UTF-8 text");
  if (!is_plain (text, field == TIDE_CONDITION_NOTES))
    return field == TIDE_CONDITION_NOTES ? _ ("control characters cannot be kept")
                                         : _ ("must be one line without control characters");

  /* The stored copy is stripped, so blanks around a value are no fault of it. */
  g_autofree char *stripped = g_strstrip (g_strdup (text));
  if (*stripped == '\0')
    return NULL;
  if (field == TIDE_CONDITION_AMBIENT && !is_temperature (stripped))
    return _ ("must be degrees Celsius from -60 to 120, like 23.5");
  if (field == TIDE_CONDITION_DATE && !is_date (stripped))
    return _ ("must be a date like 2024-05-01 or 2024-05-01T13:45:30Z");
  return NULL;
}

gboolean
tide_condition_check (TideCondition field, const char *text, GError **error)
{
  g_return_val_if_fail ((guint)field < TIDE_N_CONDITIONS, FALSE);

  const char *fault = text != NULL ? find_fault (field, text) : NULL;
  if (fault == NULL)
    return TRUE;
  g_set_error (error, TIDE_CONDITION_ERROR, TIDE_CONDITION_ERROR_VALUE, "%s: %s",
               tide_condition_get_label (field), fault);
  return FALSE;
}

G_DEFINE_QUARK (tide_condition_error, tide_condition_error)

char *
tide_conditions_to_line (const TideConditions *conditions)
{
  static const TideCondition shown[] = { TIDE_CONDITION_PORT,    TIDE_CONDITION_MODE,
                                         TIDE_CONDITION_SUPPLY,  TIDE_CONDITION_CABLE,
                                         TIDE_CONDITION_AMBIENT, TIDE_CONDITION_METER };
  g_autoptr (GString) line = g_string_new (NULL);

  for (guint i = 0; i < G_N_ELEMENTS (shown); i++)
    {
      const char *text = conditions->text[shown[i]];

      if (*text == '\0')
        continue;
      g_string_append_printf (line, "%s%s%s", line->len > 0 ? " \302\267 " : "", text,
                              shown[i] == TIDE_CONDITION_AMBIENT ? "\302\240\302\260C" : "");
    }
  g_strdelimit (line->str, "\r\n\t", ' ');
  return g_string_free (g_steal_pointer (&line), FALSE);
}
