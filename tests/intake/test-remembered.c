/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rules that the library remembers: found by the header they were kept for, under what is stated,
 * left out or refused where they no longer fit.
 */
#include "intake/remembered.h"

#include <glib/gstdio.h>
#include <string.h>
#include <sys/stat.h>

#include "library/support.h"

static void
remember (TideStore *store, const char *name, const char *signature, const char *texts)
{
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  g_auto (GStrv) all = g_strsplit (texts, "\t", -1);
  g_autoptr (GError) error = NULL;

  for (guint i = 0; all[i] != NULL; i++)
    {
      g_auto (GStrv) pair = g_strsplit (all[i], "=", 2);

      tide_reading_rule_set (rule, pair[0], pair[1], &error);
      g_assert_no_error (error);
    }
  g_autofree char *text = tide_reading_rule_to_text (rule);
  g_assert_cmpint (tide_store_save_rule (store, name, signature, text, &error), >, 0);
  g_assert_no_error (error);
}

typedef struct
{
  TideRemembered found;
  GError *error;
} Outcome;

static void
clear_outcome (Outcome *outcome)
{
  tide_remembered_clear (&outcome->found);
  g_clear_error (&outcome->error);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Outcome, clear_outcome)

static Outcome
find (TideStore *store, const char *text, const char *key, const char *stated)
{
  Outcome outcome = { 0 };
  g_autoptr (GBytes) bytes = g_bytes_new (text, strlen (text));
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();
  TideIntakeOptions options = { .read.rule = rule };

  if (key != NULL)
    g_assert_true (tide_reading_rule_set (rule, key, stated, NULL));
  gboolean is_found = tide_remembered_find (&outcome.found, store, NULL, bytes, "log.csv", &options,
                                            NULL, &outcome.error);
  g_assert_cmpint (is_found, ==, outcome.error == NULL);
  g_assert_cmpint (is_found, ==, outcome.found.tables != NULL && outcome.error == NULL);
  return outcome;
}

static TideColumnReading
get_column (const Outcome *outcome, guint column)
{
  return tide_understanding_get_column (outcome->found.tables->pdata[0], column);
}

#define DATES                                                                                      \
  "Date,Power (W)\n03/04/2026 10:00:00,1\n03/04/2026 10:00:01,2\n03/04/2026 10:00:02,2\n"

static void
test_by_header (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_auto (Outcome) before = find (store, "Zeit,P\n0,1\n1,2\n", NULL, NULL);

  g_assert_null (before.found.name);
  const char *signature = tide_understanding_get_signature (before.found.tables->pdata[0]);
  remember (store, "older", signature, "column=w=2:W");
  remember (store, "bench", signature, "column=w=2:mW");
  g_auto (Outcome) after = find (store, "ZEIT;P\n0;1000\n1;2000\n", NULL, NULL);
  g_assert_no_error (after.error);
  g_assert_cmpstr (after.found.name, ==, "bench");
  g_assert_cmpstr (get_column (&after, 1).unit, ==, "mW");

  /* what is stated comes before what is remembered */
  g_auto (Outcome) stated = find (store, "Zeit,P\n0,1\n1,2\n", "column", "w=2:kW");
  g_assert_cmpstr (stated.found.name, ==, "bench");
  g_assert_cmpstr (get_column (&stated, 1).unit, ==, "kW");

  /* another header is another file */
  g_auto (Outcome) other = find (store, "Zeit,P,X\n0,1,1\n1,2,1\n", NULL, NULL);
  g_assert_null (other.found.name);
  g_assert_cmpstr (get_column (&other, 1).unit, ==, "W");
}

/* An open question is answered once for all files of that header. */
static void
test_answers (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_auto (Outcome) asked = find (store, DATES, NULL, NULL);
  GPtrArray *questions = tide_understanding_get_questions (asked.found.tables->pdata[0]);

  g_assert_cmpuint (questions->len, ==, 1);
  const TideAnswer *answer = ((const TideQuestion *)questions->pdata[0])->answers->pdata[1];
  g_autofree char *rule = g_strdup_printf ("%s=%s", answer->key, answer->text);
  remember (store, "dates", tide_understanding_get_signature (asked.found.tables->pdata[0]), rule);
  g_auto (Outcome) answered = find (store, DATES, NULL, NULL);
  g_assert_cmpstr (answered.found.name, ==, "dates");
  g_assert_cmpuint (tide_understanding_get_questions (answered.found.tables->pdata[0])->len, ==, 0);
}

/* A file that says nothing by itself is held against the rules there are. */
static void
test_not_understood (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  const char *text = "foo;bar\n0;1\n1;2\n";
  g_auto (Outcome) before = find (store, text, NULL, NULL);

  g_assert_error (before.error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE);
  remember (store, "wrong header",
            "foo\x1f"
            "baz",
            "column=t=1:s\tcolumn=w=2:W");
  g_auto (Outcome) wrong = find (store, text, NULL, NULL);
  g_assert_error (wrong.error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE);
  remember (store, "by number",
            "foo\x1f"
            "bar",
            "column=t=1:s\tcolumn=w=2:W");
  g_auto (Outcome) after = find (store, text, NULL, NULL);
  g_assert_no_error (after.error);
  g_assert_cmpstr (after.found.name, ==, "by number");

  /* a header that only the rule shows, above it another that would do */
  remember (store, "below", "zeit\x1fleistung", "header=4");
  g_auto (Outcome) below =
      find (store, "Time (s),Power (W)\n0,1\n1,1\nZeit,Leistung\n0,5\n1,6\n", NULL, NULL);
  g_assert_cmpstr (below.found.name, ==, "below");
  g_assert_cmpuint (tide_understanding_get_header_row (below.found.tables->pdata[0]), ==, 4);
}

/* Kept for this header, but not fit for the file. */
static void
test_no_fit (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  const char *sure = "Time (s),Power (W)\n0,1\n1,2\n";

  remember (store, "misfit", "time (s)\x1fpower (w)", "column=v=9");
  g_auto (Outcome) left_out = find (store, sure, NULL, NULL);
  g_assert_no_error (left_out.error);
  g_assert_null (left_out.found.name);
  g_assert_true (tide_reading_rule_is_empty (left_out.found.rule));
  g_assert_cmpuint (left_out.found.complaints->len, ==, 1);
  const TideComplaint *complaint = left_out.found.complaints->pdata[0];
  g_assert_nonnull (strstr (complaint->text, "\"misfit\" does not fit"));
  g_assert_false (tide_understanding_is_sure (left_out.found.tables->pdata[0]));

  /* not sure without it */
  remember (store, "misfit", "date\x1fpower (w)", "column=v=9");
  g_auto (Outcome) refused = find (store, DATES, NULL, NULL);
  g_assert_error (refused.error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE);
  g_assert_nonnull (
      strstr (refused.error->message, "the remembered rule \"misfit\" does not fit: "));
  g_assert_null (strchr (refused.error->message, '\n'));

  /* what the library holds is no rule */
  g_assert_cmpint (tide_store_save_rule (store, "damaged", "time (s)\x1fpower (w)", "nonsense",
                                         NULL),
                   >, 0);
  g_auto (Outcome) damaged = find (store, sure, NULL, NULL);
  g_assert_cmpuint (damaged.found.complaints->len, ==, 1);
}

/* A rule that fits the head may still fail the rows; the error names it. */
static void
test_import (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  const char *good = "foo;bar\n0;1\n1;2\n", *bad = "foo;bar\n0;1\n1;x\n2;x\n3;x\n";
  g_autoptr (GBytes) fits = g_bytes_new (good, strlen (good));
  g_autoptr (GBytes) fails = g_bytes_new (bad, strlen (bad));
  g_autoptr (GError) error = NULL;

  remember (store, "mine",
            "foo\x1f"
            "bar",
            "column=t=1:s\tcolumn=w=2:W");
  g_autoptr (GArray) stored = tide_intake_bytes (store, fits, "log.csv", NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (stored->len, ==, 1);
  g_assert_null (tide_intake_bytes (store, fails, "log.csv", NULL, NULL, &error));
  g_assert_nonnull (error);
  g_assert_nonnull (strstr (error->message, "by the remembered rule \"mine\": log.csv: "));
}

static gpointer
write_pipe_cb (gpointer path)
{
  FILE *pipe = g_fopen (path, "w");

  g_assert_nonnull (pipe);
  fputs ("Time (s);Power (W)\n0;5\n1;5\n2;5\n", pipe);
  return GINT_TO_POINTER (fclose (pipe) == 0);
}

/* To look for a rule would take the log's beginning out of the pipe, or wait for its writer for
 * ever: all of it is imported, without a rule. */
static void
test_pipe (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autofree char *path = g_strconcat (place->path, ".pipe", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  g_assert_cmpint (mkfifo (path, 0600), ==, 0);
  g_assert_false (tide_file_can_be_read_again (file));
  remember (store, "mine",
            "Time (s)\x1f"
            "Power (W)",
            "column=w=2:mW");
  GThread *writer = g_thread_new ("writer", write_pipe_cb, path);
  g_autoptr (GArray) stored = tide_intake_file (store, file, NULL, NULL, &error);
  g_assert_true (GPOINTER_TO_INT (g_thread_join (writer)));
  g_assert_no_error (error);
  g_assert_cmpuint (stored->len, ==, 1);

  gint64 id = g_array_index (stored, TideStored, 0).id;
  g_autoptr (TideRunInfo) info = tide_store_get (store, id, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (info->n_samples, ==, 3);
  g_autoptr (GPtrArray) complaints = tide_store_get_complaints (store, id, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (complaints->len, ==, 1);
  g_assert_nonnull (strstr (((TideComplaint *)complaints->pdata[0])->text, "only once"));
  g_assert_cmpint (g_unlink (path), ==, 0);
}

static void
test_understand (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autofree char *path = g_strconcat (place->path, ".csv", NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;
  g_autofree char *name = NULL;

  g_assert_true (g_file_set_contents (path, "foo;bar\n0;1\n1;2\n", -1, NULL));
  remember (store, "mine",
            "foo\x1f"
            "bar",
            "column=t=1:s\tcolumn=w=2:W");
  g_autoptr (GPtrArray) tables = tide_intake_understand (store, file, NULL, &name, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (tables->len, ==, 1);
  g_assert_cmpstr (name, ==, "mine");

  TideIntakeOptions alone = { .ignore_rules = TRUE };
  g_autofree char *none = NULL;
  g_assert_null (tide_intake_understand (store, file, &alone, &none, NULL, &error));
  g_assert_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE);
  g_assert_null (none);

  g_autoptr (GCancellable) cancelled = g_cancellable_new ();
  g_cancellable_cancel (cancelled);
  g_clear_error (&error);
  g_assert_null (tide_intake_understand (store, file, NULL, NULL, cancelled, &error));
  g_assert_error (error, G_IO_ERROR, G_IO_ERROR_CANCELLED);
  g_unlink (path);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add ("/intake/remembered/by-header", Place, NULL, set_up_place, test_by_header,
              tear_down_place);
  g_test_add ("/intake/remembered/answers", Place, NULL, set_up_place, test_answers,
              tear_down_place);
  g_test_add ("/intake/remembered/not-understood", Place, NULL, set_up_place, test_not_understood,
              tear_down_place);
  g_test_add ("/intake/remembered/no-fit", Place, NULL, set_up_place, test_no_fit, tear_down_place);
  g_test_add ("/intake/remembered/import", Place, NULL, set_up_place, test_import, tear_down_place);
  g_test_add ("/intake/remembered/understand", Place, NULL, set_up_place, test_understand,
              tear_down_place);
  g_test_add ("/intake/remembered/pipe", Place, NULL, set_up_place, test_pipe, tear_down_place);
  return g_test_run ();
}
