/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Names for runs that nobody named. The cases are invented; common practice, no source. */
#include "recording/run-name.h"

static void
test_make (void)
{
  static const struct
  {
    const char *file, *label, *name;
  } cases[] = {
    { "night.csv", NULL, "night" },
    { "night.csv", "Port A", "night – Port A" },
    { "/logs/night.log.csv", NULL, "night.log" },
    { "night.csv.gz", NULL, "night" },
    { ".gz", NULL, ".gz" },
    { ".hidden", NULL, ".hidden" },
    { "night", "Sheet 2", "night – Sheet 2" },
    { " .csv", NULL, "Run" },
    { "", "Port A", "Run – Port A" },
    { NULL, NULL, "Run" },
    { "n\xffight.csv", NULL, "n\xef\xbf\xbdight" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autofree char *name = tide_run_name_make (cases[i].file, cases[i].label);

      g_assert_cmpstr (name, ==, cases[i].name);
    }
}

static void
test_extend (void)
{
  g_autofree char *alone = tide_run_name_extend ("Left", NULL);
  g_autofree char *labelled = tide_run_name_extend ("Left", "Port B");

  g_assert_cmpstr (alone, ==, "Left");
  g_assert_cmpstr (labelled, ==, "Left – Port B");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/run-name/make", test_make);
  g_test_add_func ("/run-name/extend", test_extend);
  return g_test_run ();
}
