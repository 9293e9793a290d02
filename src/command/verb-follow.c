/* SPDX-License-Identifier: GPL-3.0-or-later */
/* tide follow FILE: tells how a charge goes whose log is still being written, a line each interval
 * and whenever something changes, until the draw settles. Nothing is stored.
 */
#include "command/verbs.h"

#include <glib-unix.h>
#include <glib/gi18n-lib.h>
#include <math.h>
#include <signal.h>
#include <stdio.h>
#include <string.h>

#include "command/arguments.h"
#include "command/json.h"
#include "command/reading-switches.h"
#include "command/tables.h"
#include "intake/live.h"
#include "intake/pulse.h"

#define DEFAULT_INTERVAL_S 10
#define MOST_S             (365 * 86400.0)
/* Of runs that stand side by side. */
#define MOST_RUNS 8

typedef struct
{
  GMainLoop *loop;
  TideLive *live;
  gboolean json;
  double interval_s, until_s; /* until_s: NaN: until it settles */
  TideChargeState told_state;
  gboolean told_rows; /* the last line had numbers */
  gint64 told_us;     /* monotonic; 0: nothing was told */
  TideExit exit;
} Follow;

/* ---- Lines ---- */

/* "1:02:03". Transfer full. */
static char *
print_elapsed (double seconds)
{
  gint64 s = (gint64)seconds;

  return g_strdup_printf ("%" G_GINT64_FORMAT ":%02d:%02d", s / 3600, (int)(s / 60 % 60),
                          (int)(s % 60));
}

static void
print_text (const TideLiveState *state)
{
  g_autofree char *words = tide_live_state_to_text (state);

  if (state->recording == NULL)
    {
      tide_text_print ("%s", words);
      return;
    }
  g_autofree char *elapsed = print_elapsed (tide_recording_get_duration_s (state->recording));
  g_autofree char *power = tide_text_quantity (state->power_w, 2, TIDE_QUANTITY_POWER);
  g_autofree char *energy = tide_text_quantity (state->energy_wh, 2, TIDE_QUANTITY_ENERGY);

  tide_text_print ("%8s  %9s  %10s  %s", elapsed, power, energy, words);
}

static void
print_json (const Follow *follow, const TideLiveState *state)
{
  g_autoptr (JsonBuilder) builder = tide_json_begin ();
  const TideRecording *recording = state->recording;
  const TideExpectation *e = &state->expectation;

  tide_json_text (builder, "file", tide_live_get_name (follow->live));
  tide_json_count (builder, "part", state->n_parts);
  tide_json_count (builder, "samples",
                   recording != NULL ? tide_recording_get_n_samples (recording) : 0);
  tide_json_number (builder, "duration_s",
                    recording != NULL ? tide_recording_get_duration_s (recording) : NAN);
  tide_json_number (builder, "power_w", state->power_w);
  tide_json_figure (builder, "energy_wh", (TideFigure){ state->energy_wh, NAN });
  tide_json_number (builder, "draw_begins_s", state->draw_begins_s);
  tide_json_text (builder, "state", tide_charge_state_get_id (e->state));
  tide_json_number (builder, "settles_s", recording != NULL ? e->settles_s : NAN);
  tide_json_number (builder, "settles_earliest_s", recording != NULL ? e->earliest_s : NAN);
  tide_json_number (builder, "settles_latest_s", recording != NULL ? e->latest_s : NAN);
  tide_json_number (builder, "settles_in_s", state->settles_in_s);
  tide_json_number (builder, "still_s", state->still_s);
  tide_json_text (builder, "reason", recording != NULL ? e->reason : state->reason);
  tide_json_print_line (builder);
}

static void
tell (Follow *follow)
{
  TideLiveState state = tide_live_get_state (follow->live);

  if (follow->json)
    print_json (follow, &state);
  else
    print_text (&state);
  fflush (stdout);
  follow->told_us = g_get_monotonic_time ();
  follow->told_rows = state.recording != NULL;
  follow->told_state = state.expectation.state;
}

/* ---- Ending ---- */

static void
end (Follow *follow, TideExit exit)
{
  follow->exit = exit;
  g_main_loop_quit (follow->loop);
}

static gboolean
interrupted_cb (gpointer user_data)
{
  Follow *follow = user_data;
  TideFollowEvent event;
  g_autoptr (GError) error = NULL;

  if (tide_live_poll (follow->live, &event, NULL, &error)
      && tide_live_catch_up (follow->live, &error))
    {
      tell (follow);
      end (follow, TIDE_EXIT_DONE);
    }
  else
    end (follow, tide_work_failed (error));
  return G_SOURCE_CONTINUE;
}

static gboolean
is_done (const Follow *follow, const TideLiveState *state)
{
  if (state->recording == NULL)
    return FALSE;
  if (isnan (follow->until_s))
    return state->expectation.state == TIDE_CHARGE_SETTLED;
  return tide_recording_get_duration_s (state->recording) >= follow->until_s;
}

/* The file is not the one any more: what was told last holds for the old one. */
static void
end_with_event (Follow *follow, TideFollowEvent event)
{
  const char *name = tide_live_get_name (follow->live);

  if (event == TIDE_FOLLOW_REMOVED)
    tell (follow);
  tide_remark (event == TIDE_FOLLOW_REMOVED
                   ? _ ("%s: the file was removed, or its drive")
                   : _ ("%s: the file was cut shorter or another one was put in its place"),
               name);
  end (follow, TIDE_EXIT_FAILED);
}

static gboolean
is_worth_a_line (const Follow *follow, const TideLiveState *state)
{
  gint64 passed_us = g_get_monotonic_time () - follow->told_us;

  return follow->told_us == 0 || passed_us >= follow->interval_s * G_USEC_PER_SEC
         || (state->recording != NULL) != follow->told_rows
         || state->expectation.state != follow->told_state;
}

static void
look_cb (gpointer user_data)
{
  Follow *follow = user_data;
  TideFollowEvent event;
  g_autoptr (GError) error = NULL;

  if (!tide_live_poll (follow->live, &event, NULL, &error))
    {
      end (follow, tide_work_failed (error));
      return;
    }
  if (event == TIDE_FOLLOW_REPLACED || event == TIDE_FOLLOW_REMOVED)
    {
      end_with_event (follow, event);
      return;
    }
  TideLiveState state = tide_live_get_state (follow->live);
  gboolean done = is_done (follow, &state);
  if (done || is_worth_a_line (follow, &state))
    tell (follow);
  if (done || ferror (stdout))
    end (follow, TIDE_EXIT_DONE);
}

static int
run (Follow *follow, GFile *file)
{
  follow->loop = g_main_loop_new (NULL, FALSE);
  guint signals[] = { g_unix_signal_add (SIGINT, interrupted_cb, follow),
                      g_unix_signal_add (SIGTERM, interrupted_cb, follow) };
  TidePulse *pulse = tide_pulse_new (file, look_cb, follow);

  g_main_loop_run (follow->loop);
  tide_pulse_free (pulse);
  for (guint i = 0; i < G_N_ELEMENTS (signals); i++)
    g_source_remove (signals[i]);
  g_main_loop_unref (follow->loop);
  return follow->exit;
}

/* ---- Arguments ---- */

typedef struct
{
  char *interval, *until;
  int lane;
} Given;

static void
clear_given (Given *given)
{
  g_free (given->interval);
  g_free (given->until);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Given, clear_given)

static TideExit
take_given (Follow *follow, const Given *given, const char *verb)
{
  follow->interval_s = DEFAULT_INTERVAL_S;
  follow->until_s = NAN;
  if (given->interval != NULL
      && !tide_parse_number (given->interval, 1, MOST_S, &follow->interval_s))
    return tide_wrong_use (verb, _ ("--interval: not a number of seconds from 1 up: %s"),
                           given->interval);
  if (given->until != NULL && strcmp (given->until, "settled") != 0
      && !tide_parse_number (given->until, 0, MOST_S, &follow->until_s))
    return tide_wrong_use (verb, _ ("--until: neither “settled” nor a number of seconds: %s"),
                           given->until);
  if (given->lane < 1 || given->lane > MOST_RUNS)
    return tide_wrong_use (verb, _ ("--run: not a number from 1 to %d: %d"), MOST_RUNS,
                           given->lane);
  return TIDE_GO_ON;
}

int
tide_verb_follow (int argc, char **argv)
{
  g_auto (Given) given = { .lane = 1 };
  g_auto (TideReadingSwitches) reading = { 0 };
  const GOptionEntry entries[] = {
    { "interval", 0, 0, G_OPTION_ARG_FILENAME, &given.interval,
      _ ("A line every S seconds, and whenever something changes (10)"), _ ("S") },
    { "until", 0, 0, G_OPTION_ARG_FILENAME, &given.until,
      _ ("End when the draw has settled (the default), or when the log is so many seconds long"),
      _ ("settled|S") },
    { "run", 0, 0, G_OPTION_ARG_INT, &given.lane,
      _ ("Which of the runs that stand side by side in the file (1)"), _ ("N") },
    { NULL },
  };
  const TideUsage usage = {
    .verb = argv[0],
    .word = _ ("FILE"),
    .words = _ ("FILE"),
    .about = _ (
        "Follows a log that another program is still writing: power, energy so far, and, once the "
        "draw\ntapers, when it will settle. Ends when it has; nothing is stored."),
    .has_json = TRUE,
    .group = tide_reading_switches_make_group (&reading),
  };
  g_auto (TideArguments) arguments = { 0 };
  Follow follow = { 0 };
  TideExit exit = tide_arguments_parse (&arguments, &usage, entries, argc, argv);
  if (exit == TIDE_GO_ON)
    exit = tide_reading_switches_take (&reading, argv[0]);
  if (exit == TIDE_GO_ON)
    exit = take_given (&follow, &given, argv[0]);
  if (exit != TIDE_GO_ON)
    return exit;
  if (arguments.n_words > 1)
    return tide_wrong_use (argv[0], _ ("one file is followed at a time"));

  g_autoptr (GError) error = NULL;
  g_autoptr (TideReadingRule) rule =
      tide_reading_switches_make_rule (&reading, arguments.library, &error);
  if (rule == NULL)
    return tide_work_failed (error);
  const TideReadOptions options = { .rule = rule };
  g_autoptr (GFile) file = g_file_new_for_commandline_arg (arguments.words[0]);
  g_autoptr (TideLive) live = tide_live_new (file, &options, (guint)given.lane - 1,
                                             reading.rule_name != NULL ? NULL : arguments.library);
  follow.live = live;
  follow.json = arguments.json;
  return run (&follow, file);
}
