/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Quantities and the text of their numbers. Nothing here depends on the locale but the
 * translated names: numbers in files, charts and labels are the same everywhere.
 */
#include "recording/quantity.h"

#include <math.h>
#include <string.h>

#include <glib/gi18n-lib.h>

#define NO_BREAK_SPACE "\302\240"
#define MINUS          "\342\210\222"
#define UNKNOWN        "\342\200\223"

/* The longest finite double has 309 digits before the point. */
#define NUMBER_SIZE 340
/* A double has no more digits to tell apart. */
#define MOST_DECIMALS 17

typedef struct
{
  const char *id;
  const char *name;
  const char *unit;
  int decimals;
} Description;

static const Description descriptions[TIDE_N_QUANTITIES] = {
  [TIDE_QUANTITY_TIME] = { "time", N_ ("Time"), "s", 0 },
  [TIDE_QUANTITY_VOLTAGE] = { "voltage", N_ ("Voltage"), "V", 3 },
  [TIDE_QUANTITY_CURRENT] = { "current", N_ ("Current"), "A", 3 },
  [TIDE_QUANTITY_POWER] = { "power", N_ ("Power"), "W", 2 },
  [TIDE_QUANTITY_ENERGY] = { "energy", N_ ("Energy"), "Wh", 2 },
  [TIDE_QUANTITY_CHARGE] = { "charge", N_ ("Charge"), "Ah", 3 },
  [TIDE_QUANTITY_TEMPERATURE] = { "temperature", N_ ("Temperature"), "\302\260C", 1 },
  /* as they are printed on the connector */
  [TIDE_QUANTITY_DATA_PLUS] = { "dp", N_ ("D+"), "V", 3 },
  [TIDE_QUANTITY_DATA_MINUS] = { "dm", N_ ("D\342\210\222"), "V", 3 },
  [TIDE_QUANTITY_CC1] = { "cc1", N_ ("CC1"), "V", 3 },
  [TIDE_QUANTITY_CC2] = { "cc2", N_ ("CC2"), "V", 3 },
};

static const Description *
describe (TideQuantity quantity)
{
  g_assert ((guint)quantity < TIDE_N_QUANTITIES);
  return &descriptions[quantity];
}

const char *
tide_quantity_get_id (TideQuantity quantity)
{
  return describe (quantity)->id;
}

const char *
tide_quantity_get_name (TideQuantity quantity)
{
  return _ (describe (quantity)->name);
}

const char *
tide_quantity_get_unit (TideQuantity quantity)
{
  return describe (quantity)->unit;
}

int
tide_quantity_get_decimals (TideQuantity quantity)
{
  return describe (quantity)->decimals;
}

gboolean
tide_quantity_from_id (const char *id, TideQuantity *quantity)
{
  for (guint i = 0; i < TIDE_N_QUANTITIES; i++)
    if (g_strcmp0 (id, descriptions[i].id) == 0)
      {
        *quantity = i;
        return TRUE;
      }
  return FALSE;
}

/* What rounding leaves of a small negative number is a zero, and a zero has no sign. */
static gboolean
reads_as_zero (const char *digits)
{
  return digits[strspn (digits, "0.")] == '\0';
}

char *
tide_text_number (double value, int decimals)
{
  char format[8], digits[NUMBER_SIZE];

  if (!isfinite (value))
    return g_strdup (UNKNOWN);

  g_snprintf (format, sizeof format, "%%.%df", CLAMP (decimals, 0, MOST_DECIMALS));
  g_ascii_formatd (digits, sizeof digits, format, fabs (value));
  return g_strconcat (value < 0 && !reads_as_zero (digits) ? MINUS : "", digits, NULL);
}

char *
tide_text_signed (double value, int decimals)
{
  g_autofree char *number = tide_text_number (value, decimals);

  return isfinite (value) && value > 0 && !reads_as_zero (number) ? g_strconcat ("+", number, NULL)
                                                                  : g_steal_pointer (&number);
}

char *
tide_text_quantity (double value, int decimals, TideQuantity quantity)
{
  g_autofree char *number = tide_text_number (value, decimals);

  if (!isfinite (value))
    return g_steal_pointer (&number);
  return g_strconcat (number, NO_BREAK_SPACE, tide_quantity_get_unit (quantity), NULL);
}

/* Seconds below ten keep the decimals that tell them apart: "0.25 s", "2.5 s". */
static char *
print_short_span (double seconds)
{
  g_autofree char *number = tide_text_number (seconds, seconds < 1 ? 3 : 1);
  gsize length = strlen (number);

  while (number[length - 1] == '0')
    length--;
  if (number[length - 1] == '.')
    length--;
  number[length] = '\0';
  return g_strdup_printf (_ ("%s s"), number);
}

static char *
print_span (double seconds)
{
  double whole = round (seconds), minutes = round (seconds / 60);

  if (seconds < 9.95)
    return print_short_span (seconds);
  if (whole < 60)
    return g_strdup_printf (_ ("%d s"), (int)whole);
  if (whole < 3600)
    return g_strdup_printf (_ ("%d min %d s"), (int)whole / 60, (int)whole % 60);
  if (minutes < G_MAXINT)
    return g_strdup_printf (_ ("%d h %d min"), (int)minutes / 60, (int)minutes % 60);

  g_autofree char *hours = tide_text_number (seconds / 3600, 0);
  return g_strdup_printf (_ ("%s h"), hours);
}

char *
tide_text_duration (double seconds)
{
  if (!isfinite (seconds))
    return g_strdup (UNKNOWN);

  g_autofree char *span = print_span (fabs (seconds));
  /* Half a millisecond is where a span begins to read other than "0 s". */
  return g_strconcat (seconds <= -0.0005 ? MINUS : "", span, NULL);
}
