/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What names of files propose. Common practice of naming files, no source. */
#include "intake/labels.h"

typedef struct
{
  const char *file, *name, *port, *mode, *supply, *cable;
} Label;

static void
check (const Label *labels, guint n)
{
  g_autofree const char **files = g_new0 (const char *, n);
  g_autoptr (GPtrArray) proposed = NULL;

  for (guint i = 0; i < n; i++)
    files[i] = labels[i].file;
  proposed = tide_labels_propose (files, n);
  g_assert_cmpuint (proposed->len, ==, n);
  for (guint i = 0; i < n; i++)
    {
      const TideConditions *got = proposed->pdata[i];

      g_test_message ("%s", files[i]);
      g_assert_cmpstr (tide_conditions_get (got, TIDE_CONDITION_NAME), ==, labels[i].name);
      g_assert_cmpstr (tide_conditions_get (got, TIDE_CONDITION_PORT), ==, labels[i].port);
      g_assert_cmpstr (tide_conditions_get (got, TIDE_CONDITION_MODE), ==, labels[i].mode);
      g_assert_cmpstr (tide_conditions_get (got, TIDE_CONDITION_SUPPLY), ==, labels[i].supply);
      g_assert_cmpstr (tide_conditions_get (got, TIDE_CONDITION_CABLE), ==, labels[i].cable);
      for (TideCondition field = 0; field < TIDE_N_CONDITIONS; field++)
        g_assert_true (tide_condition_check (field, tide_conditions_get (got, field), NULL));
    }
}

static void
test_alone (void)
{
  static const Label labels[] = {
    { "base-port_run2.csv", "base port run 2", "base port", "", "", "" },
    { "tablet docked 65W.csv.gz", "tablet docked 65W", "", "docked", "65 W", "" },
    { "left port, 1.5m cable (in use).txt", "left port 1.5m cable in use", "left port", "in use",
      "", "1.5m cable" },
    { "2026-03-04_port A.xlsx", "2026-03-04 port A", "port A", "", "", "" },
    { "port2-handheld.tsv", "port 2 handheld", "port 2", "handheld", "", "" },
    { "undocked.csv", "undocked", "", "undocked", "", "" },
    { "screen_on-right_port.csv", "screen on right port", "right port", "screen on", "", "" },
    /* a port that is none, a power that is none, an ending that is none */
    { "report port.csv", "report port", "", "", "", "" },
    { "1234w.csv", "1234w", "", "", "", "" },
    { "charge at 1.5", "charge at 1.5", "", "", "", "" },
    { ".csv", "csv", "", "", "", "" },
    { "", "", "", "", "", "" },
    { "--__..", "", "", "", "", "" },
    { "Ladung-gr\303\274n.csv", "Ladung gr\303\274n", "", "", "", "" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (labels); i++)
    check (&labels[i], 1);
}

static void
test_ports (void)
{
  static const Label labels[] = {
    { "tablet-base-port-65w.csv", "base port", "base port", "", "65 W", "" },
    { "tablet-left-port-65w.csv", "left port", "left port", "", "65 W", "" },
  };

  check (labels, G_N_ELEMENTS (labels));
}

static void
test_runs (void)
{
  static const Label labels[] = {
    { "survey tablet run1.csv", "run 1", "", "", "", "" },
    { "survey tablet run2.csv", "run 2", "", "", "", "" },
    { "survey tablet run10.csv", "run 10", "", "", "", "" },
  };

  check (labels, G_N_ELEMENTS (labels));
}

static void
test_modes (void)
{
  static const Label labels[] = {
    { "tablet_docked.csv", "docked", "", "docked", "", "" },
    { "tablet_handheld_again.csv", "handheld again", "", "handheld", "", "" },
  };

  check (labels, G_N_ELEMENTS (labels));
}

/* Where the short names would not tell two runs apart, or leave one without, the whole ones stand.
 */
static void
test_not_short (void)
{
  static const Label rest[] = {
    { "charge.csv", "charge", "", "", "", "" },
    { "charge_2.csv", "charge 2", "", "", "", "" },
  };
  static const Label same[] = {
    { "log.csv", "log", "", "", "", "" },
    { "log.txt", "log", "", "", "", "" },
  };

  check (rest, G_N_ELEMENTS (rest));
  check (same, G_N_ELEMENTS (same));
}

static void
test_long (void)
{
  g_autofree char *file = g_strnfill (100000, '_'), *words = NULL;
  const char *files[] = { file, NULL };
  g_autoptr (GPtrArray) labels = NULL;

  for (gsize i = 0; i < 100000; i += 2)
    file[i] = 'a';
  labels = tide_labels_propose (files, 1);
  words = g_strdup (tide_conditions_get (labels->pdata[0], TIDE_CONDITION_NAME));
  g_assert_cmpuint (strlen (words), <, 100);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/labels/alone", test_alone);
  g_test_add_func ("/labels/ports", test_ports);
  g_test_add_func ("/labels/runs", test_runs);
  g_test_add_func ("/labels/modes", test_modes);
  g_test_add_func ("/labels/not-short", test_not_short);
  g_test_add_func ("/labels/long", test_long);
  return g_test_run ();
}
