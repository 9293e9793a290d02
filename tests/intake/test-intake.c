/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The road into the library: twice the same file, dates, numbered names, giving up. */
#include "intake/intake.h"

#include <string.h>

#include "library/support.h"

/* 10 W for ten seconds, from a file that tells when (UTC, as the tests run). */
static const char LOG[] = "Time,Power (W)\n"
                          "2024-05-01 13:45:30,10\n"
                          "2024-05-01 13:45:35,10\n"
                          "2024-05-01 13:45:40,10\n";
/* and a second one behind it */
static const char TWO[] = "Time (s),Power (W)\n0,10\n5,10\n10,10\n0,20\n5,20\n10,20\n";

static GArray *
try_in (TideStore *store, const char *text, const TideIntakeOptions *options, GError **error)
{
  g_autoptr (GBytes) bytes = g_bytes_new_static (text, strlen (text));

  return tide_intake_bytes (store, bytes, "log.csv", options, NULL, error);
}

/* The number of run part, from 0, of several. */
static gint64
take_in (TideStore *store,
         const char *text,
         const TideIntakeOptions *options,
         guint part,
         guint n_parts,
         gboolean expected)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GArray) stored = try_in (store, text, options, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (stored->len, ==, n_parts);
  for (guint i = 0; i < n_parts; i++)
    {
      g_assert_cmpuint (g_array_index (stored, TideStored, i).part, ==, i + 1);
      g_assert_cmpint (g_array_index (stored, TideStored, i).already_there, ==, expected);
    }
  return g_array_index (stored, TideStored, part).id;
}

static TideRunInfo *
get_info (TideStore *store, gint64 id)
{
  g_autoptr (GError) error = NULL;
  TideRunInfo *info = tide_store_get (store, id, &error);

  g_assert_no_error (error);
  return info;
}

static void
test_once (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  gint64 id = take_in (store, LOG, NULL, 0, 1, FALSE);
  g_autoptr (TideRunInfo) info = get_info (store, id);

  g_assert_cmpfloat_with_epsilon (info->energy_wh, 100 / 3600., 1e-15);
  g_assert_cmpstr (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), ==, "log");
  g_assert_cmpstr (info->file, ==, "log.csv");
  g_assert_cmpint (take_in (store, LOG, NULL, 0, 1, TRUE), ==, id);
  /* the second time gave no number away */
  g_assert_cmpint (take_in (store, TWO, NULL, 0, 2, FALSE), ==, id + 1);
}

/* Takes in one table of a text and gives its run's number. */
static gint64
take_table (TideStore *store,
            const char *text,
            const char *table,
            gboolean replace,
            gboolean expected)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideIntakeOptions options = { .read.rule = rule, .replace = replace };

  g_assert_true (tide_reading_rule_set (rule, "table", table, NULL));
  return take_in (store, text, &options, 0, 1, expected);
}

static guint
count_runs (TideStore *store)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_store_list (store, &error);

  g_assert_no_error (error);
  return runs->len;
}

/* A run is known by where in its file it stands, not by how many were read before it. */
static void
test_tables_one_by_one (Place *place, gconstpointer unused)
{
  static const char tables[] = "Time (s),Power (W)\n0,10\n5,10\n10,10\n\n"
                               "Time (s),Voltage (V),Current (A)\n0,5,4\n5,5,4\n10,5,4\n";
  g_autoptr (TideStore) store = open_store (place->path);
  gint64 second = take_table (store, tables, "2", FALSE, FALSE);
  gint64 first = take_table (store, tables, "1", FALSE, FALSE);
  g_autoptr (GError) error = NULL;
  g_autoptr (GArray) both = try_in (store, tables, NULL, &error);

  g_assert_no_error (error);
  g_assert_cmpuint (both->len, ==, 2);
  g_assert_cmpint (g_array_index (both, TideStored, 0).id, ==, first);
  g_assert_cmpint (g_array_index (both, TideStored, 1).id, ==, second);

  /* one read anew leaves the other alone, and comes once however often it is brought back */
  gint64 anew = take_table (store, tables, "2", TRUE, FALSE);
  g_assert_true (tide_store_restore (store, second, &error));
  g_assert_cmpuint (count_runs (store), ==, 3);
  take_table (store, tables, "2", TRUE, FALSE);
  g_assert_cmpuint (count_runs (store), ==, 2);
  g_assert_cmpint (take_table (store, tables, "1", FALSE, TRUE), ==, first);
  g_assert_cmpint (anew, >, first);
}

/* With another row of names the same text is read anew, not twice. */
static void
test_other_names (Place *place, gconstpointer unused)
{
  static const char text[] = "Time (s),Power (W)\n0,10\n5,10\n10,10\n";
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideIntakeOptions options = { .read.rule = rule, .replace = TRUE };
  gint64 old = take_in (store, text, NULL, 0, 1, FALSE);

  tide_reading_rule_set (rule, "header", "0", NULL);
  tide_reading_rule_set (rule, "column", "t=1:s", NULL);
  tide_reading_rule_set (rule, "column", "w=2:W", NULL);
  g_assert_cmpint (take_in (store, text, &options, 0, 1, FALSE), !=, old);
  g_assert_cmpuint (count_runs (store), ==, 1);
}

/* Read anew, a file's runs take the place of those that were there, with their conditions and
 * colour. */
static void
test_replace (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  gint64 old = take_in (store, TWO, NULL, 1, 2, FALSE);
  g_autoptr (TideConditions) conditions = tide_conditions_new ();
  TideIntakeOptions again = { .replace = TRUE };
  gint64 id;

  tide_conditions_set (conditions, TIDE_CONDITION_NAME, "Base port");
  tide_conditions_set (conditions, TIDE_CONDITION_DEVICE, "Tablet");
  g_assert_true (tide_store_set_conditions (store, old, conditions, NULL));
  g_assert_true (tide_store_set_slot (store, old, 5, NULL));
  id = take_in (store, TWO, &again, 1, 2, FALSE);
  g_assert_cmpint (id, >, old);
  g_autoptr (TideRunInfo) info = get_info (store, id);
  g_autoptr (GPtrArray) list = tide_store_list (store, NULL);
  g_assert_cmpstr (tide_conditions_get (info->conditions, TIDE_CONDITION_NAME), ==, "Base port");
  g_assert_cmpuint (info->slot, ==, 5);
  g_assert_cmpuint (list->len, ==, 2);
  g_assert_true (tide_store_restore (store, old, NULL));
}

/* The date of the run that take_in () put there. Transfer full. */
static char *
dup_date (TideStore *store, gint64 id)
{
  g_autoptr (TideRunInfo) info = get_info (store, id);

  return g_strdup (tide_conditions_get (info->conditions, TIDE_CONDITION_DATE));
}

/* A date that the clock told is read anew, one that a person wrote stays; also where the log tells
 * none any more. */
static void
test_replace_date (Place *place, gconstpointer unused)
{
  const char *log = "Time,Power (W)\n03/04/2026 10:00:00,5\n03/04/2026 10:00:05,5\n";
  static const struct
  {
    const char *first, *person, *second, *date;
  } cases[] = {
    { "%d/%m/%Y %H:%M:%S", NULL, "%m/%d/%Y %H:%M:%S", "2026-03-04 10:00" },
    { "%m/%d/%Y %H:%M:%S", "in spring", "%d/%m/%Y %H:%M:%S", "in spring" },
    { "%m/%d/%Y %H:%M:%S", "", "%d/%m/%Y %H:%M:%S", "" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (TideStore) store = open_store (place->path);
      g_autoptr (TideReadingRule) first = tide_reading_rule_new ();
      g_autoptr (TideReadingRule) second = tide_reading_rule_new ();
      TideIntakeOptions options = { .read.rule = first };
      TideIntakeOptions again = { .read.rule = second, .replace = TRUE };

      g_assert_true (tide_reading_rule_set (first, "time", cases[i].first, NULL));
      g_assert_true (tide_reading_rule_set (second, "time", cases[i].second, NULL));
      gint64 old = take_in (store, log, &options, 0, 1, FALSE);
      if (cases[i].person != NULL)
        {
          g_autoptr (TideConditions) conditions = make_conditions ("log", "Tablet");

          tide_conditions_set (conditions, TIDE_CONDITION_DATE, cases[i].person);
          g_assert_true (tide_store_set_conditions (store, old, conditions, NULL));
        }
      gint64 id = take_in (store, log, &again, 0, 1, FALSE);
      g_autofree char *date = dup_date (store, id);
      g_assert_cmpstr (date, ==, cases[i].date);
      g_assert_true (tide_store_remove (store, id, NULL));
    }
}

static void
test_date (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideConditions) stated = tide_conditions_new ();
  TideIntakeOptions options = { .stated = stated, .replace = TRUE };
  g_autoptr (TideRunInfo) from_clock =
      get_info (store, take_in (store, LOG, &options, 0, 1, FALSE));

  g_assert_cmpstr (tide_conditions_get (from_clock->conditions, TIDE_CONDITION_DATE), ==,
                   "2024-05-01 13:45");
  g_assert_true (tide_store_remove (store, from_clock->id, NULL));
  tide_conditions_set (stated, TIDE_CONDITION_DATE, "2024-04-30");
  g_autoptr (TideRunInfo) from_person =
      get_info (store, take_in (store, LOG, &options, 0, 1, FALSE));
  g_assert_cmpstr (tide_conditions_get (from_person->conditions, TIDE_CONDITION_DATE), ==,
                   "2024-04-30");
  /* what was stated is left as it was */
  g_assert_cmpstr (tide_conditions_get (stated, TIDE_CONDITION_NAME), ==, "");
}

static void
test_names (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideConditions) stated = tide_conditions_new ();
  TideIntakeOptions options = { .stated = stated };

  tide_conditions_set (stated, TIDE_CONDITION_NAME, "Left port");
  g_autoptr (TideRunInfo) numbered = get_info (store, take_in (store, TWO, &options, 1, 2, FALSE));
  g_autoptr (TideRunInfo) alone = get_info (store, take_in (store, LOG, &options, 0, 1, FALSE));
  g_assert_cmpstr (tide_conditions_get (numbered->conditions, TIDE_CONDITION_NAME), ==,
                   "Left port (2)");
  g_assert_cmpstr (tide_conditions_get (alone->conditions, TIDE_CONDITION_NAME), ==, "Left port");
}

/* What cannot be read leaves nothing, also when a recording was whole before the trouble. */
static void
test_undone (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GString) text = g_string_new ("Time (s),Power (W)\n");
  g_autoptr (GError) error = NULL;

  for (guint i = 0; i < 200000; i++)
    g_string_append_printf (text, "%u,%u\n", i % 150000, i % 100);
  g_string_append (text, "5,\"never closed\n6,7\n");
  g_assert_null (try_in (store, text->str, NULL, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN);
  g_assert_true (g_str_has_prefix (error->message, "log.csv: "));
  assert_whole (place->path, 0);
}

static void
test_given_up (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GBytes) bytes = g_bytes_new_static (LOG, strlen (LOG));
  g_autoptr (GCancellable) cancellable = g_cancellable_new ();
  g_autoptr (GError) error = NULL;

  g_cancellable_cancel (cancellable);
  g_assert_null (tide_intake_bytes (store, bytes, "log.csv", NULL, cancellable, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  assert_whole (place->path, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add ("/intake/once", Place, NULL, set_up_place, test_once, tear_down_place);
  g_test_add ("/intake/replace-date", Place, NULL, set_up_place, test_replace_date,
              tear_down_place);
  g_test_add ("/intake/tables-one-by-one", Place, NULL, set_up_place, test_tables_one_by_one,
              tear_down_place);
  g_test_add ("/intake/other-names", Place, NULL, set_up_place, test_other_names, tear_down_place);
  g_test_add ("/intake/replace", Place, NULL, set_up_place, test_replace, tear_down_place);
  g_test_add ("/intake/undone", Place, NULL, set_up_place, test_undone, tear_down_place);
  g_test_add ("/intake/date", Place, NULL, set_up_place, test_date, tear_down_place);
  g_test_add ("/intake/names", Place, NULL, set_up_place, test_names, tear_down_place);
  g_test_add ("/intake/given-up", Place, NULL, set_up_place, test_given_up, tear_down_place);
  return g_test_run ();
}
