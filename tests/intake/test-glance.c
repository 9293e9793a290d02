/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Glances at files: which are sure, which are asked about, what is probed, what is refused. The
 * files are the project's own. */
#include "intake/glance.h"

#include <string.h>

#include "library/support.h"

#define SURE "Time(s),Voltage(V),Current(A)\n0,20,1\n10,20,1\n20,20,1\n30,20,1\n"
#define DATED                                                                                      \
  "Date time,Voltage(V),Current(A)\n03/04/2026 10:00:00,20,1\n03/04/2026 "                         \
  "10:00:10,20,1\n03/04/2026 10:00:20,20,1\n"
#define TIMELESS "Voltage(V),Current(A)\n20,1\n20,1.1\n20,1.2\n20,1.1\n"
#define NAMELESS "0,20,1\n10,20,1.1\n20,20,1.2\n30,20,1.1\n"
#define PROSE    "Dear reader,\nthis is a letter.\nYours\n"

static GFile *
write_file (Place *place, const char *name, const char *text)
{
  g_autofree char *path = g_build_filename (place->folder, name, NULL);

  g_assert_true (g_file_set_contents (path, text, -1, NULL));
  return g_file_new_for_path (path);
}

static TideGlance *
take (TideStore *store, GFile *file, const TideReadingRule *rule)
{
  g_autoptr (GError) error = NULL;
  TideGlance *glance = tide_glance_take (store, file, rule, NULL, &error);

  g_assert_no_error (error);
  return glance;
}

static void
test_kinds (Place *place, gconstpointer unused)
{
  static const struct
  {
    const char *text;
    gboolean sure, open, probe;
    int error;      /* -1: none */
    guint64 header; /* the row of the names that is shown all the same */
    guint supposed;
  } kinds[] = {
    { SURE, TRUE, FALSE, FALSE, -1, 1, 0 },
    { DATED, FALSE, TRUE, FALSE, -1, 1, 0 },
    { TIMELESS, FALSE, FALSE, TRUE, TIDE_READING_ERROR_NO_TIME, 1, 0 },
    { NAMELESS, FALSE, FALSE, TRUE, TIDE_READING_ERROR_NO_TABLE, 0, 1 },
    { "Time (s),Alpha,Beta\n0,5,1\n1,5,1\n", FALSE, FALSE, TRUE, TIDE_READING_ERROR_NO_TABLE, 1,
      2 },
    { "Alpha,Time (s),Beta\n5,0,1\n5,1,1\n", FALSE, FALSE, TRUE, TIDE_READING_ERROR_NO_TABLE, 1,
      1 },
  };
  g_autoptr (TideStore) store = open_store (place->path);

  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    {
      g_autoptr (GFile) file = write_file (place, "log.csv", kinds[i].text);
      g_autoptr (TideGlance) glance = take (store, file, NULL);

      g_test_message ("%u", i);
      g_assert_cmpstr (tide_glance_get_name (glance), ==, "log.csv");
      g_assert_cmpint (tide_glance_is_sure (glance), ==, kinds[i].sure);
      g_assert_cmpint (tide_glance_is_probe (glance), ==, kinds[i].probe);
      g_assert_nonnull (tide_glance_get_tables (glance));
      g_assert_cmpuint (tide_understanding_get_header_row (
                            tide_glance_get_tables (glance)->pdata[0]),
                        ==, kinds[i].header);
      g_assert_cmpuint (tide_glance_get_supposed (glance), ==, kinds[i].supposed);
      if (!kinds[i].probe)
        g_assert_cmpint (tide_glance_has_open (glance), ==, kinds[i].open);
      if (kinds[i].error < 0)
        g_assert_null (tide_glance_get_error (glance));
      else
        g_assert_error (tide_glance_get_error (glance), TIDE_READING_ERROR, kinds[i].error);
      g_assert_cmpint (*tide_glance_get_signature (glance) != '\0', ==, !kinds[i].probe);
      g_assert_true (tide_reading_rule_is_empty (tide_glance_get_rule (glance)));
    }
}

/* What nothing can mend is an error at once, but stands in the glance while a person states things.
 */
static void
test_refused (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GFile) prose = write_file (place, "prose.txt", PROSE);
  g_autoptr (GFile) missing = g_file_get_child (prose, "missing.csv");
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (TideGlance) stated = NULL;
  g_autoptr (GCancellable) cancelled = g_cancellable_new ();
  g_autoptr (GError) no_table = NULL, no_file = NULL, stopped = NULL;

  g_assert_null (tide_glance_take (store, prose, NULL, NULL, &no_table));
  g_assert_error (no_table, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE);
  g_assert_null (tide_glance_take (store, missing, NULL, NULL, &no_file));
  g_assert_cmpint (no_file->domain, ==, G_IO_ERROR);
  stated = take (store, missing, rule);
  g_assert_cmpint (tide_glance_get_error (stated)->domain, ==, G_IO_ERROR);
  g_assert_null (tide_glance_get_tables (stated));
  g_assert_false (tide_glance_is_sure (stated));
  g_cancellable_cancel (cancelled);
  g_assert_null (tide_glance_take (store, prose, rule, cancelled, &stopped));
  g_assert_error (stopped, G_IO_ERROR, G_IO_ERROR_CANCELLED);
}

/* A remembered rule becomes what is stated, and makes the file sure. */
static void
test_remembered (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GFile) file = write_file (place, "dated.csv", DATED);
  g_autoptr (TideGlance) before = take (store, file, NULL), after = NULL, request = NULL;
  const TideQuestion *question =
      tide_understanding_get_questions (tide_glance_get_tables (before)->pdata[0])->pdata[0];
  const TideAnswer *answer = question->answers->pdata[0];
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_autoptr (TideConditions) stated = tide_conditions_new ();
  g_autofree char *text = NULL, *key = NULL, *other_key = NULL;

  g_assert_true (tide_reading_rule_set (rule, answer->key, answer->text, NULL));
  text = tide_reading_rule_to_text (rule);
  g_assert_cmpint (tide_store_save_rule (store, "Dated", tide_glance_get_signature (before), text,
                                         NULL),
                   >, 0);
  after = take (store, file, NULL);
  g_assert_cmpstr (tide_glance_get_rule_name (after), ==, "Dated");
  g_assert_true (tide_reading_rule_equal (tide_glance_get_rule (after), rule));
  g_assert_true (tide_glance_is_sure (after));

  tide_conditions_set (stated, TIDE_CONDITION_PORT, "base");
  request = tide_glance_request (before, rule, stated, TRUE);
  g_assert_true (tide_glance_get_replace (request));
  g_assert_true (g_file_equal (tide_glance_get_file (request), file));
  g_assert_cmpstr (tide_conditions_get (tide_glance_get_stated (request), TIDE_CONDITION_PORT), ==,
                   "base");
  key = tide_glance_dup_key (before);
  other_key = tide_glance_dup_key (after);
  g_assert_cmpstr (key, !=, other_key);
}

/* The same header and the same question look alike; another header, or an error, does not. */
static void
test_alike (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (GFile) one = write_file (place, "one.csv", DATED);
  g_autoptr (GFile) two = write_file (place, "two.csv", DATED "03/04/2026 10:00:30,20,1\n");
  g_autoptr (GFile) other = write_file (place, "other.csv", SURE);
  g_autoptr (TideGlance) first = take (store, one, NULL), second = take (store, two, NULL);
  g_autoptr (TideGlance) third = take (store, other, NULL), refused = NULL;
  g_autofree char *a = tide_glance_dup_key (first), *b = tide_glance_dup_key (second);
  g_autofree char *c = tide_glance_dup_key (third), *d = NULL;

  g_assert_cmpstr (a, ==, b);
  g_assert_cmpstr (a, !=, c);
  refused = tide_glance_refused (first, g_error_new_literal (TIDE_READING_ERROR,
                                                             TIDE_READING_ERROR_BROKEN, "broken"));
  d = tide_glance_dup_key (refused);
  g_assert_cmpstr (a, !=, d);
  g_assert_false (tide_glance_is_sure (refused));
  g_assert_true (tide_glance_can_mend (tide_glance_get_error (refused)));
}

#define ADD(path, test) g_test_add (path, Place, NULL, set_up_place, test, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("/glance/kinds", test_kinds);
  ADD ("/glance/refused", test_refused);
  ADD ("/glance/remembered", test_remembered);
  ADD ("/glance/alike", test_alike);
  return g_test_run ();
}
