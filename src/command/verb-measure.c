/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide measure RUN…: the numbers of each run, as a table of quantities by runs. */
#include "command/verbs.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <stdio.h>

#include "command/arguments.h"
#include "command/json.h"
#include "command/tables.h"

/* Runs side by side in one table; more start the next. */
#define RUNS_ABREAST 4
/* Of complaints told under a table; --json has them all. */
#define MOST_COMPLAINTS  5
#define PERCENT_DECIMALS 2
/* More than any log lasts (s); --from and --to are checked against the log itself later. */
#define LONGEST_S 1e10

typedef enum
{
  ROW_FIGURE,   /* a TideFigure in unit */
  ROW_NUMBER,   /* a double in unit */
  ROW_PERCENT,  /* a double in percent */
  ROW_DURATION, /* a double in s */
} RowKind;

/* One row of the table: where a measurement keeps it. */
typedef struct
{
  const char *label;
  RowKind kind;
  TideQuantity unit;
  gsize offset;
} Row;

#define ROW(label, kind, unit, member)                                                             \
  {                                                                                                \
    label, kind, unit, offsetof (TideMeasurement, member)                                          \
  }
#define FIGURE(label, unit, member) ROW (label, ROW_FIGURE, unit, member)
#define NUMBER(label, unit, member) ROW (label, ROW_NUMBER, unit, member)
#define PERCENT(label, member)      ROW (label, ROW_PERCENT, TIDE_N_QUANTITIES, member)
#define DURATION(label, member)     ROW (label, ROW_DURATION, TIDE_QUANTITY_TIME, member)

static const Row rows[] = {
  DURATION (N_ ("Duration"), duration_s),
  FIGURE (N_ ("Energy"), TIDE_QUANTITY_ENERGY, energy_wh),
  FIGURE (N_ ("Charge"), TIDE_QUANTITY_CHARGE, charge_ah),
  FIGURE (N_ ("Mean power"), TIDE_QUANTITY_POWER, mean_power_w),
  FIGURE (N_ ("Peak power"), TIDE_QUANTITY_POWER, peak_power_w),
  FIGURE (N_ ("Sustained peak"), TIDE_QUANTITY_POWER, sustained_peak_w),
  DURATION (N_ ("Draw begins"), draw_begins_s),
  DURATION (N_ ("Settles"), settles_s),
};

/* Only where the draw settles. */
static const Row settled_rows[] = {
  DURATION (N_ ("Charge time"), charge_time_s),
  FIGURE (N_ ("Energy until settled"), TIDE_QUANTITY_ENERGY, window_energy_wh),
  FIGURE (N_ ("Charge until settled"), TIDE_QUANTITY_CHARGE, window_charge_ah),
  FIGURE (N_ ("Mean power until settled"), TIDE_QUANTITY_POWER, window_mean_power_w),
  FIGURE (N_ ("Standing draw"), TIDE_QUANTITY_POWER, standing_draw_w),
  DURATION (N_ ("Taper"), taper_s),
};

/* Only where the run has a plateau. */
static const Row plateau_rows[] = {
  FIGURE (N_ ("Plateau level"), TIDE_QUANTITY_POWER, plateau.level_w),
  DURATION (N_ ("Plateau starts"), plateau.start_s),
  DURATION (N_ ("Plateau ends"), plateau.end_s),
};

/* Only where there are spikes. */
static const Row spike_rows[] = {
  NUMBER (N_ ("Tallest spike"), TIDE_QUANTITY_POWER, spikes.tallest_w),
};

/* Only where the export has counters. */
static const Row counter_rows[] = {
  NUMBER (N_ ("Meter's own energy"), TIDE_QUANTITY_ENERGY, counter.energy_wh),
  PERCENT (N_ ("Energy off the meter's"), counter.energy_difference_percent),
  NUMBER (N_ ("Meter's own charge"), TIDE_QUANTITY_CHARGE, counter.charge_ah),
  PERCENT (N_ ("Charge off the meter's"), counter.charge_difference_percent),
};

typedef struct
{
  GPtrArray *sources;      /* TideSource */
  GPtrArray *measurements; /* TideMeasurement, one each */
} Measured;

/* Table */

static char *
make_cell (const Row *row, const TideMeasurement *m)
{
  const void *at = (const char *)m + row->offset;
  if (row->kind == ROW_DURATION)
    return tide_text_duration (*(const double *)at);
  if (row->kind == ROW_PERCENT)
    return tide_text_signed (*(const double *)at, PERCENT_DECIMALS);
  int decimals = tide_quantity_get_decimals (row->unit);
  if (row->kind == ROW_NUMBER)
    return tide_text_number (*(const double *)at, decimals);
  const TideFigure *figure = at;
  return tide_text_figure (figure->value, figure->uncertainty, decimals);
}

/* As it stands beside the label, once for all runs. */
static const char *
get_unit (const Row *row)
{
  switch (row->kind)
    {
    case ROW_DURATION:
      return ""; /* the durations have theirs */
    case ROW_PERCENT:
      return "%";
    default:
      return tide_quantity_get_unit (row->unit);
    }
}

typedef gboolean (*HasRow) (const TideMeasurement *m);

static gboolean
has_plateau (const TideMeasurement *m)
{
  return m->has_plateau;
}

static gboolean
has_settled (const TideMeasurement *m)
{
  return isfinite (m->settles_s);
}

static gboolean
has_spikes (const TideMeasurement *m)
{
  return m->spikes.count > 0;
}

static gboolean
has_counter (const TideMeasurement *m)
{
  return m->has_counter;
}

static gboolean
has_any (const Measured *measured, guint first, guint end, HasRow has)
{
  for (guint i = first; i < end; i++)
    if (has == NULL || has (g_ptr_array_index (measured->measurements, i)))
      return TRUE;
  return FALSE;
}

/* Rows that no run of the table has are left out. */
static void
add_rows (TideTextTable *table,
          const Measured *measured,
          guint first,
          guint end,
          const Row *some,
          guint n,
          HasRow has)
{
  if (!has_any (measured, first, end, has))
    return;
  for (guint k = 0; k < n; k++)
    {
      tide_text_table_add (table, _ (some[k].label));
      tide_text_table_add (table, get_unit (&some[k]));
      for (guint i = first; i < end; i++)
        {
          const TideMeasurement *m = g_ptr_array_index (measured->measurements, i);
          tide_text_table_take (table,
                                has == NULL || has (m) ? make_cell (&some[k], m) : g_strdup ("–"));
        }
    }
}

static void
add_heads (TideTextTable *table, const Measured *measured, guint first, guint end)
{
  tide_text_table_add (table, "");
  tide_text_table_add (table, "");
  for (guint i = first; i < end; i++)
    {
      const TideSource *source = g_ptr_array_index (measured->sources, i);
      tide_text_table_add (table, tide_conditions_get (source->conditions, TIDE_CONDITION_NAME));
    }
}

static void
add_milestone_rows (TideTextTable *table, const Measured *measured, guint first, guint end)
{
  if (!has_any (measured, first, end, has_settled))
    return;
  for (guint k = 0; k < TIDE_N_MILESTONES; k++)
    {
      tide_text_table_take (table,
                            g_strdup_printf (_ ("%d %% of the energy"), tide_milestone_percent[k]));
      tide_text_table_add (table, "");
      for (guint i = first; i < end; i++)
        {
          const TideMeasurement *m = g_ptr_array_index (measured->measurements, i);
          tide_text_table_take (table, tide_text_duration (m->milestones_s[k]));
        }
    }
}

static void
add_count_row (TideTextTable *table,
               const Measured *measured,
               guint first,
               guint end,
               const char *label,
               gsize offset)
{
  tide_text_table_add (table, label);
  tide_text_table_add (table, "");
  for (guint i = first; i < end; i++)
    {
      const char *m = g_ptr_array_index (measured->measurements, i);
      tide_text_table_take (table,
                            g_strdup_printf ("%u", *(const guint *)(const void *)(m + offset)));
    }
}

static void
print_table (const Measured *measured, guint first, guint end)
{
  g_autofree char *sides = g_strnfill (end - first, 'r');
  g_autofree char *columns = g_strconcat ("ll", sides, NULL);
  g_autoptr (TideTextTable) table = tide_text_table_new (columns);
  add_heads (table, measured, first, end);
  add_rows (table, measured, first, end, rows, G_N_ELEMENTS (rows), NULL);
  add_rows (table, measured, first, end, settled_rows, G_N_ELEMENTS (settled_rows), has_settled);
  add_milestone_rows (table, measured, first, end);
  add_rows (table, measured, first, end, plateau_rows, G_N_ELEMENTS (plateau_rows), has_plateau);
  add_count_row (table, measured, first, end, _ ("Spikes"),
                 offsetof (TideMeasurement, spikes.count));
  add_rows (table, measured, first, end, spike_rows, G_N_ELEMENTS (spike_rows), has_spikes);
  add_count_row (table, measured, first, end, _ ("Gaps"), offsetof (TideMeasurement, gaps.count));
  add_rows (table, measured, first, end, counter_rows, G_N_ELEMENTS (counter_rows), has_counter);
  tide_text_table_print (table);
}

/* What is to be said about one run, under the table */

static void
print_remarks (const TideSource *source, const TideMeasurement *m)
{
  const char *name = tide_conditions_get (source->conditions, TIDE_CONDITION_NAME);
  guint n = m->complaints->len;
  for (guint i = 0; i < MIN (n, MOST_COMPLAINTS); i++)
    {
      g_autofree char *text = tide_complaint_to_text (g_ptr_array_index (m->complaints, i));
      tide_text_print ("%s: %s", name, text);
    }
  if (n <= MOST_COMPLAINTS)
    return;
  guint more = n - MOST_COMPLAINTS;
  g_autofree char *rest = g_strdup_printf (ngettext ("%u more remark; --json tells all",
                                                     "%u more remarks; --json tells all", more),
                                           more);
  tide_text_print ("%s: %s", name, rest);
}

static void
print_text (const Measured *measured)
{
  for (guint first = 0; first < measured->sources->len; first += RUNS_ABREAST)
    {
      guint end = MIN (first + RUNS_ABREAST, measured->sources->len);
      if (first > 0)
        fputc ('\n', stdout);
      print_table (measured, first, end);
    }
  for (guint i = 0; i < measured->sources->len; i++)
    print_remarks (g_ptr_array_index (measured->sources, i),
                   g_ptr_array_index (measured->measurements, i));
}

static void
print_json (const Measured *measured)
{
  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  json_builder_set_member_name (builder, "runs");
  json_builder_begin_array (builder);
  for (guint i = 0; i < measured->sources->len; i++)
    tide_json_measured (builder, g_ptr_array_index (measured->sources, i),
                        g_ptr_array_index (measured->measurements, i));
  json_builder_end_array (builder);
  tide_json_print (builder);
}

/* Command line */

/* Every number that does not exist has its reason among the complaints. */
static void
explain_absences (TideMeasurement *m)
{
  const char *reasons[] = {
    m->unsettled_reason,
    isnan (m->draw_begins_s) || m->has_plateau ? NULL : _ ("no plateau"),
    isnan (m->charge_ah.value) ? _ ("current was not logged") : NULL,
    isfinite (m->energy_wh.value) ? NULL : _ ("the energy is larger than any number told here"),
  };
  for (guint i = 0; i < G_N_ELEMENTS (reasons); i++)
    if (reasons[i] != NULL)
      g_ptr_array_add (m->complaints, tide_complaint_new (0, NULL, "%s", reasons[i]));
}

static gboolean
measure_all (GPtrArray *sources, TideStretch stretch, GPtrArray *measurements, GError **error)
{
  for (guint i = 0; i < sources->len; i++)
    {
      const TideSource *source = g_ptr_array_index (sources, i);
      TideMeasurement *m = tide_measure (source->recording, stretch, error);
      if (m == NULL)
        {
          g_prefix_error (error,
                          "%s: ", tide_conditions_get (source->conditions, TIDE_CONDITION_NAME));
          return FALSE;
        }
      explain_absences (m);
      g_ptr_array_add (measurements, m);
    }
  return TRUE;
}

static TideExit
take_stretch (const char *verb, const char *from, const char *to, TideStretch *stretch)
{
  *stretch = TIDE_STRETCH_ALL;
  if (from != NULL && !tide_parse_number (from, 0, LONGEST_S, &stretch->from_s))
    return tide_wrong_use (verb, _ ("--from: not a number of seconds from 0 up: %s"), from);
  if (to != NULL && !tide_parse_number (to, 0, LONGEST_S, &stretch->to_s))
    return tide_wrong_use (verb, _ ("--to: not a number of seconds from 0 up: %s"), to);
  if (stretch->from_s >= stretch->to_s)
    return tide_wrong_use (verb, _ ("--to must be later than --from"));
  return TIDE_GO_ON;
}

static int
measure_words (const TideArguments *arguments,
               const TideReadingSwitches *reading,
               TideStretch stretch)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) sources =
      tide_sources_find (arguments->library, reading, arguments->words, &error);
  if (sources == NULL)
    return tide_work_failed (error);
  g_autoptr (GPtrArray) measurements =
      g_ptr_array_new_with_free_func ((GDestroyNotify)tide_measurement_free);
  if (!measure_all (sources, stretch, measurements, &error))
    return tide_work_failed (error);
  Measured measured = { sources, measurements };
  if (arguments->json)
    print_json (&measured);
  else
    print_text (&measured);
  return TIDE_EXIT_DONE;
}

int
tide_verb_measure (int argc, char **argv)
{
  g_autofree char *from = NULL, *to = NULL;
  g_auto (TideReadingSwitches) reading = { 0 };
  const GOptionEntry entries[] = {
    { "from", 0, 0, G_OPTION_ARG_FILENAME, &from, _ ("Measure from this second of the log on"),
      _ ("S") },
    { "to", 0, 0, G_OPTION_ARG_FILENAME, &to, _ ("Measure up to this second of the log"), _ ("S") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("RUN"),
    .words = _ ("RUN…"),
    .about = _ ("Prints the numbers of each run: energy, charge, phases, spikes."),
    .more = tide_sources_get_help (),
    .has_json = TRUE,
    .group = tide_reading_switches_make_group (&reading),
  };
  g_auto (TideArguments) arguments = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  TideStretch stretch;
  if (exit == TIDE_GO_ON)
    exit = tide_reading_switches_take (&reading, argv[0]);
  if (exit == TIDE_GO_ON)
    exit = take_stretch (argv[0], from, to, &stretch);
  return exit == TIDE_GO_ON ? measure_words (&arguments, &reading, stretch) : (int)exit;
}
