/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every sentence that stands on a chart, and the one that is read aloud. No positions here.
 *
 * A picture travels without its file, so what it depends on is said on it: how the runs were
 * aligned, which is the reference, what the numbers beside the names cover, and that data are
 * simulated where they are.
 */
#include "chart/chart-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

/* Notes about single runs beyond this many are counted instead. */
#define MOST_NOTES 2
#define SEPARATOR  " · "
/* Whoever simulates data writes this word, in English, into the device's name or the notes. */
#define SIMULATED "simulated"

static const char *
get_name (TideComparison *comparison, guint run)
{
  return tide_compared_run_get_name (tide_comparison_get_run (comparison, run));
}

static const TideMeasurement *
get_measurement (TideComparison *comparison, guint run)
{
  return tide_compared_run_get_measurement (tide_comparison_get_run (comparison, run));
}

/* The same text in all runs, or NULL. */
static const char *
find_common (TideComparison *comparison, TideCondition field)
{
  const char *common = NULL;

  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    {
      TideComparedRun *run = tide_comparison_get_run (comparison, i);
      const char *text = tide_conditions_get (tide_compared_run_get_conditions (run), field);

      if (*text == '\0' || (common != NULL && strcmp (common, text) != 0))
        return NULL;
      common = text;
    }
  return common;
}

char *
tide_words_title (TideComparison *comparison)
{
  return tide_comparison_dup_title (comparison);
}

char *
tide_words_subtitle (TideComparison *comparison)
{
  g_autoptr (TideConditions) common = tide_conditions_new ();
  const char *device = find_common (comparison, TIDE_CONDITION_DEVICE);
  g_autofree char *title = tide_comparison_dup_title (comparison);
  g_autofree char *line = NULL;

  for (TideCondition field = TIDE_CONDITION_PORT; field <= TIDE_CONDITION_AMBIENT; field++)
    tide_conditions_set (common, field, find_common (comparison, field));
  line = tide_conditions_to_line (common);
  /* What the title says need not be said again. */
  if (device == NULL || strstr (title, device) != NULL)
    return *line != '\0' ? g_steal_pointer (&line) : NULL;
  return *line != '\0' ? g_strconcat (device, SEPARATOR, line, NULL) : g_strdup (device);
}

static gboolean
says_simulated (const TideConditions *conditions, TideCondition field)
{
  g_autofree char *text = g_ascii_strdown (tide_conditions_get (conditions, field), -1);

  return strstr (text, SIMULATED) != NULL;
}

static guint
count_simulated (TideComparison *comparison)
{
  guint count = 0;

  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    {
      const TideConditions *conditions =
          tide_compared_run_get_conditions (tide_comparison_get_run (comparison, i));

      if (says_simulated (conditions, TIDE_CONDITION_DEVICE)
          || says_simulated (conditions, TIDE_CONDITION_NOTES)
          || says_simulated (conditions, TIDE_CONDITION_NAME))
        count++;
    }
  return count;
}

static gboolean
all_settled (TideComparison *comparison)
{
  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    if (!isfinite (get_measurement (comparison, i)->settles_s))
      return FALSE;
  return TRUE;
}

/* What the values beside the names are; NULL where that goes without saying. */
static const char *
describe_values (TideComparison *comparison)
{
  gboolean window = all_settled (comparison);

  switch (tide_comparison_get_y (comparison))
    {
    case TIDE_QUANTITY_POWER:
      return window ? _ ("Energy from draw begins to settling")
                    : _ ("Energy over the whole recording");
    case TIDE_QUANTITY_ENERGY:
      return _ ("Energy from draw begins to the log’s end");
    case TIDE_QUANTITY_CURRENT:
      return window ? _ ("Charge from draw begins to settling")
                    : _ ("Charge over the whole recording");
    default:
      return NULL;
    }
}

static char *
make_energy (double value_wh)
{
  return isfinite (value_wh)
             ? tide_text_quantity (value_wh, fabs (value_wh) < 100 ? 2 : 1, TIDE_QUANTITY_ENERGY)
             : NULL;
}

/* Where the run's curve ends: beside an end no other number may stand. */
static double
get_end (TideComparison *comparison, guint run)
{
  TideRunCurve curve = tide_comparison_get_curve (comparison, run);

  return curve.n > 0 ? curve.y[curve.n - 1] : NAN;
}

char *
tide_words_value (TideComparison *comparison, guint run)
{
  const TideMeasurement *measurement = get_measurement (comparison, run);
  gboolean window = all_settled (comparison);
  double value;

  switch (tide_comparison_get_y (comparison))
    {
    case TIDE_QUANTITY_POWER:
      value = window ? measurement->window_energy_wh.value : measurement->energy_wh.value;
      return make_energy (value);
    case TIDE_QUANTITY_ENERGY:
      return make_energy (get_end (comparison, run));
    case TIDE_QUANTITY_CURRENT:
      value = window ? measurement->window_charge_ah.value : measurement->charge_ah.value;
      return isfinite (value) ? tide_text_quantity (value, 2, TIDE_QUANTITY_CHARGE) : NULL;
    default:
      return NULL;
    }
}

static void
add_sentence (GString *text, const char *sentence)
{
  if (text->len > 0)
    g_string_append (text, SEPARATOR);
  g_string_append (text, sentence);
}

static void
add_alignment (GString *text, TideComparison *comparison)
{
  guint n = tide_comparison_get_n_runs (comparison);
  const char *alignment = tide_alignment_get_name (tide_comparison_get_alignment (comparison));
  g_autofree char *reference = NULL;
  g_autofree char *aligned = NULL;

  if (n < 2)
    return;
  /* Translators: %s is how: "draw begins", "best fit" */
  aligned = g_strdup_printf (_ ("Aligned: %s"), alignment);
  reference = g_strdup_printf (_ ("Reference: %s"),
                               get_name (comparison, tide_comparison_get_reference (comparison)));
  add_sentence (text, reference);
  add_sentence (text, aligned);
}

/* A note that names no run gets its name before it; the foot's parts end without a full stop. */
static void
add_note (GString *text, const char *name, const char *reason)
{
  gsize length = strlen (reason);
  g_autofree char *words = g_strndup (reason, length - g_str_has_suffix (reason, "."));
  g_autofree char *note = name != NULL ? g_strdup_printf ("%s: %s", name, words) : NULL;

  add_sentence (text, note != NULL ? note : words);
}

/* What has to be known of single runs: not aligned as asked (a sentence with the run's name in it),
 * not settled. */
static void
add_notes (GString *text, TideComparison *comparison)
{
  guint count = 0;

  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    {
      const char *reasons[2] = { tide_comparison_get_alignment_note (comparison, i),
                                 get_measurement (comparison, i)->unsettled_reason };

      for (guint k = 0; k < G_N_ELEMENTS (reasons); k++)
        if (reasons[k] != NULL && ++count <= MOST_NOTES)
          add_note (text, k == 0 ? NULL : get_name (comparison, i), reasons[k]);
    }
  if (count > MOST_NOTES)
    {
      g_autofree char *more = g_strdup_printf (g_dngettext (GETTEXT_PACKAGE, "%u more note",
                                                            "%u more notes", count - MOST_NOTES),
                                               count - MOST_NOTES);
      add_sentence (text, more);
    }
}

char *
tide_words_foot (TideComparison *comparison)
{
  GString *text = g_string_new (NULL);
  guint simulated = count_simulated (comparison);

  if (simulated > 0)
    add_sentence (text, simulated == tide_comparison_get_n_runs (comparison)
                            ? _ ("Simulated data")
                            : _ ("Partly simulated data"));
  add_alignment (text, comparison);
  if (describe_values (comparison) != NULL)
    add_sentence (text, describe_values (comparison));
  add_notes (text, comparison);
  return g_string_free (text, FALSE);
}

/* Both axes of x have their zero at the reference's draw begins, or where that is not wanted or not
 * there at the start of its log. */
static gboolean
counts_from_log (TideComparison *comparison)
{
  return tide_comparison_get_alignment (comparison) == TIDE_ALIGN_LOG
         || !isfinite (get_measurement (comparison, tide_comparison_get_reference (comparison))
                           ->draw_begins_s);
}

char *
tide_words_x (TideComparison *comparison)
{
  switch (tide_comparison_get_x (comparison))
    {
    case TIDE_AXIS_ENERGY:
      return g_strdup (counts_from_log (comparison) ? _ ("Energy since the log’s start (Wh)")
                                                    : _ ("Energy since draw begins (Wh)"));
    case TIDE_AXIS_SHARE:
      return g_strdup (_ ("Share of the delivered energy (%)"));
    default:
      /* Its ticks say min and h themselves. */
      return g_strdup (counts_from_log (comparison) ? _ ("Time since the log’s start")
                                                    : _ ("Time since draw begins"));
    }
}

char *
tide_words_y (TideComparison *comparison)
{
  TideQuantity y = tide_comparison_get_y (comparison);

  return g_strdup_printf ("%s (%s)", tide_quantity_get_name (y), tide_quantity_get_unit (y));
}

char *
tide_words_strip (TideComparison *comparison)
{
  return g_strdup_printf (_ ("Difference (%s)"),
                          tide_quantity_get_unit (tide_comparison_get_y (comparison)));
}

char *
tide_words_moment (TideComparison *comparison, double x, double span)
{
  g_autofree char *whole = NULL;
  double distance = fabs (x);

  switch (tide_comparison_get_x (comparison))
    {
    case TIDE_AXIS_ENERGY:
      return tide_text_quantity (x, 2, TIDE_QUANTITY_ENERGY);
    case TIDE_AXIS_SHARE:
      whole = tide_text_number (x, 1);
      return g_strdup_printf ("%s\u00A0%%", whole);
    default:
      break;
    }
  /* Above an hour a duration is told to the minute; a closer look wants its seconds too. */
  if (distance < 3600 || span > 7200)
    return tide_text_duration (x);
  whole = tide_text_duration (copysign (floor (distance / 60) * 60, x));
  return g_strdup_printf (_ ("%s %d s"), whole, (int)fmod (distance, 60));
}

/* "Base port, 45.20 Wh, reference" */
static char *
describe_run (TideComparison *comparison, guint run)
{
  g_autofree char *value = tide_words_value (comparison, run);
  gboolean reference = run == tide_comparison_get_reference (comparison)
                       && tide_comparison_get_n_runs (comparison) > 1;
  GString *text = g_string_new (get_name (comparison, run));

  if (value != NULL)
    g_string_append_printf (text, ", %s", value);
  if (reference)
    g_string_append_printf (text, ", %s", _ ("reference"));
  return g_string_free (text, FALSE);
}

char *
tide_chart_describe (TideComparison *comparison)
{
  guint n = tide_comparison_get_n_runs (comparison);
  GString *text = g_string_new (NULL);
  const char *quantity, *axis;

  if (n == 0)
    {
      g_string_append (text, _ ("An empty chart: no run is chosen."));
      return g_string_free (text, FALSE);
    }
  quantity = tide_quantity_get_name (tide_comparison_get_y (comparison));
  axis = tide_axis_get_name (tide_comparison_get_x (comparison));
  g_string_append_printf (text,
                          g_dngettext (GETTEXT_PACKAGE, "Chart of %u run, %s over %s: ",
                                       "Chart of %u runs, %s over %s: ", n),
                          n, quantity, axis);
  for (guint i = 0; i < n; i++)
    {
      g_autofree char *run = describe_run (comparison, i);
      g_string_append_printf (text, "%s%s", i > 0 ? "; " : "", run);
    }
  g_string_append_c (text, '.');
  return g_string_free (text, FALSE);
}

char *
tide_chart_describe_cursor (TideComparison *comparison)
{
  double x = tide_comparison_get_cursor (comparison), start, end;
  TideQuantity y = tide_comparison_get_y (comparison);
  GString *text;

  if (!isfinite (x) || !tide_comparison_get_view (comparison, &start, &end) || x < start || x > end)
    return NULL;
  g_autofree char *moment = tide_words_moment (comparison, x, end - start);

  text = g_string_new (NULL);
  /* Translators: %s is where the crosshair stands, such as "1 h 12 min" */
  g_string_append_printf (text, _ ("Crosshair at %s"), moment);
  for (guint i = 0; i < tide_comparison_get_n_runs (comparison); i++)
    {
      double value = tide_comparison_read (comparison, i, x);
      g_autofree char *number = tide_text_quantity (value, tide_quantity_get_decimals (y), y);

      if (isfinite (value))
        g_string_append_printf (text, "; %s, %s", get_name (comparison, i), number);
    }
  g_string_append_c (text, '.');
  return g_string_free (text, FALSE);
}
