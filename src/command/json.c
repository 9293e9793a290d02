/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Builders for the objects of schema 1. json-glib writes doubles with 17 significant digits and
 * a point in every locale.
 */
#include "command/json.h"

#include <math.h>
#include <stdio.h>
#include <string.h>

#include "recording/quantity.h"

#define SCHEMA 1

/* Helpers */

static void
begin_member (JsonBuilder *builder, const char *key)
{
  json_builder_set_member_name (builder, key);
  json_builder_begin_object (builder);
}

static void
add_null (JsonBuilder *builder, const char *key)
{
  json_builder_set_member_name (builder, key);
  json_builder_add_null_value (builder);
}

static void
add_gaps (JsonBuilder *builder, const TideGaps *gaps)
{
  begin_member (builder, "gaps");
  tide_json_count (builder, "count", gaps->count);
  tide_json_number (builder, "total_s", gaps->total_s);
  json_builder_end_object (builder);
}

static void
add_energies (JsonBuilder *builder, const TideMeasurement *m)
{
  tide_json_figure (builder, "energy_wh", m->energy_wh);
  tide_json_figure (builder, "charge_ah", m->charge_ah);
  tide_json_figure (builder, "mean_power_w", m->mean_power_w);
  tide_json_figure (builder, "window_energy_wh", m->window_energy_wh);
  tide_json_figure (builder, "window_charge_ah", m->window_charge_ah);
  tide_json_figure (builder, "window_mean_power_w", m->window_mean_power_w);
  tide_json_figure (builder, "peak_power_w", m->peak_power_w);
  tide_json_figure (builder, "sustained_peak_w", m->sustained_peak_w);
}

/* The members of a plateau, into an object that is open. */
static void
add_plateau_members (JsonBuilder *builder, const TidePlateau *plateau)
{
  tide_json_figure (builder, "level_w", plateau->level_w);
  tide_json_number (builder, "start_s", plateau->start_s);
  tide_json_number (builder, "end_s", plateau->end_s);
  tide_json_number (builder, "duration_s", plateau->end_s - plateau->start_s);
}

static void
add_plateaus (JsonBuilder *builder, const TideMeasurement *m)
{
  if (m->has_plateau)
    {
      begin_member (builder, "plateau");
      add_plateau_members (builder, &m->plateau);
      json_builder_end_object (builder);
    }
  else
    add_null (builder, "plateau");

  json_builder_set_member_name (builder, "plateaus");
  json_builder_begin_array (builder);
  for (guint i = 0; i < m->plateaus->len; i++)
    {
      json_builder_begin_object (builder);
      add_plateau_members (builder, &g_array_index (m->plateaus, TidePlateau, i));
      json_builder_end_object (builder);
    }
  json_builder_end_array (builder);
}

static void
add_spikes (JsonBuilder *builder, const TideSpikes *spikes)
{
  begin_member (builder, "spikes");
  tide_json_count (builder, "count", spikes->count);
  tide_json_number (builder, "tallest_w", spikes->tallest_w);
  tide_json_number (builder, "total_s", spikes->total_s);
  tide_json_number (builder, "energy_wh", spikes->energy_wh);
  json_builder_end_object (builder);
}

static void
add_milestones (JsonBuilder *builder, const TideMeasurement *m)
{
  begin_member (builder, "milestones_s");
  for (guint i = 0; i < TIDE_N_MILESTONES; i++)
    {
      g_autofree char *key = g_strdup_printf ("%d", tide_milestone_percent[i]);
      tide_json_number (builder, key, m->milestones_s[i]);
    }
  json_builder_end_object (builder);
}

static void
add_counter (JsonBuilder *builder, const TideMeasurement *m)
{
  if (!m->has_counter)
    {
      add_null (builder, "counter");
      return;
    }
  begin_member (builder, "counter");
  tide_json_number (builder, "energy_wh", m->counter.energy_wh);
  tide_json_number (builder, "charge_ah", m->counter.charge_ah);
  tide_json_number (builder, "energy_difference_percent", m->counter.energy_difference_percent);
  tide_json_number (builder, "charge_difference_percent", m->counter.charge_difference_percent);
  json_builder_end_object (builder);
}

static void
add_phases (JsonBuilder *builder, const TideMeasurement *m)
{
  tide_json_number (builder, "draw_begins_s", m->draw_begins_s);
  tide_json_number (builder, "settles_s", m->settles_s);
  tide_json_text (builder, "unsettled_reason", m->unsettled_reason);
  tide_json_number (builder, "charge_time_s", m->charge_time_s);
  add_plateaus (builder, m);
  tide_json_number (builder, "taper_s", m->taper_s);
  tide_json_figure (builder, "standing_draw_w", m->standing_draw_w);
  tide_json_count (builder, "top_ups", m->top_ups);
}

/* json-glib puts ".0" behind every double that it prints without a point, also behind "1e+22", and
 * leaves U+001F in texts as it is; both are no JSON. Transfer full. */
static char *
mend_text (const char *text)
{
  GString *mended = g_string_sized_new (strlen (text));
  gboolean in_string = FALSE, in_exponent = FALSE;
  for (const char *p = text; *p != '\0'; p++)
    {
      if (in_exponent && g_str_has_prefix (p, ".0"))
        p += strlen (".0");
      in_exponent = !in_string
                    && (in_exponent ? strchr ("+-0123456789", *p) != NULL
                                    : *p == 'e' && g_ascii_isdigit (p[-1]));
      if (*p == '"')
        in_string = !in_string;
      if (*p == '\x1f')
        g_string_append (mended, "\\u001f");
      else
        g_string_append_c (mended, *p);
      if (in_string && *p == '\\')
        g_string_append_c (mended, *++p);
    }
  return g_string_free (mended, FALSE);
}

/* Public */

JsonBuilder *
tide_json_begin (void)
{
  JsonBuilder *builder = json_builder_new ();
  json_builder_begin_object (builder);
  tide_json_count (builder, "schema", SCHEMA);
  return builder;
}

static void
print_object (JsonBuilder *builder, gboolean pretty)
{
  json_builder_end_object (builder);
  g_autoptr (JsonGenerator) generator = json_generator_new ();
  g_autoptr (JsonNode) root = json_builder_get_root (builder);
  json_generator_set_root (generator, root);
  json_generator_set_pretty (generator, pretty);
  g_autofree char *text = json_generator_to_data (generator, NULL);
  g_autofree char *mended = mend_text (text);
  fputs (mended, stdout);
  fputc ('\n', stdout);
}

void
tide_json_print (JsonBuilder *builder)
{
  print_object (builder, TRUE);
}

void
tide_json_print_line (JsonBuilder *builder)
{
  print_object (builder, FALSE);
}

void
tide_json_text (JsonBuilder *builder, const char *key, const char *text)
{
  json_builder_set_member_name (builder, key);
  g_autofree char *valid = text != NULL ? g_utf8_make_valid (text, -1) : NULL;
  if (valid != NULL)
    json_builder_add_string_value (builder, valid);
  else
    json_builder_add_null_value (builder);
}

void
tide_json_count (JsonBuilder *builder, const char *key, guint64 count)
{
  json_builder_set_member_name (builder, key);
  json_builder_add_int_value (builder, (gint64)MIN (count, G_MAXINT64));
}

void
tide_json_boolean (JsonBuilder *builder, const char *key, gboolean value)
{
  json_builder_set_member_name (builder, key);
  json_builder_add_boolean_value (builder, value);
}

void
tide_json_id (JsonBuilder *builder, const char *key, gint64 id)
{
  if (id == 0)
    add_null (builder, key);
  else
    tide_json_count (builder, key, (guint64)id);
}

void
tide_json_number (JsonBuilder *builder, const char *key, double value)
{
  json_builder_set_member_name (builder, key);
  if (isfinite (value))
    json_builder_add_double_value (builder, value);
  else
    json_builder_add_null_value (builder);
}

void
tide_json_figure (JsonBuilder *builder, const char *key, TideFigure figure)
{
  begin_member (builder, key);
  tide_json_number (builder, "value", figure.value);
  tide_json_number (builder, "uncertainty", figure.uncertainty);
  json_builder_end_object (builder);
}

void
tide_json_conditions (JsonBuilder *builder, const char *key, const TideConditions *conditions)
{
  begin_member (builder, key);
  for (guint i = 0; i < TIDE_N_CONDITIONS; i++)
    tide_json_text (builder, tide_condition_get_id (i), tide_conditions_get (conditions, i));
  json_builder_end_object (builder);
}

void
tide_json_complaints (JsonBuilder *builder, const char *key, GPtrArray *complaints)
{
  json_builder_set_member_name (builder, key);
  json_builder_begin_array (builder);
  for (guint i = 0; i < complaints->len; i++)
    {
      const TideComplaint *complaint = g_ptr_array_index (complaints, i);
      json_builder_begin_object (builder);
      tide_json_id (builder, "row", (gint64)complaint->row);
      tide_json_text (builder, "column", complaint->column);
      tide_json_text (builder, "text", complaint->text);
      json_builder_end_object (builder);
    }
  json_builder_end_array (builder);
}

void
tide_json_measured (JsonBuilder *builder, const TideSource *source, const TideMeasurement *m)
{
  const TideRecording *recording = source->recording;
  json_builder_begin_object (builder);
  tide_json_text (builder, "name", tide_conditions_get (source->conditions, TIDE_CONDITION_NAME));
  tide_json_id (builder, "number", source->id);
  tide_json_text (builder, "file", tide_recording_get_file (recording));
  tide_json_text (builder, "sha256", tide_recording_get_sha256 (recording));
  tide_json_count (builder, "part", tide_recording_get_part (recording));
  tide_json_count (builder, "samples", m->n_samples);
  tide_json_count (builder, "skipped_rows", tide_recording_get_skipped_rows (recording));
  tide_json_number (builder, "duration_s", m->duration_s);
  tide_json_number (builder, "median_interval_s", m->median_interval_s);
  add_gaps (builder, &m->gaps);
  add_energies (builder, m);
  add_phases (builder, m);
  add_spikes (builder, &m->spikes);
  add_milestones (builder, m);
  add_counter (builder, m);
  /* Needs the battery's rated energy, which no switch states yet. */
  add_null (builder, "balance");
  tide_json_complaints (builder, "complaints", m->complaints);
  json_builder_end_object (builder);
}

void
tide_json_finding (JsonBuilder *builder, const char *key, const TideFinding *finding)
{
  begin_member (builder, key);
  tide_json_number (builder, "reference", finding->reference);
  tide_json_number (builder, "value", finding->value);
  tide_json_number (builder, "difference", finding->difference);
  tide_json_number (builder, "difference_percent", finding->difference_percent);
  tide_json_number (builder, "low_percent", finding->low_percent);
  tide_json_number (builder, "high_percent", finding->high_percent);
  tide_json_number (builder, "margin_percent", finding->margin_percent);
  tide_json_text (builder, "verdict", tide_verdict_get_id (finding->verdict));
  tide_json_number (builder, "repeats_needed", finding->repeats_needed);
  tide_json_text (builder, "reason", finding->reason);
  json_builder_end_object (builder);
}

void
tide_json_curve (JsonBuilder *builder,
                 const char *key,
                 const TideDifference *difference,
                 double shift_s)
{
  static const TideDifference none = {
    .mean = NAN,
    .rms = NAN,
    .largest = NAN,
    .largest_at = NAN,
    .overlap_percent = NAN,
  };
  const TideDifference *d = difference != NULL ? difference : &none;
  begin_member (builder, key);
  tide_json_number (builder, "mean_w", d->mean);
  tide_json_number (builder, "rms_w", d->rms);
  tide_json_number (builder, "largest_w", d->largest);
  tide_json_number (builder, "largest_at_s", d->largest_at - shift_s);
  tide_json_number (builder, "overlap_percent", d->overlap_percent);
  json_builder_end_object (builder);
}
