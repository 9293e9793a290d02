/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See live.h. */
#include "intake/live.h"

#include <glib/gi18n-lib.h>

#include "analysis/phases.h"
#include "intake/remembered.h"

/* The contract: a second, or ten times what measuring took. */
#define LEAST_US   G_USEC_PER_SEC
#define REST_TIMES 10

#define MINUTE_S 60.0

struct _TideLive
{
  GFile *file;
  TideReadingRule *stated; /* NULL: nothing */
  guint lane;
  char *library; /* NULL: no rule is looked for, or none any more */
  TideFollower *follower;
  TideRecording *recording;
  TideMeasurement *measurement;
  TideExpectation expectation;
  double power_w, energy_wh, draw_begins_s;
  guint n_parts;
  char *reason;                /* why what was read cannot be used */
  gboolean is_due;             /* something was read that was not measured yet */
  gint64 measured_us, cost_us; /* monotonic: when, and how long it took */
  gint64 grew_us;
};

TideLive *
tide_live_new (GFile *file, const TideReadOptions *options, guint lane, const char *library)
{
  TideLive *live = g_new0 (TideLive, 1);

  live->file = g_object_ref (file);
  if (options != NULL && options->rule != NULL)
    live->stated = tide_reading_rule_copy (options->rule);
  live->lane = lane;
  live->library = g_strdup (library);
  live->follower = tide_follower_new (file, options, lane);
  live->grew_us = g_get_monotonic_time ();
  return live;
}

static void
forget (TideLive *live)
{
  g_clear_pointer (&live->recording, tide_recording_unref);
  g_clear_pointer (&live->measurement, tide_measurement_free);
  g_clear_pointer (&live->reason, g_free);
  live->n_parts = 0;
  live->is_due = FALSE;
}

void
tide_live_free (TideLive *live)
{
  forget (live);
  tide_follower_free (live->follower);
  g_clear_pointer (&live->stated, tide_reading_rule_free);
  g_object_unref (live->file);
  g_free (live->library);
  g_free (live);
}

/* ---- The library's rule ---- */

/* Looked for until the file is understood, with or without one. What goes wrong here is told by
 * reading the file. */
static void
look_for_rule (TideLive *live)
{
  g_auto (TideRemembered) remembered = { 0 };
  const TideIntakeOptions options = { .read = { .rule = live->stated } };
  g_autoptr (TideStore) store = NULL;

  if (live->library == NULL || live->recording != NULL
      || !g_file_test (live->library, G_FILE_TEST_EXISTS))
    return;
  store = tide_store_open (live->library, NULL);
  if (store == NULL
      || !tide_remembered_find (&remembered, store, live->file, NULL, NULL, &options, NULL, NULL))
    return;
  if (remembered.name != NULL)
    {
      const TideReadOptions read = { .rule = remembered.rule };

      tide_follower_free (live->follower);
      live->follower = tide_follower_new (live->file, &read, live->lane);
    }
  g_clear_pointer (&live->library, g_free);
}

/* ---- Measuring ---- */

static gboolean
measure (TideLive *live, gboolean log_ended, GError **error)
{
  g_autoptr (GError) problem = NULL;
  gint64 begin_us = g_get_monotonic_time ();
  g_autoptr (GPtrArray) recordings = tide_follower_assemble (live->follower, &problem);

  if (recordings == NULL)
    {
      if (!g_error_matches (problem, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS)
          && !g_error_matches (problem, TIDE_READING_ERROR, TIDE_READING_ERROR_BROKEN))
        {
          g_propagate_error (error, g_steal_pointer (&problem));
          return FALSE;
        }
      /* good rows may still come */
      forget (live);
      live->reason = g_strdup (problem->message);
      return TRUE;
    }
  TideRecording *newest = recordings->pdata[recordings->len - 1];
  TideMeasurement *m = tide_measure (newest, TIDE_STRETCH_ALL, error);
  if (m == NULL)
    return FALSE;
  forget (live);
  live->recording = tide_recording_ref (newest);
  live->measurement = m;
  live->power_w = m->smoothed_w[m->n_smoothed - 1];
  live->energy_wh = m->energy_wh.value;
  live->draw_begins_s = m->draw_begins_s;
  live->n_parts = recordings->len;
  live->expectation = tide_expect_settling (newest, m, log_ended);
  live->measured_us = g_get_monotonic_time ();
  live->cost_us = live->measured_us - begin_us;
  return TRUE;
}

static gboolean
may_measure (const TideLive *live)
{
  gint64 rest_us = MAX (LEAST_US, REST_TIMES * live->cost_us);

  return live->is_due
         && (live->recording == NULL || g_get_monotonic_time () - live->measured_us >= rest_us);
}

/* ---- Public ---- */

gboolean
tide_live_poll (TideLive *live, TideFollowEvent *event, GCancellable *cancellable, GError **error)
{
  look_for_rule (live);
  do
    if (!tide_follower_poll (live->follower, event, cancellable, error))
      return FALSE;
  while (*event == TIDE_FOLLOW_GREW && tide_follower_is_behind (live->follower));
  if (*event == TIDE_FOLLOW_REPLACED)
    forget (live);
  if (*event != TIDE_FOLLOW_SAME)
    live->grew_us = g_get_monotonic_time ();
  if (*event == TIDE_FOLLOW_GREW)
    live->is_due = TRUE;
  if (*event == TIDE_FOLLOW_REMOVED)
    return measure (live, TRUE, error);
  return !may_measure (live) || measure (live, FALSE, error);
}

gboolean
tide_live_catch_up (TideLive *live, GError **error)
{
  return !live->is_due || measure (live, FALSE, error);
}

TideLiveState
tide_live_get_state (TideLive *live)
{
  TideLiveState state = {
    .recording = live->recording,
    .power_w = NAN,
    .energy_wh = NAN,
    .draw_begins_s = NAN,
    .settles_in_s = NAN,
    .sooner_s = NAN,
    .later_s = NAN,
    .still_s = (double)(g_get_monotonic_time () - live->grew_us) / G_USEC_PER_SEC,
    .n_parts = live->n_parts,
    .reason = live->reason != NULL ? live->reason : tide_follower_get_reason (live->follower),
  };

  if (live->recording == NULL)
    return state;
  double now_s = tide_recording_get_duration_s (live->recording);
  state.expectation = live->expectation;
  state.power_w = live->power_w;
  state.energy_wh = live->energy_wh;
  state.draw_begins_s = live->draw_begins_s;
  state.settles_in_s = live->expectation.settles_s - now_s;
  state.sooner_s = live->expectation.earliest_s - now_s;
  state.later_s = live->expectation.latest_s - now_s;
  return state;
}

TideMeasurement *
tide_live_steal_measurement (TideLive *live)
{
  return g_steal_pointer (&live->measurement);
}

const char *
tide_live_get_name (TideLive *live)
{
  return tide_follower_get_name (live->follower);
}

/* ---- Words ---- */

/* As finely as it is known: whole minutes, at least one. Transfer full. */
static char *
print_minutes (double seconds)
{
  guint minutes = (guint)MAX (1, round (seconds / MINUTE_S));

  if (minutes < 60)
    return g_strdup_printf (_ ("%u min"), minutes);
  return g_strdup_printf (_ ("%u h %u min"), minutes / 60, minutes % 60);
}

static char *
print_expected (const TideLiveState *state)
{
  g_autofree char *about = print_minutes (state->settles_in_s);
  g_autofree char *sooner = print_minutes (state->sooner_s),
                  *later = print_minutes (state->later_s);

  /* Translators: times such as "25 min": tapering, settles in about 25 min (15 min to 40 min) */
  return g_strdup_printf (_ ("%s, settles in about %s (%s to %s)"),
                          tide_charge_state_get_name (state->expectation.state), about, sooner,
                          later);
}

char *
tide_live_state_to_text (const TideLiveState *state)
{
  const TideExpectation *e = &state->expectation;
  const char *name = tide_charge_state_get_name (e->state);

  if (state->recording == NULL)
    return g_strdup (state->reason != NULL ? state->reason : _ ("waiting for rows"));
  if (e->state == TIDE_CHARGE_TAPERING && !isnan (e->settles_s))
    return print_expected (state);
  if (e->state == TIDE_CHARGE_TAPERING)
    /* Translators: a state, and why no time can be told */
    return g_strdup_printf (_ ("%s; no end can be told: %s"), name, e->reason);
  if (e->state == TIDE_CHARGE_RESTING)
    {
      g_autofree char *left = print_minutes (state->settles_in_s + TIDE_SETTLED_LEAST_S);

      /* Translators: coming to rest; settled in 3 min if it stays so */
      return g_strdup_printf (_ ("%s; settled in %s if it stays so"), name, left);
    }
  if (e->state == TIDE_CHARGE_SETTLED)
    {
      g_autofree char *after = tide_text_duration (round (e->settles_s - state->draw_begins_s));

      /* Translators: settled; the charge took 2 h 41 min */
      return g_strdup_printf (_ ("%s; the charge took %s"), name, after);
    }
  return g_strdup (name);
}
