/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the room: the text of numbers. */
#pragma once

#include "recording/recording.h"

/* ---- number.c ---- */

/* Up to these a double is exact: digits times or over a power of ten are rounded once. */
#define TIDE_EXACT_INTEGER (G_GUINT64_CONSTANT (1) << 53)
#define TIDE_EXACT_POWER   22
extern const double tide_powers_of_ten[TIDE_EXACT_POWER + 1];

/* Reads one decimal number, blanks around it allowed: sign, digits with mark, exponent; the value
 * is multiplied by 10^shift without a second rounding. Correctly rounded, the same bits as
 * g_ascii_strtod(). FALSE for anything else: no digits, words, inf, nan, hexadecimal, overflow. */
gboolean tide_number_parse (const char *text, gsize length, char mark, int shift, double *value);
/* The same where a mark may stand between thousands, 0: none does. "1,234,567.8", "1 234,5" (a no-break space is a
 * blank, a typographic apostrophe an apostrophe) and "12,34,567" are read, other groups are not. */
gboolean tide_number_parse_grouped (const char *text, gsize length, char mark, char group, int shift, double *value);
/* The bytes at the start of text that may be a mark between thousands: its kind (',' '.' '\'' or ' ') and how many
 * they are; 0 and '\0' for anything else. */
char     tide_group_mark_at (const char *text, gsize length, gsize *mark_length);
/* The ends of digits' groups: of three, or in the Indian way of two and a last one of three; n >= 2. */
gboolean tide_groups_are_well_formed (const gsize *digits, guint n);
/* TRUE for the ways exports say "no value": empty, blanks, "-", "N/A", "nan", "null" ... */
gboolean tide_number_is_missing (const char *text, gsize length);
