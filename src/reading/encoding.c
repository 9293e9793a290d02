/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which encoding a text has that is no UTF-8 and says nothing of itself.
 *
 * Statistics over letters need more of them than a log has: a few names among thousands of numbers.
 * So what statistics say is held against the encodings that logs are written in: the one in which
 * the names of columns are the plainest words wins, and statistics where all say as little. Only
 * the first WEIGHED_BYTES are looked at, and of them no more than MAX_FIELDS.
 */
#include <string.h>
#include <uchardet/uchardet.h>

#include "reading/header-private.h"
#include "reading/names-private.h"
#include "reading/text-private.h"

#define WEIGHED_BYTES 16384
#define MAX_FIELDS    300
/* What a name is worth whose words are all known; see TideMeaning's cost. */
#define PLAIN_NAME 8

/* Units are all that most exports hold beyond ASCII, degree, micro, squared, plus-minus ..., and
 * apostrophes between thousands. If there is nothing else, statistics over letters would only
 * mislead. */
gboolean
tide_has_only_unit_signs (const guint8 *head, gsize length)
{
  for (gsize i = 0; i < length; i++)
    if (head[i] >= 0x80 && !strchr ("\xb0\xb5\xb1\xb2\xb3\xb7\xd7\xa0\x92\x96\x97", head[i]))
      return FALSE;
  return TRUE;
}

/* What statistics say. Transfer full; never NULL. */
static char *
guess_by_letters (const guint8 *head, gsize length)
{
  uchardet_t detector = uchardet_new ();
  char *name = NULL;
  if (uchardet_handle_data (detector, (const char *)head, length) == 0)
    {
      uchardet_data_end (detector);
      name = g_strdup (uchardet_get_charset (detector));
    }
  uchardet_delete (detector);
  /* a name that says nothing new: the bytes are neither ASCII nor UTF-8 */
  if (!name || !*name || g_ascii_strcasecmp (name, "ASCII") == 0
      || g_ascii_strcasecmp (name, "UTF-8") == 0)
    {
      g_free (name);
      name = g_strdup ("WINDOWS-1252");
    }
  return name;
}

static gboolean
is_ascii (const char *text)
{
  while (*text && (guchar)*text < 0x80)
    text++;
  return *text == '\0';
}

/* "50 µA" and "13’563" are worth something too: there are encodings that differ in such signs only.
 */
static int
weigh_field (const char *text)
{
  if (tide_may_be_number (text))
    return 1;
  TideMeaning meaning = tide_meaning_of_name (text, NULL);
  return meaning.known ? PLAIN_NAME - MIN (meaning.cost, PLAIN_NAME) + meaning.unit_named : 0;
}

/* How well the names can be read in an encoding; 0 where it cannot be that. */
static int
weigh (const guint8 *head, gsize length, const char *encoding)
{
  int weight = 0;
  g_autofree char *text =
      g_convert ((const char *)head, (gssize)length, "UTF-8", encoding, NULL, NULL, NULL);
  if (!text)
    return 0;
  guint n_fields = 0;
  for (char *p = text; *p && n_fields < MAX_FIELDS;)
    {
      gsize n = strcspn (p, ",;\t|\"\r\n");
      gboolean is_last = p[n] == '\0';
      p[n] = '\0';
      if (!is_ascii (p))
        {
          weight += weigh_field (p);
          n_fields++;
        }
      p += is_last ? n : n + 1;
    }
  return weight;
}

/* Up to the last line end, for a character must not be cut. */
static gsize
find_weighed (const guint8 *head, gsize length)
{
  gsize n = MIN (length, WEIGHED_BYTES);
  if (n == length)
    return n;
  while (n > 0 && head[n - 1] != '\n' && head[n - 1] != '\r')
    n--;
  return n;
}

/* Transfer full; never NULL. */
char *
tide_guess_encoding (const guint8 *head, gsize length)
{
  static const char *const usual[] = { "WINDOWS-1252", "SHIFT_JIS", "GB18030",
                                       "BIG5",         "EUC-JP",    "WINDOWS-1251" };
  if (tide_has_only_unit_signs (head, length))
    return g_strdup ("WINDOWS-1252");
  char *guess = guess_by_letters (head, length);
  gsize n = find_weighed (head, length);
  int heaviest = weigh (head, n, guess);
  for (guint i = 0; i < G_N_ELEMENTS (usual); i++)
    {
      int weight = weigh (head, n, usual[i]);
      if (weight <= heaviest)
        continue;
      heaviest = weight;
      g_free (guess);
      guess = g_strdup (usual[i]);
    }
  return guess;
}
