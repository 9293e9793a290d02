/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Draws pictures for the eye into a folder: pictures FOLDER. Not a test: nothing is checked but
 * that each is written. DEVELOPERS.md says when to look at them. */
#include "chart/publish.h"
#include "chart/support.h"

#include <math.h>

static const char *folder;

static void
draw_with (TideComparison *comparison,
           const char *name,
           int width,
           int height,
           TideLook look,
           gboolean screen)
{
  TideChartStyle style =
      screen ? tide_chart_style_screen (look) : tide_chart_style_publish (look, width, height);
  g_autofree char *path = g_build_filename (folder, name, NULL);
  g_autoptr (GFile) file = g_file_new_for_path (path);
  g_autoptr (GError) error = NULL;

  style.paint_ground = TRUE;
  if (!tide_publish_to_file (comparison, &style, width, height, file, &error))
    g_error ("%s", error->message);
}

static void
draw (TideComparison *comparison, const char *name, int width, int height, TideLook look)
{
  draw_with (comparison, name, width, height, look, FALSE);
}

static void
draw_numbers_of_runs (void)
{
  static const guint numbers[] = { 1, 2, 5, 9 };

  for (guint i = 0; i < G_N_ELEMENTS (numbers); i++)
    {
      g_autoptr (TideComparison) comparison = made_comparison (numbers[i]);
      g_autofree char *large = g_strdup_printf ("%u-1920x1080.png", numbers[i]);
      g_autofree char *dark = g_strdup_printf ("%u-1280x720-dark.png", numbers[i]);
      g_autofree char *middle = g_strdup_printf ("%u-800x500.png", numbers[i]);
      g_autofree char *small = g_strdup_printf ("%u-400x300.png", numbers[i]);
      g_autofree char *svg = g_strdup_printf ("%u.svg", numbers[i]);
      g_autofree char *pdf = g_strdup_printf ("%u.pdf", numbers[i]);

      draw (comparison, large, 1920, 1080, TIDE_LOOK_LIGHT);
      draw (comparison, dark, 1280, 720, TIDE_LOOK_DARK);
      draw (comparison, middle, 800, 500, TIDE_LOOK_LIGHT);
      draw (comparison, small, 400, 300, TIDE_LOOK_LIGHT);
      draw (comparison, svg, 1920, 1080, TIDE_LOOK_LIGHT);
      draw (comparison, pdf, 1920, 1080, TIDE_LOOK_LIGHT);
    }
}

static void
draw_close_curves (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  static const char *const names[] = { "Morning", "Noon, a name that is longer than most",
                                       "Evening" };

  for (guint i = 0; i < 3; i++)
    {
      MadeRun run = made_run (names[i], 36 + 0.15 * i, 4200, 3 + i);
      made_add (comparison, &run);
    }
  draw (comparison, "close-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
  tide_comparison_set_view (comparison, 3000, 5400);
  draw (comparison, "close-zoomed-1280x720.png", 1280, 720, TIDE_LOOK_DARK);
  tide_comparison_set_view (comparison, 4200, 4260);
  draw (comparison, "close-deep-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
}

static void
draw_axes (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (3);

  tide_comparison_set_y (comparison, TIDE_QUANTITY_ENERGY);
  draw (comparison, "energy-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_POWER);
  tide_comparison_set_x (comparison, TIDE_AXIS_ENERGY);
  draw (comparison, "over-energy-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
  tide_comparison_set_x (comparison, TIDE_AXIS_SHARE);
  draw (comparison, "over-share-1280x720.png", 1280, 720, TIDE_LOOK_DARK);
  tide_comparison_set_x (comparison, TIDE_AXIS_TIME);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_VOLTAGE);
  draw (comparison, "voltage-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
  tide_comparison_set_y (comparison, TIDE_QUANTITY_CURRENT);
  draw (comparison, "current-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
}

static void
draw_odd_runs (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  MadeRun negative = made_run ("Feeds back", 30, 3600, 5),
          early = made_run ("Cut short", 34, 4800, 6);
  MadeRun gap = made_run ("With a gap", 26, 4800, 7),
          sparse = made_run ("Each minute", 22, 4800, 8);

  negative.standing_w = -6;
  early.tail_s = -4200;
  gap.gap_at_s = 2000;
  gap.gap_s = 900;
  sparse.interval_s = 60;
  sparse.noise_w = 0.1;
  sparse.spike_every_s = 0;
  made_add (comparison, &negative);
  made_add (comparison, &early);
  made_add (comparison, &gap);
  made_add (comparison, &sparse);
  draw (comparison, "odd-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
  draw (comparison, "odd-720x1280-dark.png", 720, 1280, TIDE_LOOK_DARK);
}

static void
draw_spike (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (1);
  MadeRun run = made_run ("One tall spike", 12, 4200, 9);

  run.spike_every_s = 4000;
  run.spike_w = 60;
  made_add (comparison, &run);
  draw (comparison, "spike-1280x720.png", 1280, 720, TIDE_LOOK_LIGHT);
}

static void
draw_noisy (void)
{
  g_autoptr (TideComparison) comparison = tide_comparison_new ();
  static const char *const names[] = { "Left port",
                                       "Right port of the docking frame, cable of two metres",
                                       "A name\nwith a break & <signs>" };

  for (guint i = 0; i < 3; i++)
    {
      MadeRun run = made_run (names[i], 38 - 4.0 * i, 4200 + 900.0 * i, 21 + i);

      run.noise_w = 1.5 - 0.5 * i;
      run.interval_s = 0.1;
      run.spike_every_s = 1500;
      run.device = i == 1 ? "Another tablet" : "Survey tablet";
      made_add (comparison, &run);
    }
  draw (comparison, "noisy-1920x1080.png", 1920, 1080, TIDE_LOOK_LIGHT);
  draw (comparison, "noisy-500x400.png", 500, 400, TIDE_LOOK_LIGHT);
  tide_comparison_set_view (comparison, 4000, 4600);
  draw (comparison, "noisy-zoomed-1280x720-dark.png", 1280, 720, TIDE_LOOK_DARK);
  tide_comparison_set_alignment (comparison, TIDE_ALIGN_LOG);
  tide_comparison_set_reference (comparison, 1);
  tide_comparison_set_title (
      comparison, "A very long title that somebody wrote to say everything about the test in one "
                  "line, and then went on to say it once more in other words, to be sure");
  tide_comparison_set_view (comparison, NAN, NAN);
  draw (comparison, "title-800x500.png", 800, 500, TIDE_LOOK_DARK);
  draw (comparison, "title-200x200.png", 200, 200, TIDE_LOOK_LIGHT);
  draw (comparison, "title-1000x200.png", 1000, 200, TIDE_LOOK_LIGHT);
  draw (comparison, "title-200x1000.png", 200, 1000, TIDE_LOOK_LIGHT);
}

static void
draw_screen (void)
{
  g_autoptr (TideComparison) comparison = made_comparison (4);

  tide_comparison_set_cursor (comparison, 5400);
  draw_with (comparison, "screen-1100x700.png", 1100, 700, TIDE_LOOK_LIGHT, TRUE);
  tide_comparison_set_cursor (comparison, 1200);
  draw_with (comparison, "screen-700x500-dark.png", 700, 500, TIDE_LOOK_DARK, TRUE);
  draw_with (comparison, "screen-360x294.png", 360, 294, TIDE_LOOK_LIGHT, TRUE);
}

int
main (int argc, char *argv[])
{
  if (argc != 2)
    g_error ("usage: %s FOLDER", argv[0]);
  folder = argv[1];
  draw_numbers_of_runs ();
  draw_close_curves ();
  draw_axes ();
  draw_odd_runs ();
  draw_spike ();
  draw_noisy ();
  draw_screen ();
  return 0;
}
