/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Words are looked up one by one, the library opened by the first that needs it and closed after
 * the last. Cost: every run's samples are loaded or read, whatever is asked of them later.
 */
#include "command/sources.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "command/arguments.h"
#include "recording/run-name.h"

/* The library while words are looked up: opened by the first that needs it. */
typedef struct
{
  const char *path;
  TideStore *store;      /* NULL: not opened yet */
  TideReadingRule *rule; /* NULL: none was stated */
} Shelf;

static void
clear_shelf (Shelf *shelf)
{
  g_clear_pointer (&shelf->store, tide_store_free);
  g_clear_pointer (&shelf->rule, tide_reading_rule_free);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Shelf, clear_shelf)

/* Helpers */

static void
free_source (gpointer data)
{
  TideSource *source = data;
  tide_conditions_free (source->conditions);
  tide_recording_unref (source->recording);
  g_free (source);
}

/* Takes conditions and recording. */
static void
add_source (GPtrArray *sources,
            gint64 id,
            TideConditions *conditions,
            TideRecording *recording,
            guint slot)
{
  TideSource *source = g_new0 (TideSource, 1);
  source->id = id;
  source->conditions = conditions;
  source->recording = recording;
  source->slot = slot;
  g_ptr_array_add (sources, source);
}

static gboolean
is_number (const char *word)
{
  return strspn (word, "0123456789") == strlen (word);
}

static gboolean
is_path (const char *word)
{
  return g_file_test (word, G_FILE_TEST_EXISTS);
}

static TideStore *
get_store (Shelf *shelf, GError **error)
{
  if (shelf->store == NULL)
    shelf->store = tide_sources_open_library (shelf->path, error);
  return shelf->store;
}

static gboolean
add_from_library (GPtrArray *sources, TideStore *store, gint64 id, GError **error)
{
  g_autoptr (TideRunInfo) info = tide_store_get (store, id, error);
  if (info == NULL)
    return FALSE;
  TideRecording *recording = tide_store_load (store, id, error);
  if (recording == NULL)
    return FALSE;
  add_source (sources, id, g_steal_pointer (&info->conditions), recording, info->slot);
  return TRUE;
}

static gboolean
add_by_number (GPtrArray *sources, Shelf *shelf, const char *word, GError **error)
{
  TideStore *store = get_store (shelf, error);
  if (store == NULL)
    return FALSE;
  guint64 id;
  if (!g_ascii_string_to_unsigned (word, 10, 1, G_MAXINT64, &id, NULL))
    {
      g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND, _ ("%s: no run has that number"), word);
      return FALSE;
    }
  return add_from_library (sources, store, (gint64)id, error);
}

/* As a library would call them, but with "(part)" behind a name that several have. Transfer full.
 */
static GPtrArray *
make_names (GPtrArray *recordings)
{
  GPtrArray *told = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GPtrArray) names = g_ptr_array_new_with_free_func (g_free);
  g_autoptr (GHashTable) seen = g_hash_table_new (g_str_hash, g_str_equal);
  g_autoptr (GHashTable) shared = g_hash_table_new (g_str_hash, g_str_equal);
  for (guint i = 0; i < recordings->len; i++)
    {
      const TideRecording *recording = g_ptr_array_index (recordings, i);
      char *name = tide_run_name_make (tide_recording_get_file (recording),
                                       tide_recording_get_label (recording));
      g_ptr_array_add (names, name);
      if (!g_hash_table_add (seen, name))
        g_hash_table_add (shared, name);
    }
  for (guint i = 0; i < names->len; i++)
    {
      const char *name = g_ptr_array_index (names, i);
      guint part = tide_recording_get_part (g_ptr_array_index (recordings, i));
      g_ptr_array_add (told, g_hash_table_contains (shared, name)
                                 ? g_strdup_printf ("%s (%u)", name, part)
                                 : g_strdup (name));
    }
  return told;
}

static gboolean
add_from_file (GPtrArray *sources, Shelf *shelf, const char *path, GError **error)
{
  const TideReadOptions options = { .rule = shelf->rule };
  g_autoptr (GError) failure = NULL;
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (path);
  g_autoptr (GPtrArray) recordings = tide_read_file (file, &options, NULL, &failure);
  if (recordings == NULL)
    {
      g_autoptr (GPtrArray) tables = tide_file_can_be_read_again (file)
                                         ? tide_understand_file (file, &options, NULL, NULL)
                                         : NULL;
      tide_reading_error_hint (failure, tables);
      g_propagate_error (error, g_steal_pointer (&failure));
      return FALSE;
    }
  g_autoptr (GPtrArray) names = make_names (recordings);
  for (guint i = 0; i < recordings->len; i++)
    {
      TideRecording *recording = g_ptr_array_index (recordings, i);
      TideConditions *conditions = tide_conditions_new ();
      tide_conditions_set (conditions, TIDE_CONDITION_NAME, g_ptr_array_index (names, i));
      add_source (sources, 0, conditions, tide_recording_ref (recording), G_MAXUINT);
    }
  return TRUE;
}

/* The numbers of all runs of that name, as people list them. */
static char *
list_namesakes (TideStore *store, const char *name, GError **error)
{
  g_autoptr (GPtrArray) infos = tide_store_list (store, error);
  if (infos == NULL)
    return NULL;
  GString *list = g_string_new (NULL);
  for (guint i = 0; i < infos->len; i++)
    {
      const TideRunInfo *info = g_ptr_array_index (infos, i);
      if (g_strcmp0 (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), name) == 0)
        g_string_append_printf (list, "%s%" G_GINT64_FORMAT, list->len > 0 ? ", " : "", info->id);
    }
  return g_string_free (list, FALSE);
}

/* 0: no run is called that; -1: error. */
static gint64
find_name (TideStore *store, const char *name, GError **error)
{
  guint n_matches = 0;
  gint64 id = tide_store_find_name (store, name, &n_matches, error);
  if (id < 0 || n_matches < 2)
    return id;
  g_autofree char *numbers = list_namesakes (store, name, error);
  if (numbers != NULL)
    g_set_error (error, G_IO_ERROR, G_IO_ERROR_INVALID_ARGUMENT,
                 _ ("%s: %u runs are called that, numbers %s; use a number"), name, n_matches,
                 numbers);
  return -1;
}

/* Without a library no run can have that name. */
static gboolean
add_by_path_alone (GPtrArray *sources, Shelf *shelf, const char *word, GError **error)
{
  if (is_path (word))
    return add_from_file (sources, shelf, word, error);
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
               _ ("%s: no such file, nor a library at %s to look for a run of that name"), word,
               shelf->path);
  return FALSE;
}

/* A name where there is a run of it; else the file of that path. */
static gboolean
add_by_name_or_path (GPtrArray *sources, Shelf *shelf, const char *word, GError **error)
{
  if (!is_path (shelf->path))
    return add_by_path_alone (sources, shelf, word, error);
  TideStore *store = get_store (shelf, error);
  if (store == NULL)
    return FALSE;
  gint64 id = g_utf8_validate (word, -1, NULL) ? find_name (store, word, error) : 0;
  if (id != 0)
    return id > 0 && add_from_library (sources, store, id, error);
  if (is_path (word))
    return add_from_file (sources, shelf, word, error);
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
               _ ("%s: no run of that name in %s and no such file"), word, shelf->path);
  return FALSE;
}

static gboolean
add_word (GPtrArray *sources, Shelf *shelf, const char *word, GError **error)
{
  if (shelf->rule != NULL)
    return add_from_file (sources, shelf, word, error);
  if (is_number (word))
    return add_by_number (sources, shelf, word, error);
  if (strchr (word, '/') != NULL && is_path (word))
    return add_from_file (sources, shelf, word, error);
  return add_by_name_or_path (sources, shelf, word, error);
}

static gboolean
is_slot_taken (GPtrArray *sources, guint slot)
{
  for (guint i = 0; i < sources->len; i++)
    if (((TideSource *)g_ptr_array_index (sources, i))->slot == slot)
      return TRUE;
  return FALSE;
}

/* The library's runs keep their colour; those of no library get what is left. */
static void
give_slots (GPtrArray *sources)
{
  guint next = 0;
  for (guint i = 0; i < sources->len; i++)
    {
      TideSource *source = g_ptr_array_index (sources, i);
      if (source->id != 0)
        continue;
      while (is_slot_taken (sources, next))
        next++;
      source->slot = next;
    }
}

/* The same run under two words: one number of the library, or the same file name, the same content
 * and the same part of it. A copy under another name is another run. */
static gboolean
is_same_run (const TideSource *a, const TideSource *b)
{
  if (a->id != 0 && b->id != 0)
    return a->id == b->id;
  const TideRecording *p = a->recording, *q = b->recording;
  return g_strcmp0 (tide_recording_get_sha256 (p), tide_recording_get_sha256 (q)) == 0
         && g_strcmp0 (tide_recording_get_file (p), tide_recording_get_file (q)) == 0
         && tide_recording_get_part (p) == tide_recording_get_part (q);
}

static void
drop_repeats (GPtrArray *sources)
{
  for (guint i = 0; i < sources->len; i++)
    for (guint k = sources->len - 1; k > i; k--)
      if (is_same_run (g_ptr_array_index (sources, i), g_ptr_array_index (sources, k)))
        g_ptr_array_remove_index (sources, k);
}

static gboolean
add_words (GPtrArray *sources, Shelf *shelf, char **words, GError **error)
{
  for (guint i = 0; words[i] != NULL; i++)
    if (!add_word (sources, shelf, words[i], error))
      return FALSE;
  return TRUE;
}

static gboolean
take_rule (Shelf *shelf, const TideReadingSwitches *reading, GError **error)
{
  if (!tide_reading_switches_are_given (reading))
    return TRUE;
  shelf->rule = tide_reading_switches_make_rule (reading, shelf->path, error);
  return shelf->rule != NULL;
}

static gboolean
add_reference (GPtrArray *sources, Shelf *shelf, const char *reference, GError **error)
{
  if (!add_word (sources, shelf, reference, error))
    return FALSE;
  if (sources->len == 1)
    return TRUE;
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_INVALID_ARGUMENT,
               _ ("%s: holds %u runs, a reference is one; import the file and use a number"),
               reference, sources->len);
  return FALSE;
}

/* Public */

GPtrArray *
tide_sources_find (const char *library,
                   const TideReadingSwitches *reading,
                   char **words,
                   GError **error)
{
  g_autoptr (GPtrArray) sources = g_ptr_array_new_with_free_func (free_source);
  g_auto (Shelf) shelf = { .path = library };
  if (!take_rule (&shelf, reading, error) || !add_words (sources, &shelf, words, error))
    return NULL;
  give_slots (sources);
  return g_steal_pointer (&sources);
}

GPtrArray *
tide_sources_find_distinct (const char *library,
                            const TideReadingSwitches *reading,
                            const char *reference,
                            char **words,
                            GError **error)
{
  g_autoptr (GPtrArray) sources = g_ptr_array_new_with_free_func (free_source);
  g_auto (Shelf) shelf = { .path = library };
  if (!take_rule (&shelf, reading, error)
      || (reference != NULL && !add_reference (sources, &shelf, reference, error))
      || !add_words (sources, &shelf, words, error))
    return NULL;
  drop_repeats (sources);
  give_slots (sources);
  return g_steal_pointer (&sources);
}

const char *
tide_sources_get_help (void)
{
  return _ ("A RUN is a number of the library, the name of a run in it, or the path of an export, "
            "of which\nnothing is stored. A word is tried in that order; ./NAME is always a path. "
            "Where it is said how\nan export is read, every RUN is a path.");
}

TideStore *
tide_sources_open_library (const char *path, GError **error)
{
  if (g_file_test (path, G_FILE_TEST_EXISTS))
    return tide_store_open (path, error);
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
               _ ("%s: no library there yet; “tide import FILE…” or “tide demo” makes one"), path);
  return NULL;
}

TideComparison *
tide_sources_compare (GPtrArray *sources, GError **error)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  for (guint i = 0; i < sources->len; i++)
    {
      const TideSource *source = g_ptr_array_index (sources, i);
      if (!tide_comparison_add (comparison, source->id, source->conditions, source->recording, NULL,
                                source->slot, error))
        return NULL;
    }
  return g_steal_pointer (&comparison);
}
