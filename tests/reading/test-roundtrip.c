/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A log written in any dialect reads back equal, within the digits that were printed: hundreds of
 * dialects by chance, and every combination of the main axes. What can honestly be read in two ways
 * must be asked about, and one of the answers must read back equal; nothing else may be asked. A
 * failure prints its seed and its dialect: TIDEMARK_SEED=number runs that one alone,
 * TIDEMARK_SEEDS=number so many.
 */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "reading/understanding.h"
#include "scribe.h"

#define N_SEEDS 600
#define N_ROWS  60
/* Answers upon answers. */
#define MOST_ANSWERS 3

/* One log in one dialect. */
typedef struct
{
  const Dialect *dialect;
  const Log *log;
  GBytes *bytes;
  char *why; /* the first thing that was not equal, for the message */
} Trip;

/* ---- Equal ---- */

static gboolean
fail (Trip *trip, const char *format, ...)
{
  va_list args;

  if (trip->why != NULL)
    return FALSE;
  va_start (args, format);
  trip->why = g_strdup_vprintf (format, args);
  va_end (args);
  return FALSE;
}

static gboolean
is_column_equal (Trip *trip,
                 TideRecording *recording,
                 TideQuantity quantity,
                 const double *expected,
                 double within)
{
  const double *values = tide_recording_get_column (recording, quantity);
  const char *id = tide_quantity_get_id (quantity);

  if (values == NULL)
    return fail (trip, "no column of %s", id);
  for (guint i = 0; i < trip->log->n; i++)
    if (!(fabs (values[i] - expected[i]) <= within))
      return fail (trip, "%s of sample %u is %.9g, not %.9g", id, i, values[i], expected[i]);
  return TRUE;
}

static gboolean
is_dated (const Dialect *dialect)
{
  return dialect->form >= FORM_ISO && dialect->form < FORM_NONE;
}

static gboolean
is_start_equal (Trip *trip, TideRecording *recording, double within_s)
{
  gint64 start_us = tide_recording_get_start_us (recording);

  if (!is_dated (trip->dialect))
    return TRUE;
  if (fabs ((double)(start_us - trip->log->start_us)) > within_s * 1e6 + 1)
    return fail (trip, "begins at %" G_GINT64_FORMAT " µs, not %" G_GINT64_FORMAT, start_us,
                 trip->log->start_us);
  return TRUE;
}

static gboolean
is_power_equal (Trip *trip, TideRecording *recording)
{
  const Log *log = trip->log;
  double product[N_ROWS];

  if (trip->dialect->with_power)
    return is_column_equal (trip, recording, TIDE_QUANTITY_POWER, log->power_w, 1e-9);
  for (guint i = 0; i < log->n; i++)
    product[i] = log->voltage_v[i] * log->current_a[i];
  return is_column_equal (trip, recording, TIDE_QUANTITY_POWER, product, 1e-9);
}

static gboolean
is_equal (Trip *trip, GPtrArray *recordings)
{
  const Dialect *dialect = trip->dialect;
  const Log *log = trip->log;
  TideRecording *recording = g_ptr_array_index (recordings, 0);
  double within_s = 2 * dialect_get_time_step_s (dialect) + 1e-6;

  if (recordings->len != 1)
    return fail (trip, "%u recordings", recordings->len);
  if (tide_recording_get_n_samples (recording) != log->n)
    return fail (trip, "%zu samples, not %u", tide_recording_get_n_samples (recording), log->n);
  return is_column_equal (trip, recording, TIDE_QUANTITY_TIME, log->time_s, within_s)
         && is_column_equal (trip, recording, TIDE_QUANTITY_VOLTAGE, log->voltage_v, 1e-9)
         && is_column_equal (trip, recording, TIDE_QUANTITY_CURRENT, log->current_a, 1e-9)
         && is_power_equal (trip, recording)
         && (!dialect->with_counters
             || (is_column_equal (trip, recording, TIDE_QUANTITY_ENERGY, log->energy_wh, 1e-9)
                 && is_column_equal (trip, recording, TIDE_QUANTITY_CHARGE, log->charge_ah, 1e-9)))
         && (!dialect->with_temperature
             || is_column_equal (trip, recording, TIDE_QUANTITY_TEMPERATURE, log->temperature_c,
                                 1e-9))
         && is_start_equal (trip, recording, within_s);
}

/* ---- Asking ---- */

static gboolean
reads_equal (Trip *trip, const TideReadingRule *rule)
{
  const TideReadOptions options = { .rule = rule };
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) recordings =
      tide_read_bytes (trip->bytes, "log.csv", &options, NULL, &error);

  return recordings != NULL ? is_equal (trip, recordings) : fail (trip, "%s", error->message);
}

static gboolean find_answer (Trip *trip, const TideReadingRule *rule, guint depth);

static gboolean
try_answers (Trip *trip, const TideReadingRule *rule, const TideQuestion *question, guint depth)
{
  for (guint i = 0; i < question->answers->len; i++)
    {
      const TideAnswer *answer = g_ptr_array_index (question->answers, i);
      g_autoptr (TideReadingRule) answered = tide_reading_rule_copy (rule);
      g_autoptr (GError) error = NULL;

      tide_reading_rule_set (answered, answer->key, answer->text, &error);
      g_assert_no_error (error);
      if (reads_equal (trip, answered) || find_answer (trip, answered, depth + 1))
        return TRUE;
    }
  return FALSE;
}

/* Does one of the answers to what is asked, or answers to what is asked then, read back equal? */
static gboolean
find_answer (Trip *trip, const TideReadingRule *rule, guint depth)
{
  const TideReadOptions options = { .rule = rule };
  g_autoptr (GPtrArray) tables =
      depth < MOST_ANSWERS ? tide_understand_bytes (trip->bytes, "log.csv", &options, NULL, NULL)
                           : NULL;

  for (guint i = 0; tables != NULL && i < tables->len; i++)
    {
      GPtrArray *questions = tide_understanding_get_questions (g_ptr_array_index (tables, i));

      for (guint k = 0; k < questions->len; k++)
        if (try_answers (trip, rule, g_ptr_array_index (questions, k), depth))
          return TRUE;
    }
  return FALSE;
}

/* ---- What is open by its nature ---- */

/* Of every date in the log both the day and the month may be either. */
static gboolean
has_small_days (const Log *log)
{
  g_autoptr (GDateTime) start = g_date_time_new_from_unix_utc (log->start_us / G_USEC_PER_SEC);

  return g_date_time_get_day_of_month (start) <= 12;
}

static gboolean
may_be_asked (const Dialect *dialect, const Log *log)
{
  switch (dialect->form)
    {
    case FORM_DAY_FIRST:
    case FORM_MONTH_FIRST:
    case FORM_MONTH_FIRST_NOON:
    case FORM_DAY_FIRST_DOTS:
      if (has_small_days (log))
        return TRUE;
      break;
    case FORM_SERIAL: /* days, or any other count */
      return TRUE;
    default:
      break;
    }
  /* thousands without a decimal mark: 1,000 ms; and what is in millivolts without saying so */
  return (dialect->group != 0 && dialect->form == FORM_MILLISECONDS)
         || (dialect->units == UNITS_NONE && dialect->milli);
}

/* An encoding that can only be guessed from few letters. */
static gboolean
is_guessed (const Dialect *dialect)
{
  return !g_str_has_prefix (dialect->encoding, "UTF-") && dialect->language != LANGUAGE_EN;
}

/* ---- One trip ---- */

static gboolean
goes_well (Trip *trip)
{
  const Dialect *dialect = trip->dialect;
  g_autoptr (TideReadingRule) rule = tide_reading_rule_new ();

  if (dialect->form == FORM_NONE)
    {
      g_autofree char *every = g_strdup_printf ("%g", trip->log->time_s[1]);

      g_assert_true (tide_reading_rule_set (rule, "every", every, NULL));
    }
  if (reads_equal (trip, rule))
    return TRUE;
  if (may_be_asked (dialect, trip->log) && find_answer (trip, rule, 0))
    return TRUE;
  if (!is_guessed (dialect))
    return FALSE;
  g_assert_true (tide_reading_rule_set (rule, "encoding", dialect->encoding, NULL));
  return reads_equal (trip, rule)
         || (may_be_asked (dialect, trip->log) && find_answer (trip, rule, 0));
}

/* Prints what went wrong; TRUE: nothing. */
static gboolean
travel (const Dialect *dialect, const Log *log, const char *label)
{
  g_autofree char *text = dialect_write (dialect, log);
  g_autoptr (GBytes) bytes = dialect_encode (dialect, text);
  Trip trip = { dialect, log, bytes, NULL };
  gboolean well = goes_well (&trip);

  if (!well)
    {
      g_autofree char *described = dialect_describe (dialect);
      g_autofree char *escaped = g_strescape (text, NULL);

      g_test_message ("%s: %s", label, trip.why);
      g_test_message ("  %s", described);
      g_test_message ("  %.400s", escaped);
    }
  g_free (trip.why);
  return well;
}

/* ---- By chance ---- */

static const char *const unicode[] = { "UTF-8",        "UTF-8+BOM", "UTF-16LE+BOM",
                                       "UTF-16BE+BOM", "UTF-16LE",  "UTF-16BE" };

#define PICK(rand, array) ((array)[g_rand_int_range ((rand), 0, G_N_ELEMENTS (array))])
#define TOSS(rand)        g_rand_boolean (rand)

static const char *
pick_encoding (GRand *rand, Language language)
{
  if (g_rand_int_range (rand, 0, 4) > 0)
    return PICK (rand, unicode);
  switch (language)
    {
    case LANGUAGE_ZH:
      return "GBK";
    case LANGUAGE_JA:
      return "SHIFT_JIS";
    default:
      return "WINDOWS-1252";
    }
}

/* Takes back what no program would write. */
static void
mend_dialect (Dialect *dialect)
{
  if (dialect->group == dialect->decimal)
    dialect->group = 0;
  /* nothing says what the numbers are */
  if (dialect->units == UNITS_NONE && dialect->form > FORM_SECONDS && dialect->form < FORM_CLOCK)
    dialect->form = FORM_SECONDS;
  /* and the counters would say nothing against it */
  if (dialect->units == UNITS_NONE && dialect->milli)
    dialect->with_counters = FALSE;
  /* no degree sign in these */
  if (g_str_equal (dialect->encoding, "GBK") || g_str_equal (dialect->encoding, "SHIFT_JIS"))
    dialect->with_temperature = FALSE;
  if (dialect->delimiter != ' ')
    return;
  dialect->group = 0;
  dialect->quotes = QUOTE_NEEDED;
  dialect->preamble = dialect->footer = 0;
  if (dialect->units == UNITS_ROUND || dialect->units == UNITS_SQUARE
      || dialect->units == UNITS_ROW)
    dialect->units = UNITS_UNDERSCORE;
  if (dialect->form == FORM_DAYS_AND_CLOCK || dialect->form == FORM_ISO_BLANK
      || (dialect->form >= FORM_DAY_FIRST_DOTS && dialect->form <= FORM_MONTH_FIRST_NOON))
    dialect->form = FORM_ISO;
}

static Dialect
pick_dialect (GRand *rand)
{
  static const char delimiters[] = { ',', ';', '\t', '|', ',', ';', '\t', ' ' };
  static const char groups[] = { 0, 0, 0, ',', '.', ' ', '\'' };
  static const char *const line_ends[] = { "\n", "\r\n", "\r\n", "\r" };
  static const guint preambles[] = { 0, 0, 1, 3, 40 };
  Dialect dialect = {
    .delimiter = PICK (rand, delimiters),
    .decimal = TOSS (rand) ? '.' : ',',
    .group = PICK (rand, groups),
    .line_end = PICK (rand, line_ends),
    .quotes = (Quotes)g_rand_int_range (rand, 0, N_QUOTES),
    .form = (TimeForm)g_rand_int_range (rand, 0, N_FORMS),
    .units = (Units)g_rand_int_range (rand, 0, N_UNITS),
    .language = (Language)g_rand_int_range (rand, 0, N_LANGUAGES),
    .milli = g_rand_int_range (rand, 0, 4) == 0,
    .with_power = TOSS (rand),
    .with_counters = TOSS (rand),
    .with_temperature = g_rand_int_range (rand, 0, 4) == 0,
    .with_note = g_rand_int_range (rand, 0, 3) == 0,
    .preamble = PICK (rand, preambles),
    .footer = g_rand_int_range (rand, 0, 5) == 0,
    .packed = g_rand_int_range (rand, 0, 5) == 0 ? (Packed)g_rand_int_range (rand, 1, N_PACKED)
                                                 : PACKED_NOT,
  };

  dialect.encoding = pick_encoding (rand, dialect.language);
  mend_dialect (&dialect);
  return dialect;
}

/* Between 2021 and 2026, so that days before and after the twelfth come up. */
static gint64
pick_start_us (GRand *rand)
{
  return (gint64)g_rand_int_range (rand, 1610000000, 1790000000) * G_USEC_PER_SEC;
}

static gboolean
travel_by_chance (guint32 seed)
{
  static const double intervals_s[] = { 0.5, 1, 2, 5 };
  g_autoptr (GRand) rand = g_rand_new_with_seed (seed);
  const Dialect dialect = pick_dialect (rand);
  double interval_s = PICK (rand, intervals_s);
  if (dialect_get_time_step_s (&dialect) >= 0.5)
    interval_s = MAX (interval_s, 1);
  g_autoptr (Log) log = log_new (rand, N_ROWS, interval_s, pick_start_us (rand));
  g_autofree char *label = g_strdup_printf ("seed %u", seed);

  return travel (&dialect, log, label);
}

static guint32
get_number (const char *name, guint32 fallback)
{
  const char *text = g_getenv (name);

  return text != NULL ? (guint32)strtoul (text, NULL, 10) : fallback;
}

/* Beyond N_SEEDS: a row of data, taken apart at its decimal commas, was taken for names. */
static const guint32 once_failed[] = { 2023 };

static void
test_by_chance (void)
{
  guint32 only = get_number ("TIDEMARK_SEED", 0), n = get_number ("TIDEMARK_SEEDS", N_SEEDS);
  guint n_failed = 0;

  if (only != 0)
    n_failed += !travel_by_chance (only);
  for (guint32 seed = 1; only == 0 && seed <= n; seed++)
    n_failed += !travel_by_chance (seed);
  for (guint i = 0; only == 0 && i < G_N_ELEMENTS (once_failed); i++)
    n_failed += !travel_by_chance (once_failed[i]);
  g_assert_cmpuint (n_failed, ==, 0);
}

/* ---- Every combination of the main axes ---- */

static guint
travel_all (Dialect dialect, const Log *log)
{
  static const char *const line_ends[] = { "\n", "\r\n", "\r" };
  guint n_failed = 0;

  for (guint i = 0; i < G_N_ELEMENTS (unicode); i++)
    for (guint k = 0; k < G_N_ELEMENTS (line_ends); k++)
      for (Quotes quotes = 0; quotes < N_QUOTES; quotes++)
        {
          dialect.encoding = unicode[i];
          dialect.line_end = line_ends[k];
          dialect.quotes = quotes;
          n_failed += !travel (&dialect, log, "crossed");
        }
  return n_failed;
}

static void
test_crossed (void)
{
  static const char delimiters[] = { ',', ';', '\t', '|' }, decimals[] = { '.', ',' };
  g_autoptr (GRand) rand = g_rand_new_with_seed (1);
  g_autoptr (Log) log = log_new (rand, N_ROWS, 1, pick_start_us (rand));
  guint n_failed = 0;

  for (guint i = 0; i < G_N_ELEMENTS (delimiters); i++)
    for (guint k = 0; k < G_N_ELEMENTS (decimals); k++)
      n_failed += travel_all ((Dialect){ .delimiter = delimiters[i],
                                         .decimal = decimals[k],
                                         .language = LANGUAGE_DE,
                                         .preamble = 2 },
                              log);
  g_assert_cmpuint (n_failed, ==, 0);
}

/* Every form of time in every language with every form of units. */
static void
test_forms (void)
{
  g_autoptr (GRand) rand = g_rand_new_with_seed (2);
  g_autoptr (Log) log = log_new (rand, N_ROWS, 1, pick_start_us (rand));
  guint n_failed = 0;

  for (TimeForm form = 0; form < N_FORMS; form++)
    for (Language language = 0; language < N_LANGUAGES; language++)
      for (Units units = 0; units < N_UNITS; units++)
        {
          Dialect dialect = { .delimiter = ';',
                              .decimal = language == LANGUAGE_EN ? '.' : ',',
                              .encoding = "UTF-8",
                              .line_end = "\r\n",
                              .form = form,
                              .units = units,
                              .language = language };

          mend_dialect (&dialect);
          n_failed += !travel (&dialect, log, "forms");
        }
  g_assert_cmpuint (n_failed, ==, 0);
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/reading/roundtrip/by-chance", test_by_chance);
  g_test_add_func ("/reading/roundtrip/crossed", test_crossed);
  g_test_add_func ("/reading/roundtrip/forms", test_forms);
  return g_test_run ();
}
