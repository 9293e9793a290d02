/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The same columns given to SciPy (scipy-oracle.py): trapezoid, running integral, integral between
 * two points and running median must be the same, the integrals to 1e-12. Skipped where no SciPy
 * is.
 */
#include "analysis/series.h"

#include <glib/gstdio.h>

#include <string.h>
#include <sys/wait.h>

#include "analysis/support.h"

#define N     2000
#define WIDTH 31 /* samples; 30 s at 1 s */

typedef struct
{
  double t[N], y[N];
  double trapezoid, middle, running[N], median[N];
  gsize n_running, n_median;
} Columns;

static void
fill_columns (Columns *columns, gboolean regular)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (2024);

  for (guint i = 0; i < N; i++)
    {
      double step = regular ? 1 : exp (g_rand_double_range (rand, -7, 4));
      columns->t[i] = i == 0 ? 0 : columns->t[i - 1] + step;
      columns->y[i] = 12 + 6 * sin (i / 100.0) + support_normal (rand);
    }
}

static char *
write_columns (const Columns *columns, const char *folder)
{
  g_autoptr (GString) text = g_string_new (NULL);
  g_autoptr (GError) error = NULL;
  char *path = g_build_filename (folder, "columns.txt", NULL);

  for (guint i = 0; i < N; i++)
    g_string_append_printf (text, "%.17g %.17g\n", columns->t[i], columns->y[i]);
  g_file_set_contents (path, text->str, (gssize)text->len, &error);
  g_assert_no_error (error);
  return path;
}

static void
read_answers (Columns *columns, const char *output)
{
  g_auto (GStrv) lines = g_strsplit (output, "\n", -1);

  for (guint i = 0; lines[i] != NULL; i++)
    {
      const char *space = strchr (lines[i], ' ');
      double value = space != NULL ? g_ascii_strtod (space, NULL) : 0;

      if (g_str_has_prefix (lines[i], "trapezoid "))
        columns->trapezoid = value;
      else if (g_str_has_prefix (lines[i], "middle "))
        columns->middle = value;
      else if (g_str_has_prefix (lines[i], "running ") && columns->n_running < N)
        columns->running[columns->n_running++] = value;
      else if (g_str_has_prefix (lines[i], "median ") && columns->n_median < N)
        columns->median[columns->n_median++] = value;
    }
}

/* FALSE, and the test skipped, where the oracle is missing. */
static gboolean
ask_scipy (Columns *columns)
{
  g_autofree char *folder = g_dir_make_tmp ("tide-analysis-XXXXXX", NULL);
  g_autofree char *path = write_columns (columns, folder), *output = NULL;
  g_autofree char *script =
      g_test_build_filename (G_TEST_DIST, "analysis", "scipy-oracle.py", NULL);
  g_autofree char *width = g_strdup_printf ("%d", WIDTH);
  const char *python = g_getenv ("TIDE_TEST_PYTHON");
  const char *argv[] = { python, script, path, width, NULL };
  g_autoptr (GError) error = NULL;
  int status = 0;

  gboolean ran = python != NULL
                 && g_spawn_sync (NULL, (char **)argv, NULL, G_SPAWN_DEFAULT, NULL, NULL, &output,
                                  NULL, &status, &error);
  g_remove (path);
  g_rmdir (folder);
  if (!ran || (WIFEXITED (status) && WEXITSTATUS (status) == 77))
    {
      g_test_skip ("no Python with SciPy at hand");
      return FALSE;
    }
  g_assert_cmpint (status, ==, 0);
  read_answers (columns, output);
  g_assert_cmpuint (columns->n_running, ==, N);
  g_assert_cmpuint (columns->n_median, ==, N);
  return TRUE;
}

static void
test_integrals (void)
{
  g_autofree Columns *columns = g_new0 (Columns, 1);

  fill_columns (columns, FALSE);
  if (!ask_scipy (columns))
    return;

  const double *t = columns->t, *y = columns->y;
  double quarter = t[N - 1] / 4;
  g_autofree double *running = tide_integrate_running (t, y, N);
  support_assert_near (tide_integrate (t, y, N) / columns->trapezoid, 1, 1e-12);
  support_assert_near (tide_integrate_between (t, y, N, quarter, 3 * quarter) / columns->middle, 1,
                       1e-12);
  g_assert_cmpfloat (running[0], ==, 0);
  for (guint i = 1; i < N; i++)
    support_assert_near (running[i] / columns->running[i], 1, 1e-12);
}

static void
test_median (void)
{
  g_autofree Columns *columns = g_new0 (Columns, 1);

  fill_columns (columns, TRUE);
  if (!ask_scipy (columns))
    return;

  g_autofree double *medians = tide_running_median (columns->t, columns->y, N, WIDTH - 1, 5);
  /* SciPy pads the ends where the method cuts the window; the middle has to agree. */
  for (guint i = WIDTH / 2; i < N - WIDTH / 2; i++)
    g_assert_cmpfloat (medians[i], ==, columns->median[i]);
}

int
main (int argc, char *argv[])
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/scipy/integrals", test_integrals);
  g_test_add_func ("/scipy/running-median", test_median);
  return g_test_run ();
}
