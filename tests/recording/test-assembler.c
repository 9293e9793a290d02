/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Rows that come in pieces become the recordings that they are as a whole, wherever a chunk ends
 * and whatever is wrong with them. The rules themselves are tested in test-assemble.c.
 */
#include "recording/assembler-private.h"
#include "recording/memory-sink.h"

#include <math.h>
#include <string.h>

/* ---- Helpers ---- */

static TideRawRows
make_raw (guint columns)
{
  TideRawRows raw = { 0 };

  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (columns & (1u << q))
      raw.columns[q] = g_array_new (FALSE, FALSE, sizeof (double));
  raw.rows = g_array_new (FALSE, FALSE, sizeof (guint64));
  return raw;
}

static void
clear_raw (TideRawRows *raw)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    g_clear_pointer (&raw->columns[q], g_array_unref);
  g_clear_pointer (&raw->rows, g_array_unref);
}
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideRawRows, clear_raw)

static void
add_value (TideRawRows *raw, TideQuantity quantity, double value)
{
  if (raw->columns[quantity] != NULL)
    g_array_append_val (raw->columns[quantity], value);
}

static void
copy_rows (TideRawRows *to, const TideRawRows *from, gsize first, gsize n)
{
  for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
    if (from->columns[q] != NULL)
      g_array_append_vals (to->columns[q], &g_array_index (from->columns[q], double, first),
                           (guint)n);
  g_array_append_vals (to->rows, &g_array_index (from->rows, guint64, first), (guint)n);
  to->clock_of_day = from->clock_of_day;
  to->dated = from->dated;
  to->start_us = from->start_us;
}

/* The rows in pieces of at most piece rows. NULL on error. */
static GPtrArray *
assemble (const TideRawRows *raw, guint columns, guint chunk, gsize piece, GError **error)
{
  guint next_part = 1;
  gsize n = raw->rows->len;
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  g_autoptr (TideAssembler) assembler =
      tide_assembler_new (tide_memory_sink_get_sink (memory), &next_part, "Port A");
  g_auto (TideRawRows) part = make_raw (columns);

  tide_assembler_set_chunk_rows (assembler, chunk);
  for (gsize done = 0; done < n;)
    {
      gsize length = MIN (piece, n - done);

      copy_rows (&part, raw, done, length);
      if (!tide_assembler_push (assembler, &part, error))
        return NULL;
      g_assert_cmpuint (part.rows->len, ==, 0);
      done += length;
    }
  if (!tide_assembler_finish (assembler, 3, NULL, error))
    return NULL;
  return tide_memory_sink_finish (memory, "log.csv", NULL, error);
}

static void
assert_same_column (const TideRecording *a, const TideRecording *b, TideQuantity quantity)
{
  const double *x = tide_recording_get_column (a, quantity);
  const double *y = tide_recording_get_column (b, quantity);

  g_assert_true ((x == NULL) == (y == NULL));
  if (x != NULL)
    g_assert_cmpmem (x, tide_recording_get_n_samples (a) * sizeof *x, y,
                     tide_recording_get_n_samples (b) * sizeof *y);
}

static void
assert_same_complaints (const TideRecording *a, const TideRecording *b)
{
  GPtrArray *x = tide_recording_get_complaints (a), *y = tide_recording_get_complaints (b);

  for (guint i = 0; i < MIN (x->len, y->len); i++)
    {
      g_autofree char *one = tide_complaint_to_text (x->pdata[i]);
      g_autofree char *other = tide_complaint_to_text (y->pdata[i]);

      g_assert_cmpstr (one, ==, other);
    }
  g_assert_cmpuint (x->len, ==, y->len);
}

static void
assert_same (GPtrArray *a, GPtrArray *b)
{
  g_assert_cmpuint (a->len, ==, b->len);
  for (guint i = 0; i < a->len; i++)
    {
      const TideRecording *x = a->pdata[i], *y = b->pdata[i];

      for (guint q = 0; q < TIDE_N_QUANTITIES; q++)
        assert_same_column (x, y, q);
      g_assert_cmpint (tide_recording_get_start_us (x), ==, tide_recording_get_start_us (y));
      g_assert_cmpuint (tide_recording_get_skipped_rows (x), ==,
                        tide_recording_get_skipped_rows (y));
      g_assert_cmpstr (tide_recording_get_label (x), ==, "Port A");
      assert_same_complaints (x, y);
    }
}

#define BIT(name) (1u << TIDE_QUANTITY_##name)

/* ---- Random logs ---- */

/* What may be wrong with one. */
typedef struct
{
  guint columns;
  gboolean turned, falling_counter, hollow, clock, dated;
} Kind;

static double
next_time (double t, gint32 what)
{
  if (what < 10)
    return t; /* a stamp again */
  if (what < 20)
    return t - 0.5; /* a little late */
  if (what == 20)
    return t - 500; /* another recording */
  return what < 25 ? t + 40 : t + 1;
}

static void
add_row (TideRawRows *raw, const Kind *kind, guint64 row, double t)
{
  double sign = kind->turned ? -1 : 1;
  double v = 5 + g_test_rand_int_range (0, 100) / 100.,
         a = sign * g_test_rand_int_range (100, 300) / 100.;
  gboolean missing = g_test_rand_int_range (0, kind->hollow ? 4 : 200) == 0;

  add_value (raw, TIDE_QUANTITY_TIME, kind->clock ? fmod (t + 80000, 86400) : t);
  add_value (raw, TIDE_QUANTITY_VOLTAGE, v);
  add_value (raw, TIDE_QUANTITY_CURRENT, a);
  add_value (raw, TIDE_QUANTITY_POWER, v * a);
  add_value (raw, TIDE_QUANTITY_ENERGY, (kind->falling_counter ? -1 : 1) * (double)row);
  add_value (raw, TIDE_QUANTITY_TEMPERATURE, missing ? NAN : 20 + (double)(row % 7));
  g_array_append_val (raw->rows, row);
}

static TideRawRows
make_log (const Kind *kind, guint n, gboolean is_messy)
{
  TideRawRows raw = make_raw (kind->columns);
  double t = 1000;

  raw.clock_of_day = kind->clock;
  raw.dated = kind->dated;
  raw.start_us = 1714571130 * G_GINT64_CONSTANT (1000000);
  for (guint i = 0; i < n; i++)
    {
      add_row (&raw, kind, i + 2, t);
      t = next_time (t, is_messy ? g_test_rand_int_range (0, 300) : 200);
    }
  return raw;
}

static const Kind kinds[] = {
  { .columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) },
  { .columns = BIT (TIME) | BIT (POWER) },
  { .columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) | BIT (POWER) | BIT (ENERGY) },
  { .columns = BIT (TIME) | BIT (POWER) | BIT (TEMPERATURE) },
  { .columns = BIT (TIME) | BIT (POWER) | BIT (TEMPERATURE), .hollow = TRUE },
  { .columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) | BIT (ENERGY),
    .turned = TRUE,
    .falling_counter = TRUE },
  { .columns = BIT (TIME) | BIT (POWER) | BIT (CURRENT), .turned = TRUE, .dated = TRUE },
  { .columns = BIT (TIME) | BIT (POWER), .clock = TRUE },
};

/* Pieces of any size are one log: chunks are cut by count alone. */
static void
test_pieces (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    for (guint round = 0; round < 5; round++)
      {
        g_auto (TideRawRows) raw = make_log (&kinds[i], 3000, TRUE);
        g_autoptr (GError) error = NULL;
        g_autoptr (GPtrArray) whole =
            assemble (&raw, kinds[i].columns, TIDE_CHUNK_ROWS, 3000, &error);
        g_assert_no_error (error);
        g_autoptr (GPtrArray) cut = assemble (&raw, kinds[i].columns, TIDE_CHUNK_ROWS,
                                              (gsize)g_test_rand_int_range (1, 200), &error);
        g_assert_no_error (error);
        assert_same (whole, cut);
      }
}

/* The usual interval is the same in every chunk, so that rules which look at it decide alike. */
static void
test_chunks (void)
{
  for (guint i = 0; i < G_N_ELEMENTS (kinds); i++)
    for (guint chunk = 20; chunk < 1500; chunk += 1 + chunk / 3)
      {
        g_auto (TideRawRows) raw = make_log (&kinds[i], 3000, TRUE);
        g_autoptr (GError) error = NULL;
        g_autoptr (GPtrArray) whole =
            assemble (&raw, kinds[i].columns, TIDE_CHUNK_ROWS, 3000, &error);
        g_assert_no_error (error);
        g_autoptr (GPtrArray) cut = assemble (&raw, kinds[i].columns, chunk, 97, &error);
        g_assert_no_error (error);
        g_test_message ("kind %u, chunks of %u, %u recordings", i, chunk, whole->len);
        assert_same (whole, cut);
      }
}

/* Each border falls once on every row of a log in which something is wrong everywhere. */
static void
test_every_border (void)
{
  const double times[] = {
    0, 1, 2, 2, 3, 5, 4, 6, 7, 7, 7, 8, 9, 0, 1, 1, 3, 2, 4, 5, 6, 0, 1, 2, 3
  };
  const guint columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) | BIT (CHARGE);
  g_auto (TideRawRows) raw = make_raw (columns);
  g_autoptr (GPtrArray) whole = NULL;

  for (guint64 i = 0; i < G_N_ELEMENTS (times); i++)
    {
      add_value (&raw, TIDE_QUANTITY_TIME, times[i]);
      add_value (&raw, TIDE_QUANTITY_VOLTAGE, 5 + (double)i / 8);
      add_value (&raw, TIDE_QUANTITY_CURRENT, 1);
      add_value (&raw, TIDE_QUANTITY_CHARGE, (double)i);
      g_array_append_val (raw.rows, i);
    }
  whole = assemble (&raw, columns, TIDE_CHUNK_ROWS, 100, NULL);
  g_assert_cmpuint (whole->len, ==, 3);
  for (guint chunk = 3; chunk <= G_N_ELEMENTS (times) + 1; chunk++)
    for (gsize piece = 1; piece <= G_N_ELEMENTS (times); piece++)
      {
        g_autoptr (GError) error = NULL;
        g_autoptr (GPtrArray) cut = assemble (&raw, columns, chunk, piece, &error);

        g_assert_no_error (error);
        g_test_message ("chunks of %u, pieces of %zu", chunk, piece);
        assert_same (whole, cut);
      }
}

/* ---- What only a log of several chunks shows ---- */

static GPtrArray *
assemble_well (const TideRawRows *raw, guint columns, guint chunk)
{
  g_autoptr (GError) error = NULL;
  GPtrArray *recordings = assemble (raw, columns, chunk, 1000, &error);

  g_assert_no_error (error);
  return recordings;
}

/* Logged power is off V·I by 7 % in most rows: the median comes from bins, good to the digits
 * printed. */
static void
test_mismatch (void)
{
  const guint columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT) | BIT (POWER);
  g_auto (TideRawRows) raw = make_raw (columns);
  g_autoptr (GPtrArray) whole = NULL, cut = NULL;

  for (guint64 i = 0; i < 5000; i++)
    {
      double product = 5 * (2 + (double)(i % 10) / 10);

      add_value (&raw, TIDE_QUANTITY_TIME, (double)i);
      add_value (&raw, TIDE_QUANTITY_VOLTAGE, 5);
      add_value (&raw, TIDE_QUANTITY_CURRENT, product / 5);
      add_value (&raw, TIDE_QUANTITY_POWER, product * (i % 3 == 0 ? 1 : 1.07));
      g_array_append_val (raw.rows, i);
    }
  whole = assemble_well (&raw, columns, TIDE_CHUNK_ROWS);
  cut = assemble_well (&raw, columns, 100);
  assert_same (whole, cut);
  g_assert_nonnull (
      strstr (((TideComplaint *)tide_recording_get_complaints (cut->pdata[0])->pdata[0])->text,
              "6.5 %"));
}

/* Holes at the very beginning: time starts anew at the first sample that stays, and so does the
 * clock. */
static void
test_first_sample_goes (void)
{
  const guint columns = BIT (TIME) | BIT (POWER) | BIT (TEMPERATURE);
  g_auto (TideRawRows) raw = make_raw (columns);

  for (guint64 i = 0; i < 1000; i++)
    {
      add_value (&raw, TIDE_QUANTITY_TIME, (double)i);
      add_value (&raw, TIDE_QUANTITY_POWER, 1);
      add_value (&raw, TIDE_QUANTITY_TEMPERATURE, i < 3 || i == 500 ? NAN : 20);
      g_array_append_val (raw.rows, i);
    }
  raw.start_us = 1000000;
  for (guint chunk = 50; chunk <= 2000; chunk += 1950)
    {
      g_autoptr (GPtrArray) recordings = assemble_well (&raw, columns, chunk);
      const TideRecording *recording = recordings->pdata[0];

      g_assert_cmpuint (tide_recording_get_n_samples (recording), ==, 996);
      g_assert_cmpfloat (tide_recording_get_duration_s (recording), ==, 996);
      g_assert_cmpint (tide_recording_get_start_us (recording), ==, 4000000);
      g_assert_cmpuint (tide_recording_get_skipped_rows (recording), ==, 4 + 3);
    }
}

/* Rows that never leave their stamp do not fill memory. */
static void
test_stuck_clock (void)
{
  const guint columns = BIT (TIME) | BIT (POWER);
  g_auto (TideRawRows) raw = make_raw (columns);
  g_autoptr (GError) error = NULL;

  for (guint64 i = 0; i < 2200000; i++)
    {
      add_value (&raw, TIDE_QUANTITY_TIME, 7);
      add_value (&raw, TIDE_QUANTITY_POWER, 1);
      g_array_append_val (raw.rows, i);
    }
  g_assert_null (assemble (&raw, columns, TIDE_CHUNK_ROWS, 5000, &error));
  g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_NO_CLOCK);
}

static void
test_infinite_late (void)
{
  const guint columns = BIT (TIME) | BIT (VOLTAGE) | BIT (CURRENT);
  g_auto (TideRawRows) raw = make_raw (columns);
  g_autoptr (GError) error = NULL;

  for (guint64 i = 0; i < 1000; i++)
    {
      add_value (&raw, TIDE_QUANTITY_TIME, (double)i);
      add_value (&raw, TIDE_QUANTITY_VOLTAGE, i == 700 ? 1e200 : 5);
      add_value (&raw, TIDE_QUANTITY_CURRENT, i == 700 ? 1e200 : 1);
      g_array_append_val (raw.rows, i);
    }
  g_assert_null (assemble (&raw, columns, 100, 100, &error));
  g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_DAMAGED);
}

/* ---- A sink that refuses ---- */

static gboolean
refuse_begin_cb (TideSink *sink, const TideRecordingHead *head, GError **error)
{
  g_set_error_literal (error, G_FILE_ERROR, G_FILE_ERROR_NOSPC, "full");
  return FALSE;
}

static void
test_sink_fails (void)
{
  const Kind kind = { .columns = BIT (TIME) | BIT (POWER) };
  g_auto (TideRawRows) raw = make_log (&kind, 100, FALSE);
  TideSink sink = { .begin = refuse_begin_cb };
  guint next_part = 1;
  g_autoptr (TideAssembler) assembler = tide_assembler_new (&sink, &next_part, NULL);
  g_autoptr (GError) error = NULL;

  tide_assembler_set_chunk_rows (assembler, 10);
  g_assert_false (tide_assembler_push (assembler, &raw, &error));
  g_assert_error (error, G_FILE_ERROR, G_FILE_ERROR_NOSPC);
  g_assert_cmpuint (next_part, ==, 1);
}

/* The parts of a file are bounded, whichever assembler they come from. */
static void
test_most_recordings (void)
{
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  guint next_part = 1;

  for (guint i = 1; i <= 10001; i++)
    {
      g_autoptr (TideAssembler) assembler =
          tide_assembler_new (tide_memory_sink_get_sink (memory), &next_part, NULL);
      g_auto (TideRawRows) raw = make_raw (1u << TIDE_QUANTITY_TIME | 1u << TIDE_QUANTITY_POWER);
      g_autoptr (GError) error = NULL;

      for (guint64 row = 0; row < 2; row++)
        {
          add_value (&raw, TIDE_QUANTITY_TIME, (double)row);
          add_value (&raw, TIDE_QUANTITY_POWER, 5);
          g_array_append_val (raw.rows, row);
        }
      gboolean is_made = tide_assembler_push (assembler, &raw, &error)
                         && tide_assembler_finish (assembler, 0, NULL, &error);
      g_assert_cmpint (is_made, ==, i <= 10000);
      if (!is_made)
        g_assert_error (error, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_LONG);
    }
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/recording/assembler/pieces", test_pieces);
  g_test_add_func ("/recording/assembler/chunks", test_chunks);
  g_test_add_func ("/recording/assembler/every-border", test_every_border);
  g_test_add_func ("/recording/assembler/mismatch", test_mismatch);
  g_test_add_func ("/recording/assembler/first-sample-goes", test_first_sample_goes);
  g_test_add_func ("/recording/assembler/stuck-clock", test_stuck_clock);
  g_test_add_func ("/recording/assembler/infinite-late", test_infinite_late);
  g_test_add_func ("/recording/assembler/sink-fails", test_sink_fails);
  g_test_add_func ("/recording/assembler/most-recordings", test_most_recordings);
  return g_test_run ();
}
