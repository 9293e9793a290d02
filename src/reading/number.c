/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A field becomes a double: exact and fast.
 *
 * Digits go into a 64-bit integer. If that integer is exact as a double (at most 2^53) and the
 * power of ten beside it is exact too (at most 10^22), one multiplication or division gives the
 * correctly rounded value (W. D. Clinger, "How to read floating point numbers accurately", PLDI
 * 1990). All else goes to g_ascii_strtod(), so the bits are always its bits. Locale plays no part.
 * Refuses what is not one plain decimal number. Cost: one pass, no allocation. Marks between
 * thousands are taken out first, and only where a file has them.
 */
#include "reading/number-private.h"

#include <math.h>
#include <string.h>

/* 19 digits always fit 64 bits. */
#define MAX_DIGITS 19
/* Longer than the longest exact decimal expansion anyone prints; a bound on the slow path. */
#define MAX_NUMBER_BYTES 1024
/* Beyond this an exponent has left the range of doubles whatever the digits (MAX_NUMBER_BYTES of
 * them included). */
#define MAX_EXPONENT 20000

const double tide_powers_of_ten[TIDE_EXACT_POWER + 1] = { 1e0,  1e1,  1e2,  1e3,  1e4,  1e5,
                                                          1e6,  1e7,  1e8,  1e9,  1e10, 1e11,
                                                          1e12, 1e13, 1e14, 1e15, 1e16, 1e17,
                                                          1e18, 1e19, 1e20, 1e21, 1e22 };

typedef struct
{
  gboolean negative;
  guint64 digits;       /* as one integer, if n_digits <= MAX_DIGITS */
  gsize n_digits;       /* leading zeros among them */
  int decimals;         /* digits behind the mark */
  int exponent;         /* as written */
  const char *mantissa; /* digits and mark as written */
  gsize mantissa_length;
} Decimal;

static void
strip_blanks (const char **text, gsize *length)
{
  while (*length > 0 && g_ascii_isspace ((*text)[*length - 1]))
    (*length)--;
  while (*length > 0 && g_ascii_isspace (**text))
    {
      (*text)++;
      (*length)--;
    }
}

/* Gives where the sign ends. U+2212 is a minus too: some exports are typeset. */
static const char *
scan_sign (const char *p, const char *end, gboolean *negative)
{
  *negative = FALSE;
  if (p < end && (*p == '-' || *p == '+'))
    {
      *negative = *p == '-';
      return p + 1;
    }
  if (end - p >= 3 && p[0] == '\xe2' && p[1] == '\x88' && p[2] == '\x92')
    {
      *negative = TRUE;
      return p + 3;
    }
  return p;
}

static gboolean
scan_exponent (const char *p, const char *end, int *exponent)
{
  gboolean negative;
  p = scan_sign (p, end, &negative);
  if (p == end)
    return FALSE;
  int value = 0;
  for (; p < end; p++)
    {
      if (!g_ascii_isdigit (*p))
        return FALSE;
      value = MIN (value * 10 + (*p - '0'), MAX_EXPONENT);
    }
  *exponent = negative ? -value : value;
  return TRUE;
}

/* Adds the digits from p on; beyond MAX_DIGITS they wrap round. Gives where they end. This loop is
 * where an import spends its time: a subtraction tells digits faster than g_ascii_isdigit() does.
 */
static const char *
scan_digits (const char *p, const char *end, Decimal *d)
{
  const char *first = p;
  guint64 digits = d->digits;
  guint digit;
  for (; p < end && (digit = (guint)(guchar)*p - '0') <= 9; p++)
    digits = digits * 10 + digit;
  d->digits = digits;
  d->n_digits += (gsize)(p - first);
  return p;
}

static gboolean
scan_decimal (const char *p, const char *end, char mark, Decimal *d)
{
  p = scan_sign (p, end, &d->negative);
  d->mantissa = p;
  p = scan_digits (p, end, d);
  if (p < end && *p == mark)
    {
      const char *fraction = ++p;
      p = scan_digits (p, end, d);
      d->decimals = (int)(p - fraction);
    }
  d->mantissa_length = (gsize)(p - d->mantissa);
  if (d->n_digits == 0)
    return FALSE;
  if (p == end)
    return TRUE;
  return (*p == 'e' || *p == 'E') && scan_exponent (p + 1, end, &d->exponent);
}

static gboolean
convert_slowly (const Decimal *d, char mark, int shift, double *value)
{
  if (d->mantissa_length > MAX_NUMBER_BYTES)
    return FALSE;
  char buffer[MAX_NUMBER_BYTES + 32];
  gsize n = 0;
  if (d->negative)
    buffer[n++] = '-';
  for (gsize i = 0; i < d->mantissa_length; i++)
    buffer[n++] = d->mantissa[i] == mark ? '.' : d->mantissa[i];
  g_snprintf (buffer + n, sizeof buffer - n, "e%d", d->exponent + shift);
  *value = g_ascii_strtod (buffer, NULL);
  return isfinite (*value);
}

gboolean
tide_number_parse (const char *text, gsize length, char mark, int shift, double *value)
{
  strip_blanks (&text, &length);
  Decimal d = { 0 };
  if (!scan_decimal (text, text + length, mark, &d))
    return FALSE;

  int power = d.exponent - d.decimals + shift;
  if (d.n_digits > MAX_DIGITS || d.digits > TIDE_EXACT_INTEGER || ABS (power) > TIDE_EXACT_POWER)
    return convert_slowly (&d, mark, shift, value);
  double magnitude = (double)d.digits;
  magnitude =
      power < 0 ? magnitude / tide_powers_of_ten[-power] : magnitude * tide_powers_of_ten[power];
  *value = d.negative ? -magnitude : magnitude;
  return TRUE;
}

/* ---- Thousands ---- */

/* A number longer than this has no business with marks between thousands. */
#define MAX_GROUPED_BYTES 64
#define MAX_GROUPS        16

char
tide_group_mark_at (const char *text, gsize length, gsize *mark_length)
{
  static const struct
  {
    char kind;
    const char *bytes;
  } marks[] = {
    { ',', "," },
    { '.', "." },
    { ' ', " " },
    { '\'', "'" },
    { ' ', "\xc2\xa0" },      /* no-break space */
    { ' ', "\xe2\x80\xaf" },  /* narrow no-break space */
    { ' ', "\xe2\x80\x89" },  /* thin space */
    { '\'', "\xe2\x80\x99" }, /* typographic apostrophe */
  };
  for (guint i = 0; i < G_N_ELEMENTS (marks); i++)
    {
      gsize n = strlen (marks[i].bytes);
      if (n > length || memcmp (text, marks[i].bytes, n) != 0)
        continue;
      *mark_length = n;
      return marks[i].kind;
    }
  *mark_length = 0;
  return '\0';
}

gboolean
tide_groups_are_well_formed (const gsize *digits, guint n)
{
  gboolean threes = digits[0] >= 1 && digits[0] <= 3 && digits[n - 1] == 3;
  gboolean twos = digits[0] >= 1 && digits[0] <= 2 && digits[n - 1] == 3;
  for (guint i = 1; i + 1 < n; i++)
    {
      threes &= digits[i] == 3;
      twos &= digits[i] == 2;
    }
  return threes || twos;
}

/* Copies text without the marks between thousands of its whole part; FALSE unless there are some,
 * all well-formed. */
static gboolean
drop_groups (const char *text, gsize length, char mark, char group, char *plain)
{
  gsize digits[MAX_GROUPS] = { 0 }, mark_length;
  guint n = 1;
  const char *p = text, *end = text + length;
  gboolean negative;
  const char *first = scan_sign (p, end, &negative);
  memcpy (plain, p, (gsize)(first - p));
  plain += first - p;
  for (p = first; p < end && *p != mark && *p != 'e' && *p != 'E';)
    {
      if (g_ascii_isdigit (*p))
        {
          *plain++ = *p++;
          digits[n - 1]++;
          continue;
        }
      if (n == MAX_GROUPS || tide_group_mark_at (p, (gsize)(end - p), &mark_length) != group)
        return FALSE;
      p += mark_length;
      n++;
    }
  memcpy (plain, p, (gsize)(end - p));
  plain[end - p] = '\0';
  return n > 1 && *first != '0' && tide_groups_are_well_formed (digits, n);
}

gboolean
tide_number_parse_grouped (const char *text,
                           gsize length,
                           char mark,
                           char group,
                           int shift,
                           double *value)
{
  if (tide_number_parse (text, length, mark, shift, value))
    return TRUE;
  char plain[MAX_GROUPED_BYTES + 1];
  strip_blanks (&text, &length);
  return group != '\0' && length <= MAX_GROUPED_BYTES
         && drop_groups (text, length, mark, group, plain)
         && tide_number_parse (plain, strlen (plain), mark, shift, value);
}

gboolean
tide_number_is_missing (const char *text, gsize length)
{
  static const char *const words[] = { "",     "-",   "--",   "---",  "n/a",          "na",
                                       "n.a.", "nan", "null", "none", "\xe2\x80\x93", "#n/a" };
  strip_blanks (&text, &length);
  for (guint i = 0; i < G_N_ELEMENTS (words); i++)
    if (length == strlen (words[i]) && g_ascii_strncasecmp (text, words[i], length) == 0)
      return TRUE;
  return FALSE;
}
