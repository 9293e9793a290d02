/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The recording in the making: its samples, out of the rows that an assembler has put in order, and
 * what is told of it at its end.
 *
 * A recording that begins and ends in one chunk is revised before the sink has it, so that nothing
 * has to be done there. Where stamps rise, no column but the stamps is copied.
 */
#include "recording/making-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>

/* About 3,000 years: differences of clocks beyond it are damage, and would not fit a gint64. */
#define MOST_US 1e17
/* A file has tens of recordings; one of a few rows each, table below table, would never end. */
#define MOST_RECORDINGS 10000

/* ---- Complaints ---- */

guint64
tide_making_get_row (const TideAssembler *a, gsize index)
{
  return a->held.rows != NULL ? g_array_index (a->held.rows, guint64, index) : 0;
}

static void
complain (TideAssembler *a, TideComplaint *complaint)
{
  g_ptr_array_add (a->complaints, complaint);
}

static void
complain_of_order (TideAssembler *a)
{
  const TideMaking *m = &a->making;

  if (m->n_late > 0)
    complain (a, tide_complaint_new (
                     m->first_late, NULL,
                     g_dngettext (GETTEXT_PACKAGE,
                                  "%u row stood a little out of time order and was sorted",
                                  "%u rows stood a little out of time order and were sorted",
                                  m->n_late),
                     (guint)m->n_late));
  if (m->n_equal > 0)
    complain (
        a, tide_complaint_new (m->first_equal, NULL,
                               g_dngettext (GETTEXT_PACKAGE,
                                            "%u row has the time stamp of the row before it; "
                                            "rows of one stamp were averaged",
                                            "%u rows have the time stamp of the row before them; "
                                            "rows of one stamp were averaged",
                                            m->n_equal),
                               (guint)m->n_equal));
}

static void
complain_of_signs (TideAssembler *a, const TideRevision *revision)
{
  if (revision->turned != 0)
    complain (a, tide_complaint_new (0, NULL, "%s",
                                     _ ("the charge over the whole recording is negative; "
                                        "current and power are counted the other way")));
}

static void
complain_of_power (TideAssembler *a, double mismatch)
{
  if (!(mismatch > 0))
    return;
  g_autofree char *percent = tide_text_number (100 * mismatch, 1);
  complain (a, tide_complaint_new (0, NULL,
                                   _ ("logged power differs from voltage times current by "
                                      "%s %% (median); logged power is used"),
                                   percent));
}

static void
complain_of_short (TideAssembler *a)
{
  complain (
      a, tide_complaint_new (a->making.first_row, NULL,
                             g_dngettext (GETTEXT_PACKAGE,
                                          "a recording of %u row cannot be used and is left out",
                                          "a recording of %u rows with one time stamp is left out",
                                          a->making.n_rows),
                             (guint)a->making.n_rows));
}

/* ---- A recording begins and ends ---- */

static gboolean
is_logged (const TideAssembler *a)
{
  return a->held.columns[TIDE_QUANTITY_POWER] != NULL;
}

/* Known for the first row; for later parts only where stamps have dates, since other clocks
 * may have been restarted. since_s: of its first sample, behind the part's first stamp. */
static gint64
compute_start_us (const TideAssembler *a, double since_s)
{
  double since_us = (a->making.front.start_s - a->origin_s) * G_USEC_PER_SEC;

  if (a->held.start_us == 0)
    return 0;
  if (a->held.dated && fabs (since_us) < MOST_US)
    return a->held.start_us + (gint64)round (since_us) + (gint64)round (since_s * G_USEC_PER_SEC);
  return a->n_parts == 1 ? a->held.start_us + (gint64)round (since_s * G_USEC_PER_SEC) : 0;
}

static gboolean
begin_recording (TideAssembler *a, const TideColumns *samples, double since_s, GError **error)
{
  TideRecordingHead head = { .part = *a->next_part,
                             .label = a->label,
                             .place = a->place,
                             .start_us = compute_start_us (a, since_s),
                             .power_logged = is_logged (a) };

  if (head.part > MOST_RECORDINGS)
    {
      g_set_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_LONG,
                   _ ("there are more than %d recordings in the file; split it"), MOST_RECORDINGS);
      return FALSE;
    }
  head.place.nth = ++a->place.nth;
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    head.columns |= samples->values[q] != NULL ? 1u << q : 0;
  if (!a->sink->begin (a->sink, &head, error))
    return FALSE;
  a->making.number = (*a->next_part)++;
  return TRUE;
}

/* The first recording's end waits for what is said of the whole file. */
static gboolean
end_recording (TideAssembler *a, TideRecordingTail *tail, GError **error)
{
  g_autoptr (GPtrArray) complaints = g_steal_pointer (&a->complaints);

  a->complaints = tide_complaints_new ();
  tail->complaints = complaints;
  if (a->first != 0)
    return a->sink->end (a->sink, a->making.number, tail, error);
  a->first = a->making.number;
  a->first_tail = *tail;
  a->first_tail.complaints = g_steal_pointer (&complaints);
  return TRUE;
}

void
tide_making_forget (TideAssembler *a)
{
  tide_audit_clear (&a->making.audit);
  a->making = (TideMaking){ .front = TIDE_FRONT_NONE };
}

/* What the audit found, once all samples went through it; revision may have been applied already.
 */
static gboolean
settle_recording (TideAssembler *a,
                  const TideRevision *revision,
                  gboolean is_applied,
                  double mismatch,
                  GError **error)
{
  TideRecordingTail tail = { 0 };
  double first_s, last_s;

  complain_of_order (a);
  tide_audit_complain (&a->making.audit, revision, a->names, a->names_row, a->complaints);
  complain_of_signs (a, revision);
  complain_of_power (a, mismatch);
  tail.n_samples = tide_audit_count (&a->making.audit, revision, &first_s, &last_s);
  tail.duration_s = last_s - first_s;
  tail.skipped_rows = a->making.audit.n - tail.n_samples;
  if (!is_applied)
    tail.revision = *revision;
  return end_recording (a, &tail, error);
}

/* ---- Samples ---- */

/* Samples on their way: what was made for them is owned, the rest is lent from held rows. */
typedef struct
{
  TideColumns lent, owned;
  const TideAssembler *a;
  const TidePlan *plan;
} Stretch;

static void
clear_stretch (Stretch *stretch)
{
  tide_columns_clear (&stretch->owned);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Stretch, clear_stretch)

static guint64
get_sample_row_cb (gsize sample, gpointer user_data)
{
  const Stretch *stretch = user_data;

  return tide_making_get_row (stretch->a, tide_plan_get_row (stretch->plan, sample));
}

static double *
take_column (Stretch *stretch, double *values, TideQuantity quantity)
{
  const TidePlan *plan = stretch->plan;
  gboolean is_counter = quantity == TIDE_QUANTITY_ENERGY || quantity == TIDE_QUANTITY_CHARGE;

  if (plan->order == NULL && plan->starts == NULL)
    return values + plan->first;
  stretch->owned.values[quantity] = tide_plan_gather (plan, values, stretch->lent.n, is_counter);
  return stretch->owned.values[quantity];
}

static void
compute_power (TideAssembler *a, TideColumns *samples)
{
  const double *voltage = samples->values[TIDE_QUANTITY_VOLTAGE];
  const double *current = samples->values[TIDE_QUANTITY_CURRENT];

  for (gsize i = 0; i < samples->n; i++)
    a->power[i] = voltage[i] * current[i];
  samples->values[TIDE_QUANTITY_POWER] = a->power;
}

static void
take_columns (TideAssembler *a, Stretch *stretch)
{
  TideColumns *samples = &stretch->lent;

  samples->values[TIDE_QUANTITY_TIME] = take_column (stretch, a->stamps, TIDE_QUANTITY_TIME);
  for (guint q = TIDE_QUANTITY_TIME + 1; q < TIDE_N_QUANTITIES; q++)
    if (a->held.columns[q] != NULL)
      samples->values[q] = take_column (stretch, (double *)a->held.columns[q]->data, q);
  if (samples->values[TIDE_QUANTITY_POWER] == NULL)
    compute_power (a, samples);
}

static gboolean
check_finite (const TideColumns *samples, GError **error)
{
  TideQuantity bad = tide_columns_find_infinite (samples);

  if (bad == TIDE_N_QUANTITIES)
    return TRUE;
  g_set_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED,
               _ ("the column %s holds a value that is no finite number"),
               tide_quantity_get_id (bad));
  return FALSE;
}

/* All samples of a recording at once. */
static gboolean
make_at_once (TideAssembler *a, TideColumns *samples, GError **error)
{
  TideRevision revision = tide_audit_judge (&a->making.audit, is_logged (a),
                                            samples->values[TIDE_QUANTITY_CURRENT] != NULL);
  TideRevision rest = { revision.turned, 0, revision.has_holes };
  double first_s, last_s;

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (revision.left_out & (1u << q))
      samples->values[q] = NULL; /* lent, not to be freed */
  tide_audit_count (&a->making.audit, &revision, &first_s, &last_s);
  tide_columns_revise (samples, &rest);
  tide_columns_shift (samples, first_s);
  double mismatch = is_logged (a) ? tide_columns_measure_mismatch (samples) : 0;
  return begin_recording (a, samples, first_s, error)
         && a->sink->samples (a->sink, a->making.number, samples, error)
         && settle_recording (a, &revision, TRUE, mismatch, error);
}

static gboolean
hand_over (TideAssembler *a, TideColumns *samples, GError **error)
{
  if (samples->n == 0)
    return TRUE;
  if (a->making.number == 0 && !begin_recording (a, samples, 0, error))
    return FALSE;
  return a->sink->samples (a->sink, a->making.number, samples, error);
}

static gboolean
make_last (TideAssembler *a, TideColumns *samples, GError **error)
{
  TideRevision revision = tide_audit_judge (&a->making.audit, is_logged (a),
                                            samples->values[TIDE_QUANTITY_CURRENT] != NULL);

  return hand_over (a, samples, error)
         && settle_recording (a, &revision, FALSE,
                              is_logged (a) ? tide_audit_find_mismatch (&a->making.audit) : 0,
                              error);
}

gboolean
tide_making_add (TideAssembler *a,
                 const TidePlan *plan,
                 gsize n_samples,
                 gboolean ends,
                 GError **error)
{
  TideMaking *m = &a->making;
  gsize n_rows = tide_plan_get_position (plan, n_samples);
  g_auto (Stretch) stretch = { .a = a, .plan = plan, .lent = { .n = n_samples } };

  m->n_rows += n_rows;
  if (m->n_equal == 0 && n_rows > n_samples)
    m->first_equal = tide_making_get_row (a, tide_plan_find_equal (plan));
  m->n_equal += n_rows - n_samples;
  if (ends && m->number == 0 && n_samples < 2)
    {
      complain_of_order (a);
      complain_of_short (a);
      return TRUE;
    }
  take_columns (a, &stretch);
  if (!check_finite (&stretch.lent, error))
    return FALSE;
  tide_audit_add (&m->audit, &stretch.lent, get_sample_row_cb, &stretch);
  if (n_samples > 0)
    m->front.floor_s = stretch.lent.values[TIDE_QUANTITY_TIME][n_samples - 1];
  if (!ends)
    return hand_over (a, &stretch.lent, error);
  return m->number == 0 ? make_at_once (a, &stretch.lent, error)
                        : make_last (a, &stretch.lent, error);
}
