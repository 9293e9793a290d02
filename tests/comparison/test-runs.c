/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Runs in, out and replaced; the list model's announcements; names, slots and titles. Habits of the
 * project, no outside source.
 */
#include "synthetic.h"

static void
assert_names (TideComparison *comparison, const char *wanted)
{
  g_autoptr (GString) names = g_string_new (NULL);

  for (guint i = 0; i < g_list_model_get_n_items (G_LIST_MODEL (comparison)); i++)
    {
      g_autoptr (TideComparedRun) run = g_list_model_get_item (G_LIST_MODEL (comparison), i);

      g_assert_true (run == tide_comparison_get_run (comparison, i));
      g_string_append_printf (names, "%s%s", i > 0 ? " " : "", tide_compared_run_get_name (run));
    }
  g_assert_cmpstr (names->str, ==, wanted);
}

static void
test_in_and_out (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (Witness) witness = witness_new (comparison);

  g_assert_true (g_list_model_get_item_type (G_LIST_MODEL (comparison)) == TIDE_TYPE_COMPARED_RUN);
  add_charge (comparison, 0, "A", &charge_a);
  assert_heard (witness, "+0:0:1 !");
  add_charge (comparison, 0, "B", &charge_b);
  assert_heard (witness, "+1:0:1 !");
  add_charge (comparison, 7, "C", &charge_c);
  assert_heard (witness, "+2:0:1 !");
  assert_names (comparison, "A B C");
  g_assert_null (tide_comparison_get_run (comparison, 3));
  g_assert_null (g_list_model_get_item (G_LIST_MODEL (comparison), 3));

  tide_comparison_remove (comparison, 1);
  assert_heard (witness, "+1:1:0 !");
  assert_names (comparison, "A C");
  tide_comparison_clear (comparison);
  assert_heard (witness, "+0:2:0 !");
  tide_comparison_clear (comparison);
  assert_heard (witness, "");
  assert_names (comparison, "");
}

static void
test_replace (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (Witness) witness = NULL;
  TideComparedRun *run;
  double before_s;

  add_charge (comparison, 3, "A", &charge_a);
  add_charge (comparison, 4, "B", &charge_b);
  add_charge (comparison, 0, "file one", &charge_c);
  add_charge (comparison, 0, "file two", &charge_c);
  before_s = tide_comparison_get_shift_s (comparison, 1);
  witness = witness_new (comparison);

  add_charge (comparison, 4, "B again", &charge_b);
  assert_heard (witness, "+1:1:1 !");
  assert_names (comparison, "A B again file one file two");
  run = tide_comparison_get_run (comparison, 1);
  g_assert_cmpint (tide_compared_run_get_id (run), ==, 4);
  g_assert_cmpfloat (tide_comparison_get_shift_s (comparison, 1), ==, before_s);

  /* A new reference recording moves the others. */
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_SETTLE);
  before_s = tide_comparison_get_shift_s (comparison, 1);
  add_charge (comparison, 3, "A", &charge_b);
  g_assert_cmpfloat (tide_comparison_get_shift_s (comparison, 1), !=, before_s);
  g_assert_cmpfloat (tide_comparison_get_shift_s (comparison, 1), ==,
                     tide_comparison_get_shift_s (comparison, 0));
}

static void
test_find (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();

  add_charge (comparison, 0, "file", &charge_a);
  add_charge (comparison, 41, "A", &charge_a);
  g_assert_cmpuint (tide_comparison_find (comparison, 41), ==, 1);
  g_assert_cmpuint (tide_comparison_find (comparison, 42), ==, G_MAXUINT);
  g_assert_cmpuint (tide_comparison_find (comparison, 0), ==, G_MAXUINT);
}

/* Which run is the reference after each removal. */
static void
test_reference_follows (void)
{
  static const struct
  {
    guint reference, removed;
    const char *heard;
    guint left;
  } rows[] = {
    { 2, 0, "+0:1:0 reference !", 1 }, /* the same run, one further up */
    { 0, 2, "+2:1:0 !", 0 },
    { 2, 2, "+2:1:0 reference !", 0 }, /* the first of the rest */
    { 0, 0, "+0:1:0 !", 0 },           /* another run at the same position */
  };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (TideComparison) comparison = tide_comparison_new ();
      g_autoptr (Witness) witness = NULL;

      add_charge (comparison, 0, "A", &charge_a);
      add_charge (comparison, 0, "B", &charge_b);
      add_charge (comparison, 0, "C", &charge_c);
      tide_comparison_set_reference (comparison, rows[i].reference);
      witness = witness_new (comparison);
      tide_comparison_remove (comparison, rows[i].removed);
      assert_heard (witness, rows[i].heard);
      g_assert_cmpuint (tide_comparison_get_reference (comparison), ==, rows[i].left);
      g_assert_null (tide_comparison_get_difference (comparison, rows[i].left));
      g_assert_nonnull (tide_comparison_get_difference (comparison, 1 - rows[i].left));
    }
}

static void
test_clear_forgets (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (Witness) witness = NULL;

  add_charge (comparison, 0, "A", &charge_a);
  add_charge (comparison, 0, "B", &charge_b);
  tide_comparison_set_reference (comparison, 1);
  tide_comparison_set_view (comparison, 100, 200);
  tide_comparison_set_cursor (comparison, 150);
  tide_comparison_set_title (comparison, "Two ports");
  witness = witness_new (comparison);
  tide_comparison_clear (comparison);
  assert_heard (witness, "+0:2:0 reference view-start view-end cursor title !");
}

static void
count_cb (GObject *object, GParamSpec *pspec, guint *count)
{
  (*count)++;
}

static void
test_conditions_and_slot (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideConditions) conditions = make_conditions ("A", "Survey tablet");
  g_autoptr (Witness) witness = NULL;
  g_autofree char *name = NULL;
  TideComparedRun *run;
  guint names = 0, slots = 0, slot;

  add_charge (comparison, 0, "A", &charge_a);
  run = tide_comparison_get_run (comparison, 0);
  g_signal_connect (run, "notify::name", G_CALLBACK (count_cb), &names);
  g_signal_connect (run, "notify::slot", G_CALLBACK (count_cb), &slots);
  witness = witness_new (comparison);

  tide_comparison_set_conditions (comparison, 0, conditions);
  tide_comparison_set_slot (comparison, 0, 0);
  assert_heard (witness, "");
  tide_conditions_set (conditions, TIDE_CONDITION_PORT, "left");
  tide_comparison_set_conditions (comparison, 0, conditions);
  assert_heard (witness, "!");
  g_assert_cmpuint (names, ==, 0);
  tide_conditions_set (conditions, TIDE_CONDITION_NAME, "Left port");
  tide_comparison_set_conditions (comparison, 0, conditions);
  tide_comparison_set_slot (comparison, 0, 9);
  assert_heard (witness, "! !");
  g_assert_cmpuint (names, ==, 1);
  g_assert_cmpuint (slots, ==, 1);
  g_object_get (run, "name", &name, "slot", &slot, NULL);
  g_assert_cmpstr (name, ==, "Left port");
  g_assert_cmpuint (slot, ==, 9);
  g_assert_true (tide_conditions_equal (tide_compared_run_get_conditions (run), conditions));
}

/* A run always has a name. */
static void
test_names (void)
{
  static const struct
  {
    gint64 id;
    const char *file, *name;
  } rows[] = {
    { 0, "dock-2.csv", "dock-2" }, { 5, "dock-2.csv", "dock-2" }, { 0, ".csv", ".csv" },
    { 0, "dock", "dock" },         { 12, NULL, "Run 12" },        { 0, NULL, "Run" },
  };
  const double t[] = { 0, 1, 2 }, p[] = { 5, 5, 5 };

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_autoptr (TideComparison) comparison = tide_comparison_new ();
      g_autoptr (TideRecording) recording = make_recording (3, t, p, NULL, NULL, rows[i].file);
      g_autoptr (GError) error = NULL;

      tide_comparison_add (comparison, rows[i].id, NULL, recording, NULL, 0, &error);
      g_assert_no_error (error);
      assert_names (comparison, rows[i].name);
      g_assert_true (tide_compared_run_get_recording (tide_comparison_get_run (comparison, 0))
                     == recording);
    }
}

static void
test_slots (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();

  for (guint i = 0; i < TIDE_N_SLOTS + 2; i++)
    {
      g_assert_cmpuint (tide_comparison_get_free_slot (comparison), ==, i);
      add_charge (comparison, 0, "A", &charge_a);
      g_assert_cmpuint (tide_compared_run_get_slot (tide_comparison_get_run (comparison, i)), ==,
                        i);
    }
  tide_comparison_remove (comparison, 4);
  g_assert_cmpuint (tide_comparison_get_free_slot (comparison), ==, 4);
}

static void
assert_title (TideComparison *comparison, const char *wanted)
{
  g_autofree char *title = tide_comparison_dup_title (comparison);

  g_assert_cmpstr (title, ==, wanted);
}

static void
test_titles (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideConditions) other = make_conditions ("Right port", "Field radio");

  assert_title (comparison, "No runs");
  add_charge (comparison, 0, "Base port", &charge_a);
  assert_title (comparison, "Base port");
  add_charge (comparison, 0, "Left port", &charge_b);
  assert_title (comparison, "Base port – Left port");
  add_charge (comparison, 0, "Right port", &charge_c);
  assert_title (comparison, "Survey tablet: 3 runs");
  tide_comparison_set_conditions (comparison, 2, other);
  assert_title (comparison, "3 runs");
  tide_conditions_set (other, TIDE_CONDITION_DEVICE, "");
  tide_comparison_set_conditions (comparison, 2, other);
  assert_title (comparison, "3 runs");
  tide_comparison_set_title (comparison, "Three ports");
  assert_title (comparison, "Three ports");
}

/* A measurement made elsewhere is taken over as it is. */
static void
test_measured_elsewhere (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = make_charge (&charge_a);
  g_autoptr (GError) error = NULL;
  TideMeasurement *measurement = tide_measure (recording, TIDE_STRETCH_ALL, &error);

  g_assert_no_error (error);
  g_assert_true (tide_comparison_add (comparison, 0, NULL, recording, measurement, 0, &error));
  g_assert_true (tide_compared_run_get_measurement (tide_comparison_get_run (comparison, 0))
                 == measurement);
}

/* ---- A recording that grows ---- */

static void
grow (TideComparison *comparison, guint position, Charge charge, double tail_s)
{
  g_autoptr (GError) error = NULL;

  charge.tail_s = tail_s;
  g_autoptr (TideRecording) recording = make_charge (&charge);
  g_assert_true (tide_comparison_set_recording (comparison, position, recording, NULL, &error));
  g_assert_no_error (error);
}

static void
assert_view (TideComparison *comparison, double start, double end)
{
  double from, to;

  g_assert_true (tide_comparison_get_view (comparison, &from, &to));
  g_assert_cmpfloat (from, ==, start);
  g_assert_cmpfloat (to, ==, end);
}

static void
test_grows (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (Witness) witness = NULL;
  Charge charge = charge_a; /* draw begins at 60 s, plateau to 1860 s */

  charge.tail_s = 10;
  add_charge (comparison, 0, "still", &charge_c);
  add_charge (comparison, 0, "live", &charge);
  tide_comparison_set_slot (comparison, 1, 5);
  TideComparedRun *run = tide_comparison_get_run (comparison, 1);
  gsize n = tide_comparison_get_curve (comparison, 1).n;
  witness = witness_new (comparison);

  grow (comparison, 1, charge, 4000);
  assert_heard (witness, "!");
  g_assert_true (tide_comparison_get_run (comparison, 1) == run);
  assert_names (comparison, "still live");
  g_assert_cmpuint (tide_compared_run_get_slot (run), ==, 5);
  g_assert_cmpuint (tide_comparison_get_reference (comparison), ==, 0);
  TideRunCurve curve = tide_comparison_get_curve (comparison, 1);
  g_assert_cmpuint (curve.n, ==, n + 3990);
  g_assert_cmpfloat (curve.x[curve.n - 1], ==, 1800 + 4000);
  g_assert_cmpfloat (tide_comparison_get_marks (comparison, 1).settles, ==, 1800);
  g_assert_cmpfloat (tide_comparison_read (comparison, 1, 5000), ==, charge.standing_w);
  g_assert_cmpfloat (tide_compared_run_get_measurement (run)->settles_s, ==, 1860);

  /* every quantity is made afresh */
  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  double energy_wh = tide_comparison_read (comparison, 1, 1800 + 3000);
  grow (comparison, 1, charge, 5000);
  g_assert_cmpfloat (tide_comparison_read (comparison, 1, 1800 + 3000), ==, energy_wh);
  g_assert_cmpfloat (tide_comparison_read (comparison, 1, 1800 + 4999), >, energy_wh);
}

static void
test_view_of_what_grows (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  Charge charge = charge_a, waiting = charge_idle;

  add_charge (comparison, 0, "live", &charge);
  /* everything stays everything */
  grow (comparison, 0, charge, 3000);
  assert_view (comparison, -60, 1800 + 3000);
  /* a zoomed view stays where it is */
  tide_comparison_set_view (comparison, 600, 1200);
  grow (comparison, 0, charge, 4000);
  assert_view (comparison, 600, 1200);
  /* also when the draw, from which time counts, is found to begin elsewhere */
  charge.lead_s += 100;
  grow (comparison, 0, charge, 4000);
  assert_view (comparison, 500, 1100);
  /* a log that began anew is shorter */
  charge.plateau_s = 300;
  grow (comparison, 0, charge, 10);
  double start, end, from, to;
  g_assert_true (tide_comparison_get_view (comparison, &start, &end));
  g_assert_true (tide_comparison_get_extent (comparison, &from, &to));
  g_assert_cmpfloat (start, >=, from);
  g_assert_cmpfloat (end, <=, to);
  grow (comparison, 0, waiting, 100);
  g_assert_true (isnan (tide_comparison_get_marks (comparison, 0).draw_begins));
}

/* Made elsewhere, and over a stretch. */
static void
test_growing_takes_measurements (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  g_autoptr (TideRecording) recording = make_charge (&charge_b);
  g_autoptr (GError) error = NULL;
  TideMeasurement *measurement = tide_measure (recording, (TideStretch){ 100, 900 }, &error);

  g_assert_no_error (error);
  add_charge (comparison, 0, "live", &charge_a);
  g_assert_true (tide_comparison_set_recording (comparison, 0, recording, measurement, &error));
  g_assert_true (tide_compared_run_get_measurement (tide_comparison_get_run (comparison, 0))
                 == measurement);
  g_assert_cmpuint (tide_comparison_get_curve (comparison, 0).n, ==, 801);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/comparison/runs/in-and-out", test_in_and_out);
  g_test_add_func ("/comparison/runs/replace", test_replace);
  g_test_add_func ("/comparison/runs/find", test_find);
  g_test_add_func ("/comparison/runs/reference-follows", test_reference_follows);
  g_test_add_func ("/comparison/runs/clear-forgets", test_clear_forgets);
  g_test_add_func ("/comparison/runs/conditions-and-slot", test_conditions_and_slot);
  g_test_add_func ("/comparison/runs/names", test_names);
  g_test_add_func ("/comparison/runs/slots", test_slots);
  g_test_add_func ("/comparison/runs/titles", test_titles);
  g_test_add_func ("/comparison/runs/measured-elsewhere", test_measured_elsewhere);
  g_test_add_func ("/comparison/runs/grows", test_grows);
  g_test_add_func ("/comparison/runs/view-of-what-grows", test_view_of_what_grows);
  g_test_add_func ("/comparison/runs/growing-takes-measurements", test_growing_takes_measurements);
  return g_test_run ();
}
