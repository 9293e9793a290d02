/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The memory that an import takes does not grow with its file: ten times the rows, the same peak.
 */
#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "intake/intake.h"
#include "library/support.h"

/* What the peak may differ by: the allocator's and the page cache's mood. */
#define SLACK_KIB 1536

static void
write_log (const char *path, guint n)
{
  FILE *file = fopen (path, "w");

  g_assert_nonnull (file);
  fputs ("Time (s),Voltage (V),Current (A),Power (W)\n", file);
  for (guint i = 0; i < n; i++)
    fprintf (file, "%u.%u,%u.%03u,1.%03u,%u.%04u\n", i / 10, i % 10, 5 + i % 15, i * 7 % 1000,
             i * 13 % 1000, 9 + i % 20, i * 31 % 10000);
  g_assert_cmpint (fclose (file), ==, 0);
}

/* The most that was ever resident, in KiB. */
static long
get_peak (void)
{
  g_autofree char *text = NULL;
  const char *line;

  g_assert_true (g_file_get_contents ("/proc/self/status", &text, NULL, NULL));
  line = strstr (text, "VmHWM:");
  g_assert_nonnull (line);
  return strtol (line + strlen ("VmHWM:"), NULL, 10);
}

/* The peak once a log of n rows is in the library. */
static long
import_log (TideStore *store, const Place *place, guint n)
{
  g_autofree char *path = g_strdup_printf ("%s/%u.csv", place->folder, n);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  write_log (path, n);
  g_autoptr (GArray) stored = tide_intake_file (store, file, NULL, NULL, &error);
  g_assert_no_error (error);
  g_assert_cmpuint (stored->len, ==, 1);
  g_autoptr (TideRunInfo) info =
      tide_store_get (store, g_array_index (stored, TideStored, 0).id, NULL);
  g_assert_cmpuint (info->n_samples, ==, n);
  g_assert_cmpint (remove (path), ==, 0);
  return get_peak ();
}

/* A sanitizer keeps what was freed, and not every system tells a process's peak. */
static gboolean
tells_peak (void)
{
#ifdef __SANITIZE_ADDRESS__
  return FALSE;
#else
  return g_file_test ("/proc/self/status", G_FILE_TEST_EXISTS);
#endif
}

static void
test_flat (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  long small, large;

  if (!tells_peak ())
    {
      g_test_skip ("a peak means nothing here");
      return;
    }
  small = import_log (store, place, 100000);
  large = import_log (store, place, 1000000);
  g_test_message ("peak after 100,000 rows %ld KiB, after 1,000,000 rows %ld KiB", small, large);
  g_assert_cmpint (large - small, <=, SLACK_KIB);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add ("/intake/memory/flat", Place, NULL, set_up_place, test_flat, tear_down_place);
  return g_test_run ();
}
