/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Units held against what the values can be.
 *
 * A charge by cable has volts, amperes and watts of some ten or hundred; a middle value of
 * thousands says that the column is in thousandths, whatever its name says. Where voltage, current
 * and power are all there, they must go together: if they do so in exactly one reading of the units
 * that can be, that is taken and said. Where no power column decides, it is asked. Units that a
 * rule states are left alone.
 */
#include "reading/lanes-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "recording/median.h"

/* Middle values beyond these are in doubt: cables carry 48 V and 5 A, as the USB PD specification
 * has it (extended power range); twice and four times that are other chargers. */
static const double limits[TIDE_N_QUANTITIES] = {
  [TIDE_QUANTITY_VOLTAGE] = 100,   [TIDE_QUANTITY_CURRENT] = 20,     [TIDE_QUANTITY_POWER] = 1000,
  [TIDE_QUANTITY_DATA_PLUS] = 100, [TIDE_QUANTITY_DATA_MINUS] = 100, [TIDE_QUANTITY_CC1] = 100,
  [TIDE_QUANTITY_CC2] = 100,
};
/* Middle values below these are not of a charge. */
static const double least[3] = { 0.5, 0.005, 0.01 };
/* Power and V·I may differ by so much and still go together. */
#define FIT_DECADES 0.2
/* Counters are coarse over a head, and may count other hours than the time's unit says. */
#define COUNTER_DECADES 0.5

typedef struct
{
  TideUnderstanding *u;
  const TideMeaning *meanings;
  const TideTable *table;
  guint lane;
} Scene;

static TideColumnUse *
get_use (const Scene *scene, TideQuantity quantity)
{
  return &scene->u->lanes[scene->lane].columns[quantity];
}

static gboolean
read_cell (const Scene *scene, TideQuantity quantity, guint row, double *value)
{
  const TideColumnUse *use = get_use (scene, quantity);
  const char *text = tide_table_field (scene->table, row, (guint)use->index);
  return tide_column_use_parse (scene->u, use, quantity, text, strlen (text), value);
}

/* NAN where there are none. */
static double
find_median (const Scene *scene, TideQuantity quantity)
{
  g_autoptr (GArray) values = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint row = 0; row < scene->table->rows->len; row++)
    {
      double value;
      if (!read_cell (scene, quantity, row, &value))
        continue;
      value = fabs (value);
      g_array_append_val (values, value);
    }
  return values->len > 0 ? tide_select_median ((double *)values->data, values->len) : NAN;
}

/* The middle of P / (V·I), as a power of ten; NAN where no row has all three. */
static double
find_fit (const Scene *scene)
{
  g_autoptr (GArray) values = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint row = 0; row < scene->table->rows->len; row++)
    {
      double v, a, w;
      if (!read_cell (scene, TIDE_QUANTITY_VOLTAGE, row, &v)
          || !read_cell (scene, TIDE_QUANTITY_CURRENT, row, &a)
          || !read_cell (scene, TIDE_QUANTITY_POWER, row, &w) || v * a == 0 || w == 0)
        continue;
      double decades = log10 (fabs (w / (v * a)));
      if (isfinite (decades))
        g_array_append_val (values, decades);
    }
  return values->len > 0 ? tide_select_median ((double *)values->data, values->len) : NAN;
}

static gboolean
read_time (const Scene *scene, guint row, double *seconds)
{
  const TideTimeUse *use = &scene->u->time;
  if (use->index < 0)
    return FALSE;
  const char *text = tide_table_field (scene->table, row, (guint)use->index);
  return tide_time_use_parse (use, scene->u->decimal_mark, text, strlen (text), seconds);
}

/* The energy that power makes in the head, to what the counter counted meanwhile. Steps of the
 * counter to zero are its restarts. */
static double
find_counter_fit (const Scene *scene)
{
  const TideColumnUse *counter = get_use (scene, TIDE_QUANTITY_ENERGY);
  double before_s = NAN, before_w = 0, before_wh = 0, made_wh = 0, counted_wh = 0;
  if (counter->index < 0 || !counter->unit_named)
    return NAN;
  for (guint row = 0; row < scene->table->rows->len; row++)
    {
      double s, w, wh;
      if (!read_time (scene, row, &s) || !read_cell (scene, TIDE_QUANTITY_POWER, row, &w)
          || !read_cell (scene, TIDE_QUANTITY_ENERGY, row, &wh))
        continue;
      if (s > before_s && wh != 0)
        {
          made_wh += (fabs (w) + fabs (before_w)) / 2 * (s - before_s) / 3600;
          counted_wh += fabs (wh - before_wh);
        }
      before_s = s;
      before_w = w;
      before_wh = wh;
    }
  return made_wh > 0 && counted_wh > 0 ? log10 (made_wh / counted_wh) : NAN;
}

/* ---- Units that can be ---- */

static gboolean
is_settled (const Scene *scene, TideQuantity quantity)
{
  const TideColumnUse *use = get_use (scene, quantity);
  return use->in_cells || scene->meanings[use->index].unit_stated;
}

/* The unit a thousand times smaller (step -1) or larger (1); NULL: none that is written. */
static const char *
get_unit_beside (const TideColumnUse *use, TideQuantity quantity, int step)
{
  static const char *const milli[] = { "mV", "mA", "mW" };
  TideQuantity of =
      tide_quantity_takes (quantity, TIDE_QUANTITY_VOLTAGE) ? TIDE_QUANTITY_VOLTAGE : quantity;
  if (step < 0 && use->unit.exponent == 0)
    return milli[of - TIDE_QUANTITY_VOLTAGE];
  return step > 0 && use->unit.exponent == -3 ? tide_quantity_get_unit (quantity) : NULL;
}

static void
set_unit (TideColumnUse *use, const char *symbol)
{
  TideQuantity quantity;
  tide_unit_parse (symbol, TIDE_N_QUANTITIES, &quantity, &use->unit);
}

static void
ask_unit (const Scene *scene, TideQuantity quantity, const char *other, double median)
{
  TideColumnUse *use = get_use (scene, quantity);
  const char *name = g_ptr_array_index (scene->u->names, use->index);
  const char *unit = use->unit.symbol;
  g_autofree char *as_is = tide_text_quantity (median, 3, quantity);
  g_autofree char *small = tide_text_quantity (median / 1000, 3, quantity);
  TideQuestion *question = tide_question_new (
      TRUE, scene->u->header_row, name,
      _ ("column \"%s\": its middle value is %s if it is in %s, and %s if it is in %s"), name,
      as_is, unit, small, other);
  g_autofree char *likelier =
      tide_column_answer ((guint)use->index, quantity, scene->lane + 1, other);
  g_autofree char *named = tide_column_answer ((guint)use->index, quantity, scene->lane + 1, unit);
  tide_question_add_answer (question, "column", likelier, _ ("%s: about %s"), other, small);
  tide_question_add_answer (question, "column", named, _ ("%s: about %s"), unit, as_is);
  tide_understanding_ask (scene->u, question);
  set_unit (use, other);
}

static void
ask_where_large (const Scene *scene, TideQuantity quantity)
{
  const TideColumnUse *use = get_use (scene, quantity);
  if (use->index < 0 || limits[quantity] == 0 || is_settled (scene, quantity))
    return;
  const char *other = get_unit_beside (use, quantity, -1);
  double median = other ? find_median (scene, quantity) : NAN;
  if (!(median >= limits[quantity]))
    return;
  if (median / 1000 < limits[quantity])
    {
      ask_unit (scene, quantity, other, median);
      return;
    }
  /* thousandths would not mend it */
  g_autofree char *text = tide_text_quantity (median, 0, quantity);
  g_ptr_array_add (scene->u->complaints,
                   tide_complaint_new (scene->u->header_row,
                                       g_ptr_array_index (scene->u->names, use->index),
                                       _ ("the middle value is %s; is the unit right?"), text));
}

/* ---- Voltage, current and power together ---- */

#define N_ELECTRIC 3

/* For each of voltage, current, power: -1 in thousandths of what it says, 1 in thousands, 0. */
typedef struct
{
  int steps[N_ELECTRIC];
  gboolean is_large; /* beyond what cables carry */
} Reading;

typedef struct
{
  double medians[N_ELECTRIC];
  double fit; /* of power to V·I, decades */
  double
      counter_fit; /* of power to the counter of energy, decades; NAN: there is none that speaks */
} Together;

static gboolean
fits (const Together *together, const Reading *reading)
{
  double fit = together->fit + 3 * (reading->steps[2] - reading->steps[0] - reading->steps[1]);
  double counter_fit = together->counter_fit + 3 * reading->steps[2];
  return fabs (fit) <= FIT_DECADES
         && (isnan (counter_fit) || fabs (counter_fit) <= COUNTER_DECADES);
}

static gboolean
is_large (const Together *together, const Reading *reading, guint i)
{
  return together->medians[i] * pow (1000, reading->steps[i]) >= limits[TIDE_QUANTITY_VOLTAGE + i];
}

/* What is small may be so: a device that draws next to nothing all day. Only another unit than the
 * named one must not make it smaller than a charge. */
static gboolean
is_too_small (const Together *together, const Reading *reading, guint i)
{
  double median = together->medians[i] * pow (1000, reading->steps[i]);
  return reading->steps[i] != 0 && median > 0 && median < least[i];
}

/* Large currents are believed in units that are named, or by a counter; such voltages never. */
static gboolean
is_believed (const Scene *scene, const Together *together, const Reading *reading)
{
  if (is_large (together, reading, 0))
    return FALSE;
  for (guint i = 1; i < N_ELECTRIC; i++)
    if (is_large (together, reading, i) && isnan (together->counter_fit)
        && !get_use (scene, TIDE_QUANTITY_VOLTAGE + i)->unit_named)
      return FALSE;
  return TRUE;
}

static gboolean
can_be (const Scene *scene, const Together *together, Reading *reading)
{
  reading->is_large = FALSE;
  gboolean is_named = TRUE;
  for (guint i = 0; i < N_ELECTRIC; i++)
    {
      TideQuantity quantity = TIDE_QUANTITY_VOLTAGE + i;
      is_named &= reading->steps[i] == 0;
      reading->is_large |= is_large (together, reading, i);
      if (reading->steps[i] != 0
          && (is_settled (scene, quantity)
              || !get_unit_beside (get_use (scene, quantity), quantity, reading->steps[i])
              || is_too_small (together, reading, i)))
        return FALSE;
    }
  return fits (together, reading)
         && (!reading->is_large || (is_named && !is_large (together, reading, 0)));
}

static int
compare_readings (gconstpointer a, gconstpointer b)
{
  const Reading *readings[2] = { a, b };
  int n[2] = { 0 };
  for (guint k = 0; k < 2; k++)
    {
      n[k] += readings[k]->is_large ? 2 * N_ELECTRIC : 0;
      for (guint i = 0; i < N_ELECTRIC; i++)
        n[k] += ABS (readings[k]->steps[i]);
    }
  return n[0] - n[1];
}

/* All readings in which the three go together, those of a charge by cable and of fewer changes
 * first. */
static GArray *
find_readings (const Scene *scene, const Together *together)
{
  GArray *readings = g_array_new (FALSE, FALSE, sizeof (Reading));
  for (int v = -1; v <= 1; v++)
    for (int a = -1; a <= 1; a++)
      for (int w = -1; w <= 1; w++)
        {
          Reading reading = { { v, a, w }, FALSE };
          if (can_be (scene, together, &reading))
            g_array_append_val (readings, reading);
        }
  g_array_sort (readings, compare_readings);
  return readings;
}

static void
take_reading (const Scene *scene, const Reading *reading)
{
  for (guint i = 0; i < N_ELECTRIC; i++)
    {
      TideQuantity quantity = TIDE_QUANTITY_VOLTAGE + i;
      TideColumnUse *use = get_use (scene, quantity);
      const char *other =
          reading->steps[i] ? get_unit_beside (use, quantity, reading->steps[i]) : NULL;
      if (!other)
        continue;
      g_ptr_array_add (
          scene->u->complaints,
          tide_complaint_new (scene->u->header_row, g_ptr_array_index (scene->u->names, use->index),
                              _ ("taken as %s instead of %s: only so do power, voltage and current "
                                 "go together"),
                              other, use->unit.symbol));
      set_unit (use, other);
    }
}

/* Several readings fit: the first column in which the likelier two differ is asked about. */
static void
ask_reading (const Scene *scene, const Together *together, const GArray *readings)
{
  const Reading *two[2] = { &g_array_index (readings, Reading, 0),
                            &g_array_index (readings, Reading, 1) };
  guint i = 0;
  while (two[0]->steps[i] == two[1]->steps[i])
    i++;
  TideQuantity quantity = TIDE_QUANTITY_VOLTAGE + i;
  const TideColumnUse *use = get_use (scene, quantity);
  const char *name = g_ptr_array_index (scene->u->names, use->index), *units[2];
  char *about[2];
  for (guint k = 0; k < 2; k++)
    {
      int step = two[k]->steps[i];
      units[k] = step ? get_unit_beside (use, quantity, step) : use->unit.symbol;
      about[k] = tide_text_quantity (together->medians[i] * pow (1000, step), 3, quantity);
    }
  TideQuestion *question = tide_question_new (
      TRUE, scene->u->header_row, name,
      _ ("column \"%s\" can be in %s (about %s) or in %s (about %s): as their names say the units, "
         "power, voltage and current do not go together"),
      name, units[0], about[0], units[1], about[1]);
  for (guint k = 0; k < 2; k++)
    {
      g_autofree char *text =
          tide_column_answer ((guint)use->index, quantity, scene->lane + 1, units[k]);
      tide_question_add_answer (question, "column", text, _ ("%s: about %s"), units[k], about[k]);
    }
  tide_understanding_ask (scene->u, question);
  g_free (about[0]);
  g_free (about[1]);
}

/* FALSE: the three are not all there, or say nothing. */
static gboolean
check_together (const Scene *scene)
{
  Together together;
  static const Reading as_named = { { 0 }, FALSE };
  for (guint i = 0; i < N_ELECTRIC; i++)
    {
      if (get_use (scene, TIDE_QUANTITY_VOLTAGE + i)->index < 0)
        return FALSE;
      together.medians[i] = find_median (scene, TIDE_QUANTITY_VOLTAGE + i);
    }
  together.fit = find_fit (scene);
  together.counter_fit = find_counter_fit (scene);
  if (isnan (together.fit))
    return FALSE;
  if (fits (&together, &as_named) && is_believed (scene, &together, &as_named))
    return TRUE;
  g_autoptr (GArray) readings = find_readings (scene, &together);
  if (readings->len == 1)
    take_reading (scene, &g_array_index (readings, Reading, 0));
  else if (readings->len > 1)
    ask_reading (scene, &together, readings);
  return readings->len > 0;
}

void
tide_magnitude_check (TideUnderstanding *u, const TideMeaning *meanings, const TideTable *table)
{
  for (guint lane = 0; lane < u->n_lanes; lane++)
    {
      Scene scene = { u, meanings, table, lane };
      gboolean go_together = check_together (&scene);
      for (int q = TIDE_QUANTITY_VOLTAGE; q < TIDE_N_QUANTITIES; q++)
        if (!go_together || q > TIDE_QUANTITY_POWER)
          ask_where_large (&scene, q);
    }
}
