/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The coding of blocks: any doubles come back bit for bit; any bytes are refused or decode. */
#include "library/blocks-private.h"

#include <float.h>
#include <math.h>
#include <string.h>
#include <zstd.h>

#define SEED 20240229

typedef void (*Fill) (double *values, double *guess, gsize n, GRand *random);

/* Each fills the values, and a guess where guess[0] shall be used. */

static void
fill_zeros (double *values, double *guess, gsize n, GRand *random)
{
  memset (values, 0, n * sizeof *values);
}

static void
fill_clock (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    values[i] = (double)(i * 125 + (i > n / 2 ? 3600000 : 0)) / 1000.0;
}

static void
fill_walk (double *values, double *guess, gsize n, GRand *random)
{
  int integer = 90000;

  for (gsize i = 0; i < n; i++)
    {
      integer += g_rand_int_range (random, -40, 41);
      values[i] = integer / 1e4;
    }
}

static void
fill_level_noise (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    values[i] = (9000 + g_rand_int_range (random, -9, 10)) / 1e3;
}

/* Power of its own rounding beside V·I. */
static void
fill_near_guess (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    {
      guess[i] = g_rand_double_range (random, -20, 20);
      values[i] = rint ((guess[i] + g_rand_double_range (random, -2e-4, 2e-4)) * 1e4) / 1e4;
    }
}

static void
fill_same_as_guess (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    values[i] = guess[i] = g_rand_double_range (random, 0, 20) * g_rand_double (random);
}

/* A guess that is no number anywhere must cost size, not bits. */
static void
fill_bad_guess (double *values, double *guess, gsize n, GRand *random)
{
  const double bad[] = { NAN, INFINITY, -INFINITY, 1e300, 0.0 };

  for (gsize i = 0; i < n; i++)
    {
      guess[i] = bad[i % G_N_ELEMENTS (bad)];
      values[i] = i % 2 == 0 ? 0.0 : 1e7;
    }
}

static void
fill_no_decimals (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    values[i] = sin ((double)i * 1e-3) / 3.0;
}

static void
fill_any_bits (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    {
      guint64 bits = (guint64)g_rand_int (random) << 32 | g_rand_int (random);

      memcpy (&values[i], &bits, sizeof bits);
    }
}

static void
fill_odd_values (double *values, double *guess, gsize n, GRand *random)
{
  const double odd[] = { 0.0, -0.0, DBL_MAX, -DBL_MAX, DBL_MIN, DBL_TRUE_MIN, INFINITY, -INFINITY,
                         NAN, 0.1,  1e15,    -1e-9,    0x1p50,  -0x1p50,      0x1p53 };

  for (gsize i = 0; i < n; i++)
    values[i] = odd[g_rand_int_range (random, 0, G_N_ELEMENTS (odd))];
}

static void
fill_minus_zero_last (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    values[i] = i + 1 == n ? -0.0 : 1.25;
}

/* The largest integers that are still taken, in both signs: the remainders are at their widest. */
static void
fill_widest_integers (double *values, double *guess, gsize n, GRand *random)
{
  for (gsize i = 0; i < n; i++)
    values[i] = (i % 2 == 0 ? 1 : -1) * (0x1p50 - 1);
}

static const struct
{
  const char *name;
  Fill fill;
  gboolean with_guess;
} FILLS[] = {
  { "zeros", fill_zeros, FALSE },
  { "clock", fill_clock, FALSE },
  { "walk", fill_walk, FALSE },
  { "level-noise", fill_level_noise, FALSE },
  { "near-guess", fill_near_guess, TRUE },
  { "same-as-guess", fill_same_as_guess, TRUE },
  { "bad-guess", fill_bad_guess, TRUE },
  { "no-decimals", fill_no_decimals, FALSE },
  { "any-bits", fill_any_bits, FALSE },
  { "odd-values", fill_odd_values, FALSE },
  { "minus-zero-last", fill_minus_zero_last, FALSE },
  { "widest-integers", fill_widest_integers, FALSE },
};

/* n values of fill number f through the coder and back. */
static void
check_round_trip (guint f, gsize n)
{
  g_autoptr (TideCoder) coder = tide_coder_new ();
  g_autoptr (TideCoder) other = tide_coder_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED);
  g_autofree double *values = g_new0 (double, n);
  g_autofree double *guess = g_new0 (double, n);
  g_autofree double *back = g_new0 (double, n);
  const double *used = FILLS[f].with_guess ? guess : NULL;
  const guint8 *bytes;
  gsize size;

  FILLS[f].fill (values, guess, n, random);
  bytes = tide_coder_encode (coder, values, used, n, &size);
  g_assert_true (tide_coder_decode (other, bytes, size, used, n, back));
  g_assert_cmpmem (values, n * sizeof *values, back, n * sizeof *back);
}

static void
test_round_trip (gconstpointer data)
{
  const gsize lengths[] = { 1, 2, 3, 31, 32, 33, 255, 256, 257, 4096, 65535, 65536 };

  for (guint i = 0; i < G_N_ELEMENTS (lengths); i++)
    check_round_trip (GPOINTER_TO_UINT (data), lengths[i]);
}

/* Decimals of every count that is looked for, and of one more. */
static void
test_decimals (void)
{
  g_autoptr (TideCoder) coder = tide_coder_new ();

  for (int k = 0; k <= 10; k++)
    {
      double values[500], back[500];
      const guint8 *bytes;
      g_autofree guint8 *copy = NULL;
      gsize size;

      for (int i = 0; i < 500; i++)
        values[i] = (double)(i * 7 - 1000) / pow (10, k);
      bytes = tide_coder_encode (coder, values, NULL, 500, &size);
      copy = g_memdup2 (bytes, size);
      g_assert_true (tide_coder_decode (coder, copy, size, NULL, 500, back));
      g_assert_cmpmem (values, sizeof values, back, sizeof back);
      /* A straight line in decimals costs next to nothing; bit patterns do not. */
      if (k <= 9)
        g_assert_cmpuint (size, <, 60);
      else
        g_assert_cmpuint (size, >, 200);
    }
}

/* Sizes in bits a value, where the prediction that fits must have been found. The bound is the
 * entropy of the drawn remainders, with a fifth on top for the entropy coder. */
static void
test_sizes (void)
{
  static const struct
  {
    Fill fill;
    gboolean with_guess;
    double bits;
  } cases[] = {
    { fill_zeros, FALSE, 0.02 },
    { fill_clock, FALSE, 0.02 },
    { fill_same_as_guess, TRUE, 0.02 },
    { fill_walk, FALSE, 6.34 * 1.2 },        /* log2 81 */
    { fill_level_noise, FALSE, 4.25 * 1.2 }, /* log2 19, the level without its steps */
    { fill_near_guess, TRUE, 2.32 * 1.2 },   /* log2 5 at most */
  };
  g_autoptr (TideCoder) coder = tide_coder_new ();
  g_autofree double *values = g_new (double, TIDE_BLOCK_SAMPLES);
  g_autofree double *guess = g_new (double, TIDE_BLOCK_SAMPLES);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GRand) random = g_rand_new_with_seed (SEED);
      gsize size;

      cases[i].fill (values, guess, TIDE_BLOCK_SAMPLES, random);
      tide_coder_encode (coder, values, cases[i].with_guess ? guess : NULL, TIDE_BLOCK_SAMPLES,
                         &size);
      g_assert_cmpfloat ((double)size * 8 / TIDE_BLOCK_SAMPLES, <, cases[i].bits);
    }
}

/* Bytes with one to four of them changed, cut or grown: refused, or still the same values. */
static void
test_damage (gconstpointer data)
{
  guint f = GPOINTER_TO_UINT (data);
  const gsize n = 700;
  g_autoptr (TideCoder) coder = tide_coder_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED + f);
  double values[700] = { 0 }, guess[700] = { 0 }, back[700];
  const double *used = FILLS[f].with_guess ? guess : NULL;
  const guint8 *encoded;
  g_autofree guint8 *bytes = NULL;
  gsize size;
  guint n_refused = 0;

  FILLS[f].fill (values, guess, n, random);
  encoded = tide_coder_encode (coder, values, used, n, &size);
  bytes = g_memdup2 (encoded, size);
  for (guint round = 0; round < 2000; round++)
    {
      gsize cut = round % 4 == 0 ? (gsize)g_rand_int_range (random, 0, (int)size) : size;
      g_autofree guint8 *hurt = g_memdup2 (bytes, size);

      for (int i = g_rand_int_range (random, 0, 4); i >= 0; i--)
        hurt[g_rand_int_range (random, 0, (int)size)] ^= (guint8)g_rand_int_range (random, 1, 256);
      if (tide_coder_decode (coder, hurt, cut, used, n, back))
        g_assert_cmpmem (values, sizeof values, back, sizeof back);
      else
        n_refused++;
    }
  g_assert_cmpuint (n_refused, >, 1800);
}

/* Frames that are sound for zstd and lie about what is in them. */
static void
test_false_heads (void)
{
  enum
  {
    N = 10,
    PLAIN = 20 + 2 * N
  };
  static const struct
  {
    const char *what;
    gsize content_size;
    guint8 head[4]; /* coding, decimals, width, 0 */
    gboolean good;
  } cases[] = {
    { "as it should be", PLAIN, { 2, 4, 2, 0 }, TRUE },
    { "wrapping sums", PLAIN, { 3, 9, 2, 0 }, TRUE },
    { "unknown coding", PLAIN, { 6, 4, 2, 0 }, FALSE },
    { "too many decimals", PLAIN, { 2, 10, 2, 0 }, FALSE },
    { "too wide", PLAIN, { 2, 4, 9, 0 }, FALSE },
    { "narrower than it is", PLAIN, { 2, 4, 1, 0 }, FALSE },
    { "wider than it is", PLAIN, { 2, 4, 3, 0 }, FALSE },
    { "guess where there is none", PLAIN, { 4, 4, 2, 0 }, FALSE },
    { "same where there is none", 20, { 5, 4, 0, 0 }, FALSE },
    { "reserved byte", PLAIN, { 2, 4, 2, 1 }, FALSE },
    { "no whole head", 19, { 2, 4, 0, 0 }, FALSE },
    { "empty", 0, { 0 }, FALSE },
    { "more than can be", 20 + 8 * N + 1, { 2, 4, 8, 0 }, FALSE },
  };
  g_autoptr (TideCoder) coder = tide_coder_new ();

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      guint8 content[20 + 8 * N + 1], packed[1000] = { 1 };
      double back[N];
      gsize size;

      memset (content, 0xff, sizeof content);
      memcpy (content, cases[i].head, 4);
      size = 1 + ZSTD_compress (packed + 1, sizeof packed - 1, content, cases[i].content_size, 1);
      g_test_message ("%s", cases[i].what);
      g_assert_cmpint (tide_coder_decode (coder, packed, size, NULL, N, back), ==, cases[i].good);
      packed[0] = 2; /* a format to come */
      g_assert_false (tide_coder_decode (coder, packed, size, NULL, N, back));
    }
}

/* Bytes of nothing at all, and a block that is asked for under another length. */
static void
test_strange_bytes (void)
{
  g_autoptr (TideCoder) coder = tide_coder_new ();
  g_autoptr (GRand) random = g_rand_new_with_seed (SEED);
  double values[100] = { 1.5, 2.5 }, back[101];
  guint8 noise[64];
  const guint8 *bytes;
  g_autofree guint8 *copy = NULL;
  gsize size;

  g_assert_false (tide_coder_decode (coder, "", 0, NULL, 1, back));
  for (guint round = 0; round < 2000; round++)
    {
      for (guint i = 0; i < sizeof noise; i++)
        noise[i] = (guint8)g_rand_int (random);
      noise[0] = 1;
      g_assert_false (tide_coder_decode (coder, noise, sizeof noise, NULL, 100, back));
    }
  bytes = tide_coder_encode (coder, values, NULL, 100, &size);
  copy = g_memdup2 (bytes, size);
  g_assert_false (tide_coder_decode (coder, copy, size, NULL, 99, back));
  g_assert_false (tide_coder_decode (coder, copy, size, NULL, 101, back));
  g_assert_true (tide_coder_decode (coder, copy, size, NULL, 100, back));
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  for (guint f = 0; f < G_N_ELEMENTS (FILLS); f++)
    {
      g_autofree char *there = g_strdup_printf ("/library/blocks/round-trip/%s", FILLS[f].name);
      g_autofree char *hurt = g_strdup_printf ("/library/blocks/damage/%s", FILLS[f].name);

      g_test_add_data_func (there, GUINT_TO_POINTER (f), test_round_trip);
      g_test_add_data_func (hurt, GUINT_TO_POINTER (f), test_damage);
    }
  g_test_add_func ("/library/blocks/decimals", test_decimals);
  g_test_add_func ("/library/blocks/sizes", test_sizes);
  g_test_add_func ("/library/blocks/false-heads", test_false_heads);
  g_test_add_func ("/library/blocks/strange-bytes", test_strange_bytes);
  return g_test_run ();
}
