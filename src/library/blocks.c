/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Lossless coding of a block of samples.
 *
 * A meter writes decimals. So a block looks for the smallest k with every value equal to an
 * integer / 10^k, checked by that very division, bit for bit; it then keeps integers. They are
 * told as small remainders of one of four predictions (the first value, the one before, the
 * straight line through the two before, a guess of the caller's: power is about V·I), whichever
 * needs the fewest bits. Values that are no decimals keep their bit pattern, told as the step from
 * the one before. Values equal to the guess need nothing at all.
 *
 * Layout: a byte FORMAT, then one zstd frame with its checksum, of
 *   coding (u8), k (u8), width (u8), 0 (u8), first (u64), second (u64),
 *   width planes of n bytes: byte p of every zig-zagged remainder, the lowest plane first;
 * integers little-endian. The planes put the noisy low bytes together and the near-empty high
 * ones together, which is what an entropy coder wants.
 *
 * The head stands inside the frame, so that its checksum covers everything that means something.
 * Cost: some 5 ns a value to encode, 3 ns to decode.
 */
#include "library/blocks-private.h"

#include <math.h>
#include <string.h>
#include <zstd.h>

#define FORMAT       1
#define HEAD_SIZE    20
#define MAX_WIDTH    8
#define MAX_DECIMALS 9
#define CONTENT_MAX  (HEAD_SIZE + MAX_WIDTH * TIDE_BLOCK_SAMPLES)
/* Below this, value × 10^k is off by less than half, so that rounding it finds the integer. */
#define INTEGER_LIMIT ((double)(G_GINT64_CONSTANT (1) << 50))

typedef enum
{
  CODING_BITS,  /* steps of the bit patterns, seen as integers */
  CODING_FIRST, /* integers less the first */
  CODING_STEP,  /* integers less the one before */
  CODING_LINE,  /* integers less the line through the two before */
  CODING_GUESS, /* integers less the rounded guess */
  CODING_SAME,  /* the guess itself */
  N_CODINGS
} Coding;

typedef struct
{
  guint8 coding;
  guint8 decimals;
  guint8 width;
  guint64 first;
  guint64 second;
} Head;

struct _TideCoder
{
  ZSTD_CCtx *compressor;
  ZSTD_DCtx *expander;
  gint64 *integers;    /* TIDE_BLOCK_SAMPLES */
  guint64 *remainders; /* TIDE_BLOCK_SAMPLES */
  guint8 *content;     /* CONTENT_MAX */
  guint8 *packed;      /* packed_size */
  gsize packed_size;
};

static const double POWERS_OF_TEN[MAX_DECIMALS + 1] = { 1e0, 1e1, 1e2, 1e3, 1e4,
                                                        1e5, 1e6, 1e7, 1e8, 1e9 };

TideCoder *
tide_coder_new (void)
{
  TideCoder *coder = g_new0 (TideCoder, 1);

  coder->compressor = ZSTD_createCCtx ();
  coder->expander = ZSTD_createDCtx ();
  if (coder->compressor == NULL || coder->expander == NULL)
    g_error ("out of memory for a block coder"); /* as g_malloc() does */
  ZSTD_CCtx_setParameter (coder->compressor, ZSTD_c_compressionLevel, 1);
  ZSTD_CCtx_setParameter (coder->compressor, ZSTD_c_checksumFlag, 1);
  coder->integers = g_new (gint64, TIDE_BLOCK_SAMPLES);
  coder->remainders = g_new (guint64, TIDE_BLOCK_SAMPLES);
  coder->content = g_malloc (CONTENT_MAX);
  coder->packed_size = 1 + ZSTD_compressBound (CONTENT_MAX);
  coder->packed = g_malloc (coder->packed_size);
  return coder;
}

void
tide_coder_free (TideCoder *coder)
{
  if (coder == NULL)
    return;
  ZSTD_freeCCtx (coder->compressor);
  ZSTD_freeDCtx (coder->expander);
  g_free (coder->integers);
  g_free (coder->remainders);
  g_free (coder->content);
  g_free (coder->packed);
  g_free (coder);
}

/* --- Integers, bits and bytes; all arithmetic wraps, so that no bytes can overflow it --- */

static guint64
get_bits (double value)
{
  guint64 bits;

  memcpy (&bits, &value, sizeof bits);
  return bits;
}

static double
get_double (guint64 bits)
{
  double value;

  memcpy (&value, &bits, sizeof value);
  return value;
}

static guint64
fold_sign (guint64 difference)
{
  return (difference << 1) ^ (0 - (difference >> 63));
}

static guint64
unfold_sign (guint64 folded)
{
  return (folded >> 1) ^ (0 - (folded & 1));
}

static void
put_u64 (guint8 *bytes, guint64 value)
{
  value = GUINT64_TO_LE (value);
  memcpy (bytes, &value, sizeof value);
}

static guint64
take_u64 (const guint8 *bytes)
{
  guint64 value;

  memcpy (&value, bytes, sizeof value);
  return GUINT64_FROM_LE (value);
}

/* The integer that a guess stands for; 0 for one that is none, which costs size but no bit. */
static guint64
round_guess (double guess, double scale)
{
  double scaled = guess * scale;

  return fabs (scaled) < INTEGER_LIMIT ? (guint64)(gint64)rint (scaled) : 0;
}

/* --- Encoding --- */

static gboolean
scale_to_integers (const double *values, gsize n, double scale, gint64 *integers)
{
  for (gsize i = 0; i < n; i++)
    {
      double scaled = rint (values[i] * scale);

      if (!(fabs (scaled) < INTEGER_LIMIT))
        return FALSE;
      integers[i] = (gint64)scaled;
      /* Bits, not ==, so that -0.0 is seen. */
      if (get_bits ((double)integers[i] / scale) != get_bits (values[i]))
        return FALSE;
    }
  return TRUE;
}

/* Fills integers with the values × 10^decimals; FALSE when no number of decimals will do. */
static gboolean
find_decimals (const double *values, gsize n, gint64 *integers, guint8 *decimals)
{
  for (guint8 k = 0; k <= MAX_DECIMALS; k++)
    if (scale_to_integers (values, n, POWERS_OF_TEN[k], integers))
      {
        *decimals = k;
        return TRUE;
      }
  return FALSE;
}

static guint64
predict_integer (const gint64 *integers, gsize i, Coding coding, double guess, double scale)
{
  switch (coding)
    {
    case CODING_FIRST:
      return (guint64)integers[0];
    case CODING_STEP:
      return (guint64)integers[i > 0 ? i - 1 : 0];
    case CODING_LINE:
      return i < 2 ? (guint64)integers[i] : 2 * (guint64)integers[i - 1] - (guint64)integers[i - 2];
    default:
      return round_guess (guess, scale);
    }
}

/* Bits that the remainders of one prediction take, by every 8th stretch of 32 of them: enough to
 * tell a good prediction from a bad one. */
static guint64
estimate_bits (const gint64 *integers, gsize n, Coding coding, const double *guess, double scale)
{
  guint64 bits = 0;

  for (gsize i = 0; i < n; i += (i % 32 == 31) ? 7 * 32 + 1 : 1)
    {
      guint64 prediction =
          predict_integer (integers, i, coding, guess != NULL ? guess[i] : 0.0, scale);

      bits += (guint64)g_bit_storage (fold_sign ((guint64)integers[i] - prediction));
    }
  return bits;
}

static Coding
choose_coding (const gint64 *integers, gsize n, const double *guess, double scale)
{
  Coding last = guess != NULL ? CODING_GUESS : CODING_LINE;
  Coding best = CODING_FIRST;
  guint64 best_bits = G_MAXUINT64;

  for (Coding coding = CODING_FIRST; coding <= last; coding++)
    {
      guint64 bits = estimate_bits (integers, n, coding, guess, scale);

      if (bits < best_bits)
        {
          best = coding;
          best_bits = bits;
        }
    }
  return best;
}

static void
take_remainders_of_bits (const double *values, gsize n, guint64 *remainders)
{
  guint64 before = 0;

  for (gsize i = 0; i < n; i++)
    {
      guint64 bits = get_bits (values[i]);

      remainders[i] = fold_sign (bits - before);
      before = bits;
    }
}

static void
take_remainders (TideCoder *coder, gsize n, Coding coding, const double *guess, double scale)
{
  for (gsize i = 0; i < n; i++)
    {
      guint64 prediction =
          predict_integer (coder->integers, i, coding, guess != NULL ? guess[i] : 0.0, scale);

      coder->remainders[i] = fold_sign ((guint64)coder->integers[i] - prediction);
    }
}

static guint8
measure_width (const guint64 *remainders, gsize n)
{
  guint64 any = 0;

  for (gsize i = 0; i < n; i++)
    any |= remainders[i];
  return any == 0 ? 0 : (guint8)((g_bit_storage (any) + 7) / 8);
}

/* Chooses how to tell the values, and fills coder->remainders unless they are the guess. */
static Head
choose_head (TideCoder *coder, const double *values, const double *guess, gsize n)
{
  Head head = { .coding = CODING_BITS };

  if (guess != NULL && memcmp (values, guess, n * sizeof *values) == 0)
    {
      head.coding = CODING_SAME;
      return head;
    }
  if (find_decimals (values, n, coder->integers, &head.decimals))
    {
      double scale = POWERS_OF_TEN[head.decimals];

      head.coding = choose_coding (coder->integers, n, guess, scale);
      head.first = (guint64)coder->integers[0];
      head.second = n > 1 ? (guint64)coder->integers[1] : 0;
      take_remainders (coder, n, head.coding, guess, scale);
    }
  else
    take_remainders_of_bits (values, n, coder->remainders);
  head.width = measure_width (coder->remainders, n);
  return head;
}

static void
put_head (guint8 *content, const Head *head)
{
  content[0] = head->coding;
  content[1] = head->decimals;
  content[2] = head->width;
  content[3] = 0;
  put_u64 (content + 4, head->first);
  put_u64 (content + 12, head->second);
}

const guint8 *
tide_coder_encode (TideCoder *coder,
                   const double *values,
                   const double *guess,
                   gsize n,
                   gsize *size)
{
  Head head;
  gsize packed;

  g_return_val_if_fail (n >= 1 && n <= TIDE_BLOCK_SAMPLES, NULL);

  head = choose_head (coder, values, guess, n);
  put_head (coder->content, &head);
  for (guint plane = 0; plane < head.width; plane++)
    {
      guint8 *bytes = coder->content + HEAD_SIZE + plane * n;

      for (gsize i = 0; i < n; i++)
        bytes[i] = (guint8)(coder->remainders[i] >> (8 * plane));
    }
  coder->packed[0] = FORMAT;
  packed = ZSTD_compress2 (coder->compressor, coder->packed + 1, coder->packed_size - 1,
                           coder->content, HEAD_SIZE + head.width * n);
  /* It has room for the worst case, so that nothing but memory can fail. */
  if (ZSTD_isError (packed))
    g_error ("a block cannot be compressed: %s", ZSTD_getErrorName (packed));
  *size = 1 + packed;
  return coder->packed;
}

/* --- Decoding --- */

static gboolean
check_head (const guint8 *content, gsize content_size, gboolean with_guess, gsize n, Head *head)
{
  head->coding = content[0];
  head->decimals = content[1];
  head->width = content[2];
  head->first = take_u64 (content + 4);
  head->second = take_u64 (content + 12);

  if (head->coding >= N_CODINGS || head->decimals > MAX_DECIMALS || head->width > MAX_WIDTH)
    return FALSE;
  if ((head->coding == CODING_GUESS || head->coding == CODING_SAME) && !with_guess)
    return FALSE;
  return content[3] == 0 && content_size == HEAD_SIZE + head->width * n;
}

/* Expands the frame into coder->content and reads its head. */
static gboolean
expand_block (TideCoder *coder,
              const guint8 *data,
              gsize size,
              gboolean with_guess,
              gsize n,
              Head *head)
{
  unsigned long long content_size;
  gsize expanded;

  if (size < 2 || data[0] != FORMAT)
    return FALSE;
  content_size = ZSTD_getFrameContentSize (data + 1, size - 1);
  /* Its two error values are larger than any size. */
  if (content_size < HEAD_SIZE || content_size > HEAD_SIZE + MAX_WIDTH * n)
    return FALSE;
  expanded = ZSTD_decompressDCtx (coder->expander, coder->content, CONTENT_MAX, data + 1, size - 1);
  if (ZSTD_isError (expanded) || expanded != content_size)
    return FALSE;
  return check_head (coder->content, expanded, with_guess, n, head);
}

static void
join_planes (TideCoder *coder, guint width, gsize n)
{
  memset (coder->remainders, 0, n * sizeof *coder->remainders);
  for (guint plane = 0; plane < width; plane++)
    {
      const guint8 *bytes = coder->content + HEAD_SIZE + plane * n;

      for (gsize i = 0; i < n; i++)
        coder->remainders[i] |= (guint64)bytes[i] << (8 * plane);
    }
}

static void
add_remainders_of_bits (const guint64 *remainders, gsize n, double *values)
{
  guint64 bits = 0;

  for (gsize i = 0; i < n; i++)
    {
      bits += unfold_sign (remainders[i]);
      values[i] = get_double (bits);
    }
}

static void
add_remainders (const guint64 *remainders,
                gsize n,
                const Head *head,
                const double *guess,
                double *values)
{
  double scale = POWERS_OF_TEN[head->decimals];
  guint64 before = head->first;
  /* The line of the first two: its first step leads from the first to the second. */
  guint64 step = head->second - head->first;

  for (gsize i = 0; i < n; i++)
    {
      guint64 remainder = unfold_sign (remainders[i]);
      guint64 integer;

      if (head->coding == CODING_FIRST)
        integer = head->first + remainder;
      else if (head->coding == CODING_STEP)
        integer = before + remainder;
      else if (head->coding == CODING_GUESS)
        integer = round_guess (guess[i], scale) + remainder;
      else if (i == 0)
        integer = head->first + remainder;
      else
        {
          step += remainder;
          integer = before + step;
        }
      before = integer;
      values[i] = (double)(gint64)integer / scale;
    }
}

gboolean
tide_coder_decode (TideCoder *coder,
                   const void *data,
                   gsize size,
                   const double *guess,
                   gsize n,
                   double *values)
{
  Head head;

  g_return_val_if_fail (n >= 1 && n <= TIDE_BLOCK_SAMPLES, FALSE);

  if (!expand_block (coder, data, size, guess != NULL, n, &head))
    return FALSE;
  if (head.coding == CODING_SAME)
    {
      memcpy (values, guess, n * sizeof *values);
      return TRUE;
    }
  join_planes (coder, head.width, n);
  if (head.coding == CODING_BITS)
    add_remainders_of_bits (coder->remainders, n, values);
  else
    add_remainders (coder->remainders, n, &head, guess, values);
  return TRUE;
}
