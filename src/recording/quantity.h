/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a meter logs: the quantities, their units, and how their numbers are put into text.
 *
 * Every other room asks here for a quantity's id, name and unit, and for the text of a number or
 * a span of time, so that the window, the command line and a published chart say the same.
 * Numbers use the decimal point in every locale (files and charts travel) and U+2212 as minus.
 */
#pragma once

#include <glib.h>

typedef enum {
  TIDE_QUANTITY_TIME,        /* s */
  TIDE_QUANTITY_VOLTAGE,     /* V */
  TIDE_QUANTITY_CURRENT,     /* A */
  TIDE_QUANTITY_POWER,       /* W */
  TIDE_QUANTITY_ENERGY,      /* Wh; as a recording's column: the meter's own counter */
  TIDE_QUANTITY_CHARGE,      /* Ah; likewise */
  TIDE_QUANTITY_TEMPERATURE, /* degrees Celsius */
  TIDE_QUANTITY_DATA_PLUS,   /* V, on D+ of the connector */
  TIDE_QUANTITY_DATA_MINUS,  /* V, on D- */
  TIDE_QUANTITY_CC1,         /* V, on the first configuration channel, or the only one logged */
  TIDE_QUANTITY_CC2,         /* V */
  TIDE_N_QUANTITIES
} TideQuantity;

/* The untranslated key used in files, JSON and on the command line: "power". Static. */
const char *tide_quantity_get_id   (TideQuantity quantity);
/* The translated name: "Power". Static. */
const char *tide_quantity_get_name (TideQuantity quantity);
/* The unit's symbol: "W", "Wh". Static. */
const char *tide_quantity_get_unit (TideQuantity quantity);
/* FALSE, leaving *quantity alone, when id names none. */
gboolean    tide_quantity_from_id  (const char *id, TideQuantity *quantity);

/* "12.50", "−0.40"; "–" for a number that is not known (NaN). Transfer full. */
char *tide_text_number   (double value, int decimals);
/* A difference: "+12.50", "−0.40", and "0.00" without a sign where nothing is left to show. Transfer full. */
char *tide_text_signed   (double value, int decimals);
/* "12.50 W" with a no-break space; "–" for NaN. Transfer full. */
char *tide_text_quantity (double value, int decimals, TideQuantity quantity);
/* "2 h 41 min", "12 min 5 s", "48 s"; "–" for NaN. Transfer full. */
char *tide_text_duration (double seconds);
/* Decimals with which a value is usually shown: 2 for Wh and W, 3 for V, A and Ah, 0 for s. */
int   tide_quantity_get_decimals (TideQuantity quantity);
