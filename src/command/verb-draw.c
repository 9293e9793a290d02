/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide draw RUN… -o FILE: the overlay as a picture for readers. */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>

#include "chart/publish.h"
#include "command/arguments.h"
#include "command/sources.h"
#include "command/tables.h"

#define DEFAULT_SIZE "1920x1080"

/* The quantities that have a curve. */
static const TideQuantity curves[] = {
  TIDE_QUANTITY_POWER,
  TIDE_QUANTITY_VOLTAGE,
  TIDE_QUANTITY_CURRENT,
  TIDE_QUANTITY_ENERGY,
};

/* The options as text, as given; NULL where not. */
typedef struct
{
  char *output, *x, *y, *size, *look, *title, *align, *reference;
} Given;

/* And what they mean. */
typedef struct
{
  TideAxis x;
  TideQuantity y;
  int width, height;
  TideLook look;
  TideAlignment alignment;
  const TideReadingSwitches *reading;
} Wish;

static void
clear_given (Given *given)
{
  char **texts[] = { &given->output, &given->x,     &given->y,     &given->size,
                     &given->look,   &given->title, &given->align, &given->reference };
  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    g_clear_pointer (texts[i], g_free);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Given, clear_given)

/* Options */

static TideExit
take_output (const char *verb, const Given *given)
{
  TideFormat format;
  if (given->output == NULL || *given->output == '\0')
    return tide_wrong_use (verb, _ ("say where to write: -o FILE"));
  if (!tide_format_from_name (given->output, &format))
    return tide_wrong_use (verb, _ ("-o: the name must end in .png, .svg or .pdf: %s"),
                           given->output);
  if (given->title != NULL && !g_utf8_validate (given->title, -1, NULL))
    return tide_wrong_use (verb, _ ("--title: not valid UTF-8 text"));
  return TIDE_GO_ON;
}

static TideExit
take_size (const char *verb, const char *given, Wish *wish)
{
  const char *text = given != NULL ? given : DEFAULT_SIZE;
  if (!tide_parse_size (text, &wish->width, &wish->height))
    return tide_wrong_use (verb, _ ("--size: not of the form 1920x1080: %s"), text);
  if (MIN (wish->width, wish->height) < TIDE_PUBLISH_MIN_PX
      || MAX (wish->width, wish->height) > TIDE_PUBLISH_MAX_PX)
    return tide_wrong_use (verb, _ ("--size: a side must have %d to %d pixels: %s"),
                           TIDE_PUBLISH_MIN_PX, TIDE_PUBLISH_MAX_PX, text);
  return TIDE_GO_ON;
}

static TideExit
take_axes (const char *verb, const Given *given, Wish *wish)
{
  const char *xs[TIDE_N_AXES + 1] = { NULL };
  const char *ys[G_N_ELEMENTS (curves) + 1] = { NULL };
  for (guint i = 0; i < TIDE_N_AXES; i++)
    xs[i] = tide_axis_get_id (i);
  for (guint i = 0; i < G_N_ELEMENTS (curves); i++)
    ys[i] = tide_quantity_get_id (curves[i]);
  guint x = TIDE_AXIS_TIME, y = 0;
  if (tide_choose (verb, "--x", given->x, xs, &x) != TIDE_GO_ON
      || tide_choose (verb, "--y", given->y, ys, &y) != TIDE_GO_ON)
    return TIDE_EXIT_WRONG_USE;
  wish->x = x;
  wish->y = curves[y];
  return TIDE_GO_ON;
}

static TideExit
take_look (const char *verb, const Given *given, Wish *wish)
{
  const char *looks[TIDE_N_LOOKS + 1] = { NULL };
  for (guint i = 0; i < TIDE_N_LOOKS; i++)
    looks[i] = tide_look_get_id (i);
  guint look = TIDE_LOOK_LIGHT;
  TideExit exit = tide_choose (verb, "--look", given->look, looks, &look);
  wish->look = look;
  return exit;
}

static TideExit
take_wish (const char *verb, const Given *given, Wish *wish)
{
  wish->alignment = TIDE_ALIGN_BEGIN;
  if (take_output (verb, given) != TIDE_GO_ON || take_size (verb, given->size, wish) != TIDE_GO_ON
      || take_axes (verb, given, wish) != TIDE_GO_ON || take_look (verb, given, wish) != TIDE_GO_ON)
    return TIDE_EXIT_WRONG_USE;
  return tide_choose_alignment (verb, given->align, &wish->alignment);
}

/* Work */

/* The first run that has no curve of y; NULL when all have one. */
static const TideSource *
find_without (GPtrArray *sources, TideQuantity y)
{
  /* Power is in every recording, and energy is made of it. */
  if (y != TIDE_QUANTITY_VOLTAGE && y != TIDE_QUANTITY_CURRENT)
    return NULL;
  for (guint i = 0; i < sources->len; i++)
    {
      const TideSource *source = g_ptr_array_index (sources, i);
      if (tide_recording_get_column (source->recording, y) == NULL)
        return source;
    }
  return NULL;
}

static gboolean
check_curves (GPtrArray *sources, TideQuantity y, GError **error)
{
  const TideSource *without = find_without (sources, y);
  if (without == NULL)
    return TRUE;
  g_set_error (error, G_IO_ERROR, G_IO_ERROR_NOT_FOUND,
               _ ("%s: its export has no column for --y %s"),
               tide_conditions_get (without->conditions, TIDE_CONDITION_NAME),
               tide_quantity_get_id (y));
  return FALSE;
}

static void
tell_alignment (TideComparison *comparison)
{
  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    {
      const char *note = tide_comparison_get_alignment_note (comparison, i);
      if (note != NULL)
        tide_remark ("%s", note);
    }
}

static gboolean
draw (TideComparison *comparison, const Given *given, const Wish *wish, GError **error)
{
  TideChartStyle style = tide_chart_style_publish (wish->look, wish->width, wish->height);
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (given->output);
  tide_comparison_set_x (comparison, wish->x);
  tide_comparison_set_y (comparison, wish->y);
  tide_comparison_set_alignment (comparison, wish->alignment);
  tide_comparison_set_title (comparison, given->title);
  return tide_publish_to_file (comparison, &style, wish->width, wish->height, file, error);
}

static int
draw_words (const TideArguments *arguments, const Given *given, const Wish *wish)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) sources =
      tide_sources_find_distinct (arguments->library, wish->reading, given->reference,
                                  arguments->words, &error);
  if (sources == NULL || !check_curves (sources, wish->y, &error))
    return tide_work_failed (error);
  g_autoptr (TideComparison) comparison = tide_sources_compare (sources, &error);
  if (comparison == NULL || !draw (comparison, given, wish, &error))
    return tide_work_failed (error);
  tell_alignment (comparison);
  tide_text_print (ngettext ("%s: %u run, %d × %d", "%s: %u runs, %d × %d", sources->len),
                   given->output, sources->len, wish->width, wish->height);
  return TIDE_EXIT_DONE;
}

int
tide_verb_draw (int argc, char **argv)
{
  g_auto (Given) given = { 0 };
  g_auto (TideReadingSwitches) reading = { 0 };
  const GOptionEntry entries[] = {
    { "output", 'o', 0, G_OPTION_ARG_FILENAME, &given.output,
      _ ("Where to write; the name ends in .png, .svg or .pdf"), _ ("FILE") },
    { "x", 0, 0, G_OPTION_ARG_FILENAME, &given.x, _ ("Across: time, energy or share (time)"),
      _ ("AXIS") },
    { "y", 0, 0, G_OPTION_ARG_FILENAME, &given.y,
      _ ("Up: power, voltage, current or energy (power)"), _ ("QUANTITY") },
    { "size", 0, 0, G_OPTION_ARG_FILENAME, &given.size, _ ("Size in pixels (1920x1080)"),
      _ ("WxH") },
    { "look", 0, 0, G_OPTION_ARG_FILENAME, &given.look, _ ("light or dark (light)"), _ ("LOOK") },
    { "title", 0, 0, G_OPTION_ARG_FILENAME, &given.title, _ ("The title over the chart"),
      _ ("TEXT") },
    { "reference", 0, 0, G_OPTION_ARG_FILENAME, &given.reference,
      _ ("The run that the others are compared with (the first)"), _ ("RUN") },
    { "align", 0, 0, G_OPTION_ARG_FILENAME, &given.align,
      _ ("What is put at one time: begin, settle, log or fit (begin)"), _ ("WAY") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("RUN"),
    .words = _ ("RUN… -o FILE"),
    .about = _ ("Draws runs over each other, and writes the chart as PNG, SVG or PDF."),
    .more = tide_sources_get_help (),
    .group = tide_reading_switches_make_group (&reading),
  };
  g_auto (TideArguments) arguments = { 0 };
  Wish wish = { .reading = &reading };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  if (exit == TIDE_GO_ON)
    exit = tide_reading_switches_take (&reading, argv[0]);
  if (exit == TIDE_GO_ON)
    exit = take_wish (argv[0], &given, &wish);
  return exit == TIDE_GO_ON ? draw_words (&arguments, &given, &wish) : (int)exit;
}
