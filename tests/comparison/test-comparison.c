/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Properties of a comparison: what each setter announces, and that it announces nothing when
 * nothing changes. Habits of the project, no outside source.
 */
#include "synthetic.h"

static TideComparison *
make_comparison (void)
{
  TideComparison *comparison = tide_comparison_new ();

  add_charge (comparison, 0, "A", &charge_a);
  add_charge (comparison, 0, "B", &charge_b);
  return comparison;
}

static void
test_defaults (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  double start, end;

  g_assert_cmpuint (tide_comparison_get_n_runs (comparison), ==, 0);
  g_assert_cmpuint (tide_comparison_get_reference (comparison), ==, 0);
  g_assert_cmpint (tide_comparison_get_alignment (comparison), ==, TIDE_ALIGN_BEGIN);
  g_assert_cmpint (tide_comparison_get_y (comparison), ==, TIDE_QUANTITY_POWER);
  g_assert_cmpint (tide_comparison_get_x (comparison), ==, TIDE_AXIS_TIME);
  g_assert_cmpfloat (tide_comparison_get_margin (comparison), ==, 3);
  g_assert_null (tide_comparison_get_title (comparison));
  g_assert_true (tide_comparison_get_show_strip (comparison));
  g_assert_true (isnan (tide_comparison_get_cursor (comparison)));
  g_assert_false (tide_comparison_is_zoomed (comparison));
  g_assert_false (tide_comparison_get_extent (comparison, &start, &end));
  g_assert_false (tide_comparison_get_view (comparison, &start, &end));
  g_assert_false (tide_comparison_get_y_range (comparison, &start, &end));
  tide_comparison_set_view (comparison, 10, 20);
  g_assert_false (tide_comparison_is_zoomed (comparison));
  tide_comparison_zoom (comparison, 0.5, 0);
  tide_comparison_pan (comparison, 0.5);
  g_assert_false (tide_comparison_is_zoomed (comparison));
}

/* Every writable property through GObject: another value is told once, the same value not at all.
 */
static void
test_each_notifies_once (void)
{
  static const struct
  {
    const char *name;
    double other;
    const char *heard;
  } rows[] = {
    { "reference", 1, "! reference" },
    { "alignment", TIDE_ALIGN_LOG, "! alignment" },
    { "alignment", TIDE_ALIGN_FIT, "! alignment" },
    { "y", TIDE_QUANTITY_ENERGY, "! y" },
    { "x", TIDE_AXIS_SHARE, "! x" },
    { "margin", 5, "! margin" },
    { "show-strip", FALSE, "! show-strip" },
  };
  g_autoptr (TideComparison) comparison = make_comparison ();
  g_autoptr (Witness) witness = witness_new (comparison);

  for (guint i = 0; i < G_N_ELEMENTS (rows); i++)
    {
      g_auto (GValue) value = G_VALUE_INIT, read = G_VALUE_INIT;
      GParamSpec *pspec =
          g_object_class_find_property (G_OBJECT_GET_CLASS (comparison), rows[i].name);

      g_value_init (&value, pspec->value_type);
      if (G_VALUE_HOLDS_UINT (&value))
        g_value_set_uint (&value, (guint)rows[i].other);
      else if (G_VALUE_HOLDS_BOOLEAN (&value))
        g_value_set_boolean (&value, rows[i].other != 0);
      else
        g_value_set_double (&value, rows[i].other);

      g_object_set_property (G_OBJECT (comparison), rows[i].name, &value);
      assert_heard (witness, rows[i].heard);
      g_object_set_property (G_OBJECT (comparison), rows[i].name, &value);
      assert_heard (witness, "");
      g_value_init (&read, pspec->value_type);
      g_object_get_property (G_OBJECT (comparison), rows[i].name, &read);
      if (!isnan (rows[i].other))
        g_assert_cmpint (g_param_values_cmp (pspec, &value, &read), ==, 0);
    }
}

static void
test_cursor (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  g_autoptr (Witness) witness = witness_new (comparison);
  double read;

  tide_comparison_set_cursor (comparison, NAN);
  tide_comparison_set_cursor (comparison, INFINITY);
  assert_heard (witness, "");
  tide_comparison_set_cursor (comparison, 20);
  assert_heard (witness, "cursor");
  tide_comparison_set_cursor (comparison, 20);
  assert_heard (witness, "");
  g_object_get (comparison, "cursor", &read, NULL);
  g_assert_cmpfloat (read, ==, 20);
  tide_comparison_set_cursor (comparison, -INFINITY);
  assert_heard (witness, "cursor");
  g_assert_true (isnan (tide_comparison_get_cursor (comparison)));
}

static void
test_title_property (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  g_autoptr (Witness) witness = witness_new (comparison);
  g_autofree char *read = NULL;

  tide_comparison_set_title (comparison, NULL);
  tide_comparison_set_title (comparison, "");
  assert_heard (witness, "");
  g_object_set (comparison, "title", "Dock against wall", NULL);
  assert_heard (witness, "! title");
  tide_comparison_set_title (comparison, "Dock against wall");
  assert_heard (witness, "");
  g_object_get (comparison, "title", &read, NULL);
  g_assert_cmpstr (read, ==, "Dock against wall");
  tide_comparison_set_title (comparison, "");
  assert_heard (witness, "title !");
  g_assert_null (tide_comparison_get_title (comparison));
}

static void
test_view_notifies (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  g_autoptr (Witness) witness = witness_new (comparison);
  double start, end;

  tide_comparison_set_view (comparison, 100, 200);
  assert_heard (witness, "view-start view-end !");
  tide_comparison_set_view (comparison, 100, 200);
  assert_heard (witness, "");
  tide_comparison_set_view (comparison, 100, 300);
  assert_heard (witness, "view-end !");
  g_object_get (comparison, "view-start", &start, "view-end", &end, NULL);
  g_assert_cmpfloat (start, ==, 100);
  g_assert_cmpfloat (end, ==, 300);
  tide_comparison_set_view (comparison, NAN, NAN);
  assert_heard (witness, "view-start view-end !");
  tide_comparison_set_view (comparison, NAN, 5);
  assert_heard (witness, "");
}

/* y keeps view and cursor; x and alignment reset them, and say so before "changed". */
static void
test_what_resets (void)
{
  g_autoptr (TideComparison) comparison = make_comparison ();
  g_autoptr (Witness) witness = witness_new (comparison);

  tide_comparison_set_view (comparison, 100, 200);
  tide_comparison_set_cursor (comparison, 150);
  assert_heard (witness, "view-start view-end ! cursor");
  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  assert_heard (witness, "y !");
  g_assert_true (tide_comparison_is_zoomed (comparison));
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_SETTLE);
  assert_heard (witness, "alignment view-start view-end cursor !");
  tide_comparison_set_view (comparison, 100, 200);
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  assert_heard (witness, "view-start view-end ! x view-start view-end !");
  g_assert_false (tide_comparison_is_zoomed (comparison));
}

static void
test_axes (void)
{
  static const char *const ids[TIDE_N_AXES] = { "time", "energy", "share" };
  TideAxis axis = TIDE_AXIS_TIME;

  for (guint i = 0; i < TIDE_N_AXES; i++)
    {
      g_assert_cmpstr (tide_axis_get_id (i), ==, ids[i]);
      g_assert_true (tide_axis_from_id (ids[i], &axis));
      g_assert_cmpint (axis, ==, i);
      g_assert_cmpstr (tide_axis_get_name (i), !=, "");
    }
  g_assert_false (tide_axis_from_id ("Time", &axis));
  g_assert_false (tide_axis_from_id (NULL, &axis));
  g_assert_cmpint (axis, ==, TIDE_AXIS_SHARE);
}

/* With everything computed, nothing is left behind; a run somebody holds lives on. */
static void
test_finalize (void)
{
  TideComparison *comparison = make_comparison ();
  TideComparedRun *held = g_list_model_get_item (G_LIST_MODEL (comparison), 1);

  for (guint y = TIDE_QUANTITY_VOLTAGE; y <= TIDE_QUANTITY_ENERGY; y++)
    {
      tide_comparison_set_y (comparison, y);
      tide_comparison_get_curve (comparison, 0);
      g_assert_nonnull (tide_comparison_get_difference (comparison, 1));
    }
  g_assert_finalize_object (comparison);
  g_assert_cmpstr (tide_compared_run_get_name (held), ==, "B");
  g_assert_finalize_object (held);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/comparison/properties/defaults", test_defaults);
  g_test_add_func ("/comparison/properties/each-notifies-once", test_each_notifies_once);
  g_test_add_func ("/comparison/properties/cursor", test_cursor);
  g_test_add_func ("/comparison/properties/title", test_title_property);
  g_test_add_func ("/comparison/properties/view", test_view_notifies);
  g_test_add_func ("/comparison/properties/what-resets", test_what_resets);
  g_test_add_func ("/comparison/properties/axes", test_axes);
  g_test_add_func ("/comparison/properties/finalize", test_finalize);
  return g_test_run ();
}
