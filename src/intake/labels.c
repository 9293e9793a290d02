/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See labels.h. A file's name is cut into words; what differs between the files is the name of a
 * run, and a few words that mean a condition wherever they stand propose that condition. */
#include "intake/labels.h"

#include <string.h>

/* A name of more words than this names nothing. */
#define MAX_WORDS 40

/* Words that count what follows: "run2" is "run 2". */
static const char *const counters[] = { "run", "test", "try", "take", "log", "part", "port", NULL };

/* Words that stand before "port" and say which. */
static const char *const sides[] = { "left",  "right", "base", "top",   "bottom", "rear", "back",
                                     "front", "side",  "main", "upper", "lower",  "usb",  NULL };

/* Words that say what the device does meanwhile, as they stand in file names; the longer first. */
static const struct
{
  const char *words;
  const char *mode;
} modes[] = {
  { "screen on", "screen on" }, { "screen off", "screen off" }, { "in use", "in use" },
  { "inuse", "in use" },        { "switched off", "off" },      { "powered off", "off" },
  { "docked", "docked" },       { "undocked", "undocked" },     { "handheld", "handheld" },
  { "idle", "idle" },           { "standby", "standby" },       { "sleeping", "asleep" },
  { "asleep", "asleep" },
};

/* Words */

static gboolean
is_packing (const char *ending)
{
  static const char *const packings[] = { ".gz", ".zip", ".bz2", ".xz", ".zst", NULL };

  return g_strv_contains (packings, ending);
}

/* An ending is short and has a letter in it: "1.5" has none. */
static gboolean
is_ending (const char *dot)
{
  gboolean has_letter = FALSE;

  for (const char *c = dot + 1; *c != '\0'; c++)
    {
      if (!g_ascii_isalnum (*c))
        return FALSE;
      has_letter = has_letter || g_ascii_isalpha (*c);
    }
  return has_letter && strlen (dot) <= 6;
}

static char *
strip_endings (const char *file)
{
  char *stem = g_strdup (file), *dot = strrchr (stem, '.');
  gboolean packed = dot != NULL && dot != stem && is_packing (dot);

  if (dot != NULL && dot != stem && is_ending (dot))
    *dot = '\0';
  dot = packed ? strrchr (stem, '.') : NULL;
  if (dot != NULL && dot != stem && is_ending (dot))
    *dot = '\0';
  return stem;
}

/* Between two digits a point or a dash belongs to a number or a date. */
static gboolean
is_border (const char *stem, const char *c)
{
  if (strchr (" _()[]{}+,;~", *c) != NULL)
    return TRUE;
  if (*c != '-' && *c != '.')
    return FALSE;
  return !(c > stem && g_ascii_isdigit (c[-1]) && g_ascii_isdigit (c[1]));
}

static void
add_word (GPtrArray *words, const char *start, gsize length)
{
  g_autofree char *word = g_strndup (start, length);

  if (length == 0 || words->len >= MAX_WORDS)
    return;
  for (guint i = 0; counters[i] != NULL; i++)
    {
      gsize letters = strlen (counters[i]);

      if (g_ascii_strncasecmp (word, counters[i], letters) == 0 && g_ascii_isdigit (word[letters]))
        {
          g_ptr_array_add (words, g_strndup (word, letters));
          g_ptr_array_add (words, g_strdup (word + letters));
          return;
        }
    }
  g_ptr_array_add (words, g_steal_pointer (&word));
}

static GPtrArray *
split_words (const char *file)
{
  g_autofree char *stem = strip_endings (file);
  GPtrArray *words = g_ptr_array_new_with_free_func (g_free);
  const char *start = stem;

  for (const char *c = stem;; c++)
    {
      if (*c != '\0' && !is_border (stem, c))
        continue;
      add_word (words, start, (gsize)(c - start));
      start = c + 1;
      if (*c == '\0')
        return words;
    }
}

static const char *
get_word (GPtrArray *words, guint i)
{
  return i < words->len ? words->pdata[i] : "";
}

static gboolean
is_word (GPtrArray *words, guint i, const char *word)
{
  return g_ascii_strcasecmp (get_word (words, i), word) == 0;
}

static gboolean
is_word_of (GPtrArray *words, guint i, const char *const *table)
{
  for (guint k = 0; table[k] != NULL; k++)
    if (is_word (words, i, table[k]))
      return TRUE;
  return FALSE;
}

/* Names */

/* Is the i-th word, from the front or from the end, the same in all files? */
static gboolean
is_shared (GPtrArray *files, guint i, gboolean from_end)
{
  GPtrArray *first = files->pdata[0];

  for (guint k = 0; k < files->len; k++)
    {
      GPtrArray *words = files->pdata[k];

      if (i >= words->len
          || !is_word (words, from_end ? words->len - 1 - i : i,
                       first->pdata[from_end ? first->len - 1 - i : i]))
        return FALSE;
    }
  return TRUE;
}

static char *
join_words (GPtrArray *words, guint start, guint end)
{
  g_autoptr (GString) name = g_string_new (NULL);

  for (guint i = start; i < end; i++)
    g_string_append_printf (name, "%s%s", i > start ? " " : "", get_word (words, i));
  return g_string_free (g_steal_pointer (&name), FALSE);
}

/* "2" alone says little, "run 2" more; "left" of "left port" likewise. */
static char *
make_short_name (GPtrArray *words, guint leading, guint trailing)
{
  guint end = words->len - trailing;

  if (leading >= end)
    return g_strdup ("");
  if (leading > 0 && strlen (get_word (words, leading)) <= 2
      && is_word_of (words, leading - 1, counters))
    leading--;
  if (is_word (words, end, "port") && is_word_of (words, end - 1, sides))
    end++;
  return join_words (words, leading, end);
}

/* The names with the shared words left out; NULL when they would not do. */
static GPtrArray *
make_short_names (GPtrArray *files)
{
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GHashTable) seen = g_hash_table_new (g_str_hash, g_str_equal);
  guint leading = 0, trailing = 0;

  while (is_shared (files, leading, FALSE))
    leading++;
  while (is_shared (files, trailing, TRUE))
    trailing++;
  for (guint i = 0; i < files->len; i++)
    {
      GPtrArray *words = files->pdata[i];
      char *name = leading + trailing < words->len ? make_short_name (words, leading, trailing)
                                                   : g_strdup ("");

      g_ptr_array_add (names, name);
      if (*name == '\0' || !g_hash_table_add (seen, name))
        return NULL;
    }
  return g_steal_pointer (&names);
}

/* Conditions */

static gboolean
starts_with_words (GPtrArray *words, guint i, const char *text)
{
  g_auto (GStrv) wanted = g_strsplit (text, " ", -1);

  for (guint k = 0; wanted[k] != NULL; k++)
    if (!is_word (words, i + k, wanted[k]))
      return FALSE;
  return TRUE;
}

static void
propose_mode (GPtrArray *words, TideConditions *conditions)
{
  for (guint m = 0; m < G_N_ELEMENTS (modes); m++)
    for (guint i = 0; i < words->len; i++)
      if (starts_with_words (words, i, modes[m].words))
        {
          tide_conditions_set (conditions, TIDE_CONDITION_MODE, modes[m].mode);
          return;
        }
}

/* "left port", "port A", "port 2". */
static void
propose_port (GPtrArray *words, TideConditions *conditions)
{
  for (guint i = 0; i < words->len; i++)
    {
      g_autofree char *port = NULL;

      if (!is_word (words, i, "port"))
        continue;
      if (i > 0 && is_word_of (words, i - 1, sides))
        port = join_words (words, i - 1, i + 1);
      else if (strlen (get_word (words, i + 1)) == 1)
        port = join_words (words, i, i + 2);
      if (port != NULL)
        tide_conditions_set (conditions, TIDE_CONDITION_PORT, port);
    }
}

/* "65w" is what a supply is called by. */
static void
propose_supply (GPtrArray *words, TideConditions *conditions)
{
  for (guint i = 0; i < words->len; i++)
    {
      const char *word = words->pdata[i];
      gsize digits = strspn (word, "0123456789");
      g_autofree char *supply = NULL;

      if (digits == 0 || digits > 3 || g_ascii_strcasecmp (word + digits, "w") != 0)
        continue;
      supply = g_strdup_printf ("%.*s W", (int)digits, word);
      tide_conditions_set (conditions, TIDE_CONDITION_SUPPLY, supply);
    }
}

static void
propose_cable (GPtrArray *words, TideConditions *conditions)
{
  for (guint i = 1; i < words->len; i++)
    {
      g_autofree char *cable = NULL;

      if (!is_word (words, i, "cable"))
        continue;
      cable = join_words (words, i - 1, i + 1);
      tide_conditions_set (conditions, TIDE_CONDITION_CABLE, cable);
    }
}

/* Public */

GPtrArray *
tide_labels_propose (const char *const *files, guint n)
{
  GPtrArray *labels = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_conditions_free);
  g_autoptr (GPtrArray) split = g_ptr_array_new_with_free_func ((GDestroyNotify)g_ptr_array_unref);
  g_autoptr (GPtrArray) names = NULL;

  for (guint i = 0; i < n; i++)
    g_ptr_array_add (split, split_words (files[i]));
  if (n > 1)
    names = make_short_names (split);
  for (guint i = 0; i < n; i++)
    {
      TideConditions *conditions = tide_conditions_new ();
      GPtrArray *words = split->pdata[i];
      g_autofree char *whole = join_words (words, 0, words->len);

      tide_conditions_set (conditions, TIDE_CONDITION_NAME,
                           names != NULL ? names->pdata[i] : whole);
      propose_port (words, conditions);
      propose_mode (words, conditions);
      propose_supply (words, conditions);
      propose_cable (words, conditions);
      g_ptr_array_add (labels, conditions);
    }
  return labels;
}
