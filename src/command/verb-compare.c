/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide compare RUN…: every run against the reference, quantity by quantity and as a curve. */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdio.h>

#include "command/arguments.h"
#include "command/json.h"
#include "command/tables.h"

#define DEFAULT_MARGIN "3"

/* What was asked for, and what it came to. */
typedef struct
{
  TideComparison *comparison;
  GPtrArray *sources;
} Compared;

/* A run beside the reference. */
typedef struct
{
  guint position;
  TideComparedRun *reference, *run;
  gboolean over_window;
  double offset_s;                  /* onto the reference's clock */
  double shift_s;                   /* of the reference onto the comparison's axis */
  const char *note;                 /* NULL: aligned as asked */
  const TideDifference *difference; /* NULL: nothing overlaps */
} Pair;

/* How a quantity is shown. */
static const struct
{
  const char *label;
  TideQuantity unit;
} shown[TIDE_N_COMPARED] = {
  [TIDE_COMPARED_ENERGY] = { N_ ("Energy"), TIDE_QUANTITY_ENERGY },
  [TIDE_COMPARED_CHARGE] = { N_ ("Charge"), TIDE_QUANTITY_CHARGE },
  [TIDE_COMPARED_PLATEAU] = { N_ ("Plateau level"), TIDE_QUANTITY_POWER },
  [TIDE_COMPARED_CHARGE_TIME] = { N_ ("Charge time"), TIDE_QUANTITY_TIME },
  [TIDE_COMPARED_STANDING_DRAW] = { N_ ("Standing draw"), TIDE_QUANTITY_POWER },
  [TIDE_COMPARED_MEAN_POWER] = { N_ ("Mean power"), TIDE_QUANTITY_POWER },
};

/* Helpers */

static Pair
get_pair (TideComparison *comparison, guint position)
{
  guint at = tide_comparison_get_reference (comparison);
  Pair pair = {
    .position = position,
    .reference = tide_comparison_get_run (comparison, at),
    .run = tide_comparison_get_run (comparison, position),
    .shift_s = tide_comparison_get_shift_s (comparison, at),
    .note = tide_comparison_get_alignment_note (comparison, position),
    .difference = tide_comparison_get_difference (comparison, position),
  };
  pair.offset_s = tide_comparison_get_shift_s (comparison, position) - pair.shift_s;
  pair.over_window = tide_compare_over_window (tide_compared_run_get_measurement (pair.reference),
                                               tide_compared_run_get_measurement (pair.run));
  return pair;
}

/* Text */

/* A word and a shape, never a colour alone. */
static const char *
get_verdict_text (TideVerdict verdict)
{
  switch (verdict)
    {
    case TIDE_VERDICT_SAME:
      return _ ("● same");
    case TIDE_VERDICT_DIFFERENT:
      return _ ("▲ different");
    case TIDE_VERDICT_UNDECIDED:
      return _ ("○ undecided");
    }
  g_return_val_if_reached ("");
}

static char *
make_value (double value, TideQuantity unit)
{
  return unit == TIDE_QUANTITY_TIME
             ? tide_text_duration (value)
             : tide_text_quantity (value, tide_quantity_get_decimals (unit), unit);
}

static char *
make_interval (const TideFinding *finding)
{
  if (!isfinite (finding->low_percent) || !isfinite (finding->high_percent))
    return g_strdup ("–");
  g_autofree char *low = tide_text_number (finding->low_percent, 1);
  g_autofree char *high = tide_text_number (finding->high_percent, 1);
  return g_strdup_printf (_ ("%s to %s %%"), low, high);
}

static void
add_finding_row (TideTextTable *table, TideCompared compared, const TideFinding *finding)
{
  g_autofree char *percent = tide_text_signed (finding->difference_percent, 1);
  tide_text_table_add (table, _ (shown[compared].label));
  tide_text_table_take (table, make_value (finding->reference, shown[compared].unit));
  tide_text_table_take (table, make_value (finding->value, shown[compared].unit));
  tide_text_table_take (table, isfinite (finding->difference_percent)
                                   ? g_strdup_printf ("%s %%", percent)
                                   : g_strdup (percent));
  tide_text_table_take (table, make_interval (finding));
  tide_text_table_add (table, get_verdict_text (finding->verdict));
}

/* The quantities that are undecided for that reason; "" when first is not the first of them. */
static char *
list_for_reason (const TideFinding *findings, guint first)
{
  g_autoptr (GPtrArray) labels = g_ptr_array_new ();
  for (guint i = 0; i < TIDE_N_COMPARED; i++)
    if (g_strcmp0 (findings[i].reason, findings[first].reason) == 0)
      {
        if (i < first)
          return g_strdup ("");
        g_ptr_array_add (labels, (gpointer)_ (shown[i].label));
      }
  if (labels->len == TIDE_N_COMPARED)
    return g_strdup (_ ("All of these"));
  g_ptr_array_add (labels, NULL);
  return g_strjoinv (", ", (char **)labels->pdata);
}

/* Each reason once, as most quantities have the same. */
static void
print_reasons (const TideFinding *findings)
{
  for (guint i = 0; i < TIDE_N_COMPARED; i++)
    {
      g_autofree char *labels = list_for_reason (findings, i);
      if (findings[i].reason != NULL && *labels != '\0')
        tide_text_print ("%s: %s", labels, findings[i].reason);
    }
}

static void
print_findings (TideComparison *comparison, const Pair *pair)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("lrrrrl");
  const char *heads[] = {
    "", _ ("Reference"), _ ("Run"), _ ("Difference"), _ ("90 % interval"), _ ("Verdict"),
  };
  for (guint i = 0; i < G_N_ELEMENTS (heads); i++)
    tide_text_table_add (table, heads[i]);
  TideFinding findings[TIDE_N_COMPARED];
  for (guint i = 0; i < TIDE_N_COMPARED; i++)
    {
      findings[i] = tide_comparison_get_finding (comparison, pair->position, i);
      add_finding_row (table, i, &findings[i]);
    }
  tide_text_table_print (table);
  print_reasons (findings);
}

static char *
make_power (double value_w)
{
  return tide_text_quantity (value_w, tide_quantity_get_decimals (TIDE_QUANTITY_POWER),
                             TIDE_QUANTITY_POWER);
}

static void
print_curve (const Pair *pair)
{
  const TideDifference *d = pair->difference;
  if (d == NULL)
    {
      tide_text_print ("%s", _ ("The curves have no time in common."));
      return;
    }
  g_autofree char *mean = make_power (d->mean);
  g_autofree char *rms = make_power (d->rms);
  g_autofree char *largest = make_power (d->largest);
  g_autofree char *at = tide_text_duration (d->largest_at - pair->shift_s);
  tide_text_print (_ ("Power differs by %s on average (RMS %s with its spikes)."), mean, rms);
  tide_text_print (_ ("Smoothed over 30 s it differs most at %s of the reference's log, by %s."),
                   at, largest);
  g_autofree char *overlap = tide_text_number (d->overlap_percent, 0);
  if (isfinite (d->overlap_percent))
    tide_text_print (
        _ ("For %s %% of the time in common the difference is no larger than the noise."), overlap);
}

/* Sums and means over logs of unequal length differ for that reason alone. */
static void
print_lengths (const Pair *pair)
{
  g_autofree char *reference =
      tide_text_duration (tide_compared_run_get_measurement (pair->reference)->duration_s);
  g_autofree char *run =
      tide_text_duration (tide_compared_run_get_measurement (pair->run)->duration_s);

  tide_text_print (_ ("The reference's recording lasts %s, the run's %s: energy, charge and mean "
                      "power depend on that."),
                   reference, run);
}

static void
print_head (const Pair *pair)
{
  tide_text_print (pair->over_window ? _ ("%s against %s, from draw begins until settled")
                                     : _ ("%s against %s, over the whole recordings"),
                   tide_compared_run_get_name (pair->run),
                   tide_compared_run_get_name (pair->reference));
  if (pair->note != NULL)
    tide_text_print ("%s", pair->note);
  if (!pair->over_window)
    print_lengths (pair);
}

static void
print_text (const Compared *compared)
{
  for (guint i = 1; i < compared->sources->len; i++)
    {
      Pair pair = get_pair (compared->comparison, i);
      if (i > 1)
        fputc ('\n', stdout);
      print_head (&pair);
      print_findings (compared->comparison, &pair);
      print_curve (&pair);
    }
}

/* JSON */

static void
add_pair (JsonBuilder *builder, TideComparison *comparison, guint position)
{
  Pair pair = get_pair (comparison, position);
  json_builder_begin_object (builder);
  tide_json_text (builder, "run", tide_compared_run_get_name (pair.run));
  tide_json_id (builder, "number", tide_compared_run_get_id (pair.run));
  tide_json_number (builder, "offset_s", pair.offset_s);
  tide_json_text (builder, "alignment_note", pair.note);
  tide_json_text (builder, "over", pair.over_window ? "window" : "recording");
  json_builder_set_member_name (builder, "quantities");
  json_builder_begin_object (builder);
  for (guint i = 0; i < TIDE_N_COMPARED; i++)
    {
      TideFinding finding = tide_comparison_get_finding (comparison, position, i);
      tide_json_finding (builder, tide_compared_get_id (i), &finding);
    }
  json_builder_end_object (builder);
  tide_json_curve (builder, "curve", pair.difference, pair.shift_s);
  json_builder_end_object (builder);
}

static void
print_json (const Compared *compared)
{
  TideComparison *comparison = compared->comparison;
  TideComparedRun *reference = tide_comparison_get_run (comparison, 0);
  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  tide_json_text (builder, "reference", tide_compared_run_get_name (reference));
  tide_json_id (builder, "reference_number", tide_compared_run_get_id (reference));
  tide_json_text (builder, "alignment",
                  tide_alignment_get_id (tide_comparison_get_alignment (comparison)));
  json_builder_set_member_name (builder, "pairs");
  json_builder_begin_array (builder);
  for (guint i = 1; i < compared->sources->len; i++)
    add_pair (builder, comparison, i);
  json_builder_end_array (builder);
  tide_json_print (builder);
}

/* Command line */

typedef struct
{
  const char *reference; /* NULL: the first */
  const TideReadingSwitches *reading;
  double margin;
  TideAlignment alignment;
} Wish;

static int
compare_words (const char *verb, const TideArguments *arguments, const Wish *wish)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) sources =
      tide_sources_find_distinct (arguments->library, wish->reading, wish->reference,
                                  arguments->words, &error);
  if (sources == NULL)
    return tide_work_failed (error);
  if (sources->len < 2)
    return tide_wrong_use (verb, _ ("a comparison needs two different runs or more"));
  g_autoptr (TideComparison) comparison = tide_sources_compare (sources, &error);
  if (comparison == NULL)
    return tide_work_failed (error);
  tide_comparison_set_margin (comparison, wish->margin);
  tide_comparison_set_alignment (comparison, wish->alignment);
  Compared compared = { comparison, sources };
  if (arguments->json)
    print_json (&compared);
  else
    print_text (&compared);
  return TIDE_EXIT_DONE;
}

int
tide_verb_compare (int argc, char **argv)
{
  g_autofree char *reference = NULL, *margin = NULL, *align = NULL;
  g_auto (TideReadingSwitches) reading = { 0 };
  const GOptionEntry entries[] = {
    { "reference", 0, 0, G_OPTION_ARG_FILENAME, &reference,
      _ ("The run that the others are compared with (the first)"), _ ("RUN") },
    { "margin", 0, 0, G_OPTION_ARG_FILENAME, &margin,
      _ ("The difference that matters, in percent (3)"), _ ("PERCENT") },
    { "align", 0, 0, G_OPTION_ARG_FILENAME, &align,
      _ ("What is put at one time: begin, settle, log or fit (begin)"), _ ("WAY") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("RUN"),
    .words = _ ("RUN…"),
    .about =
        _ ("Compares runs with a reference run: quantities with a verdict, and power over time."),
    .more = tide_sources_get_help (),
    .has_json = TRUE,
    .group = tide_reading_switches_make_group (&reading),
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  Wish wish = { .reference = reference, .reading = &reading, .alignment = TIDE_ALIGN_BEGIN };
  if (exit == TIDE_GO_ON)
    exit = tide_reading_switches_take (&reading, argv[0]);
  if (exit == TIDE_GO_ON)
    exit = tide_choose_alignment (argv[0], align, &wish.alignment);
  if (exit == TIDE_GO_ON
      && !tide_parse_number (margin != NULL ? margin : DEFAULT_MARGIN, 0, TIDE_MOST_MARGIN_PERCENT,
                             &wish.margin))
    exit = tide_wrong_use (argv[0], _ ("--margin: not a number from 0 to %d: %s"),
                           TIDE_MOST_MARGIN_PERCENT, margin);
  return exit == TIDE_GO_ON ? compare_words (argv[0], &arguments, &wish) : (int)exit;
}
