/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See follow.h. Two ages of a file: as long as it is shorter than a head its bytes are kept, and
 * each poll that finds more of them reads them all anew, which costs milliseconds and lets the last
 * row decide what the first means, as it will for who reads the finished file. From then on
 * decoder, tokens and rows go on from where they stand.
 */
#include "reading/follow.h"

#include <glib/gi18n-lib.h>

#include "reading/kept-rows-private.h"
#include "reading/opening-private.h"
#include "reading/runs-private.h"
#include "reading/rule-private.h"
#include "reading/tail-private.h"
#include "recording/memory-sink.h"

/* What may be read in two ways, or lacks a time, is told once there are so many lines: more of them
 * seldom decide it. */
#define PATIENT_LINES 20

struct _TideFollower
{
  char *name;
  TideReadingRule *rule; /* NULL: nothing is stated */
  guint lane;
  TideTail *tail;
  gboolean is_behind, is_finished;

  GByteArray *head;  /* the file's first bytes; NULL once the understanding stands */
  GError *waits_for; /* why nothing could be read yet */
  GError *failed;    /* why nothing more is read of this file */

  TideOpening opening;
  const TideUnderstanding *u; /* NULL: nothing is understood */
  TideRows *rows;
  TideTokens *tokens;
  TideRawRows raw; /* all rows of the lane */
};

/* ---- Reading ---- */

static void
drop_reading (TideFollower *follower)
{
  g_clear_pointer (&follower->tokens, tide_tokens_free);
  g_clear_pointer (&follower->rows, tide_rows_free);
  tide_opening_clear (&follower->opening);
  follower->u = NULL;
  tide_kept_rows_clear (&follower->raw);
  g_clear_error (&follower->waits_for);
}

static void
begin_anew (TideFollower *follower)
{
  drop_reading (follower);
  if (follower->head == NULL)
    follower->head = g_byte_array_new ();
  g_byte_array_set_size (follower->head, 0);
  g_clear_error (&follower->failed);
  follower->is_behind = FALSE;
}

/* Behind the last line end; in UTF-16, where its two bytes end. 0: there is none. */
static gsize
find_last_line (const GByteArray *head)
{
  gsize n = head->len;

  while (n > 0 && head->data[n - 1] != '\n')
    n--;
  /* the first byte of two stands at an even place */
  if (n > 0 && (n - 1) % 2 == 0 && n < head->len && head->data[n] == 0)
    n++;
  if (n > 0)
    return n;
  for (n = head->len; n > 0 && head->data[n - 1] != '\r';)
    n--;
  return n;
}

/* What there is of the head to be read: whole lines of a short one. */
static gboolean
choose_length (TideFollower *follower, gsize *length, gboolean *at_end, GError **error)
{
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();

  *length = follower->head->len;
  if (*at_end || *length >= TIDE_HEAD_BYTES)
    return TRUE;
  *at_end = TRUE;
  *length = find_last_line (follower->head);
  if (*length > 0)
    return TRUE;
  /* no text at all need not be waited for */
  g_autoptr (TideDecoder) decoder =
      tide_decoder_new (follower->head->data, follower->head->len, FALSE,
                        follower->rule != NULL ? follower->rule->encoding : NULL, complaints,
                        error);
  if (decoder != NULL)
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_EMPTY,
                         _ ("no line is complete so far"));
  return FALSE;
}

static gboolean
check_lane (const TideFollower *follower, const TideUnderstanding *u, GError **error)
{
  if (follower->lane < u->n_lanes)
    return TRUE;
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
               g_dngettext (GETTEXT_PACKAGE, "there is only %u run in the file",
                            "there are only %u runs side by side in the file", u->n_lanes),
               u->n_lanes);
  return FALSE;
}

static gboolean
read_head (TideFollower *follower, gboolean at_end, GError **error)
{
  TideOpening *opening = &follower->opening;
  gsize length;

  drop_reading (follower);
  if (!choose_length (follower, &length, &at_end, error)
      || !tide_opening_make (opening, follower->head->data, length, at_end, NULL, follower->rule,
                             NULL, error))
    return FALSE;
  TideUnderstanding *u = g_ptr_array_index (opening->tables, 0);
  if (!tide_understanding_check_answered (u, error) || !check_lane (follower, u, error))
    return FALSE;
  follower->u = u;
  follower->rows = tide_rows_new (u);
  tide_rows_connect (follower->rows, follower->lane, tide_kept_rows_take_cb, &follower->raw);
  follower->tokens = tide_tokens_new (u->delimiter, u->wrapped, u->first_row, tide_rows_field_cb,
                                      tide_rows_record_cb, follower->rows);
  return tide_tokens_feed (follower->tokens, opening->text + u->data_offset,
                           opening->length - u->data_offset, error);
}

static guint
count_lines (const GByteArray *bytes)
{
  guint n = 0;

  for (guint i = 0; i < bytes->len; i++)
    n += bytes->data[i] == '\n';
  return n;
}

/* Can more of the file make good what is wrong with its beginning? */
static gboolean
may_wait (const TideFollower *follower, const GError *problem)
{
  if (problem->domain != TIDE_READING_ERROR || follower->head->len >= TIDE_HEAD_BYTES)
    return FALSE;
  switch ((TideReadingError)problem->code)
    {
    case TIDE_READING_ERROR_EMPTY:
    case TIDE_READING_ERROR_NO_TABLE:
    case TIDE_READING_ERROR_NO_ROWS:
      return TRUE;
    case TIDE_READING_ERROR_NO_TIME:
    case TIDE_READING_ERROR_AMBIGUOUS:
    case TIDE_READING_ERROR_BROKEN:
      return count_lines (follower->head) < PATIENT_LINES;
    case TIDE_READING_ERROR_NOT_TEXT:
    case TIDE_READING_ERROR_TOO_LARGE:
    case TIDE_READING_ERROR_RULE:
    case TIDE_READING_ERROR_PACKED:
    default:
      return FALSE;
    }
}

static gboolean
try_head (TideFollower *follower, gboolean at_end, GError **error)
{
  g_autoptr (GError) problem = NULL;

  if (read_head (follower, at_end, &problem))
    return TRUE;
  if (may_wait (follower, problem) && !at_end)
    {
      drop_reading (follower);
      follower->waits_for = g_steal_pointer (&problem);
      return TRUE;
    }
  g_propagate_error (error, g_steal_pointer (&problem));
  return FALSE;
}

static gboolean
check_is_not_packed (const TideFollower *follower, GError **error)
{
  if (!tide_is_packed (follower->head->data, follower->head->len))
    return TRUE;
  g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_PACKED,
                       _ ("a packed file cannot be followed; import it once it is whole"));
  return FALSE;
}

/* What follows the head. */
static gboolean
feed (TideFollower *follower, const guint8 *bytes, gsize length, gboolean at_end, GError **error)
{
  const char *text;
  gsize text_length;

  return tide_decoder_feed (follower->opening.decoder, bytes, length, at_end, &text, &text_length,
                            error)
         && tide_tokens_feed (follower->tokens, text, text_length, error)
         && tide_rows_check_text (follower->rows, text_length, error);
}

/* The head is read once it is complete; what of bytes is behind it is fed. */
static gboolean
take_bytes (TideFollower *follower, const guint8 *bytes, gsize length, GError **error)
{
  if (follower->head == NULL)
    return feed (follower, bytes, length, FALSE, error);
  gsize n = MIN (length, TIDE_HEAD_BYTES - follower->head->len);

  g_byte_array_append (follower->head, bytes, (guint)n);
  if (!check_is_not_packed (follower, error))
    return FALSE;
  if (follower->head->len < TIDE_HEAD_BYTES)
    return TRUE;
  if (!try_head (follower, FALSE, error))
    return FALSE;
  g_clear_pointer (&follower->head, g_byte_array_unref);
  return n == length || feed (follower, bytes + n, length - n, FALSE, error);
}

/* What was read cannot be read again: it stays so until another file stands there. */
static gboolean
fail (TideFollower *follower, GError **error)
{
  g_prefix_error (&follower->failed, "%s: ", follower->name);
  g_propagate_error (error, g_error_copy (follower->failed));
  return FALSE;
}

static gboolean
take_pieces (TideFollower *follower, gsize *n, GCancellable *cancellable, GError **error)
{
  const guint8 *bytes;
  gsize length = 1;

  while (length > 0 && *n < TIDE_FOLLOW_POLL_BYTES)
    {
      if (!tide_tail_read (follower->tail, &bytes, &length, cancellable, error))
        return FALSE;
      *n += length;
      if (length > 0 && !take_bytes (follower, bytes, length, &follower->failed))
        return fail (follower, error);
    }
  follower->is_behind = length > 0;
  return TRUE;
}

/* What was appended, read as far as it goes. */
static gboolean
read_on (TideFollower *follower, gsize *n, GCancellable *cancellable, GError **error)
{
  if (follower->failed != NULL)
    {
      g_propagate_error (error, g_error_copy (follower->failed));
      return FALSE;
    }
  if (!take_pieces (follower, n, cancellable, error))
    return FALSE;
  if (*n > 0
      && ((follower->head != NULL && !try_head (follower, FALSE, &follower->failed))
          || (follower->rows != NULL && !tide_rows_flush (follower->rows, &follower->failed))))
    return fail (follower, error);
  return TRUE;
}

/* The last line, as it stands. */
static gboolean
read_end (TideFollower *follower)
{
  GError **error = &follower->failed;

  return (follower->head != NULL ? try_head (follower, TRUE, error)
                                 : feed (follower, (const guint8 *)"", 0, TRUE, error))
         && tide_tokens_finish (follower->tokens, error) && tide_rows_flush (follower->rows, error);
}

/* ---- Public ---- */

TideFollower *
tide_follower_new (GFile *file, const TideReadOptions *options, guint lane)
{
  g_return_val_if_fail (G_IS_FILE (file), NULL);
  TideFollower *follower = g_new0 (TideFollower, 1);

  follower->name = tide_source_dup_name (file);
  if (options != NULL && options->rule != NULL)
    follower->rule = tide_reading_rule_copy (options->rule);
  follower->lane = lane;
  follower->tail = tide_tail_new (file, follower->name);
  begin_anew (follower);
  return follower;
}

void
tide_follower_free (TideFollower *follower)
{
  drop_reading (follower);
  g_clear_error (&follower->failed);
  g_clear_pointer (&follower->head, g_byte_array_unref);
  tide_tail_free (follower->tail);
  g_clear_pointer (&follower->rule, tide_reading_rule_free);
  g_free (follower->name);
  g_free (follower);
}

gboolean
tide_follower_poll (TideFollower *follower,
                    TideFollowEvent *event,
                    GCancellable *cancellable,
                    GError **error)
{
  gsize n = 0;

  *event = TIDE_FOLLOW_SAME;
  if (follower->is_finished)
    return TRUE;
  if (!tide_tail_open (follower->tail, event, cancellable, error))
    return FALSE;
  if (*event == TIDE_FOLLOW_REPLACED)
    begin_anew (follower);
  gboolean well = *event != TIDE_FOLLOW_SAME || read_on (follower, &n, cancellable, error);
  tide_tail_close (follower->tail);
  if (n > 0)
    *event = TIDE_FOLLOW_GREW;
  return well;
}

gboolean
tide_follower_is_behind (TideFollower *follower)
{
  return follower->is_behind;
}

gboolean
tide_follower_finish (TideFollower *follower, GCancellable *cancellable, GError **error)
{
  TideFollowEvent event;

  do
    if (!tide_follower_poll (follower, &event, cancellable, error))
      return FALSE;
  while (follower->is_behind && event == TIDE_FOLLOW_GREW);
  follower->is_finished = TRUE;
  return read_end (follower) || fail (follower, error);
}

static GPtrArray *
assemble (TideFollower *follower, GError **error)
{
  g_autoptr (TideMemorySink) memory = tide_memory_sink_new ();
  g_autoptr (GPtrArray) complaints = tide_complaints_copy (follower->u->complaints);

  tide_decoder_tell (follower->opening.decoder, complaints);
  if (!tide_kept_rows_assemble (&follower->raw, follower->u, follower->lane, follower->rows,
                                complaints, tide_memory_sink_get_sink (memory), error))
    return NULL;
  return tide_memory_sink_finish (memory, follower->name, NULL, error);
}

GPtrArray *
tide_follower_assemble (TideFollower *follower, GError **error)
{
  g_autoptr (GError) problem = NULL;
  GPtrArray *recordings = NULL;

  if (follower->rows != NULL)
    recordings = assemble (follower, &problem);
  else
    g_set_error_literal (&problem, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_ROWS,
                         tide_follower_get_reason (follower));
  if (recordings != NULL)
    return recordings;
  /* two rows of one stamp: more will come */
  if (g_error_matches (problem, TIDE_RECORDING_ERROR, TIDE_RECORDING_ERROR_TOO_SHORT))
    {
      problem->domain = TIDE_READING_ERROR;
      problem->code = TIDE_READING_ERROR_NO_ROWS;
    }
  g_propagate_prefixed_error (error, g_steal_pointer (&problem), "%s: ", follower->name);
  return NULL;
}

const char *
tide_follower_get_reason (TideFollower *follower)
{
  if (follower->waits_for != NULL)
    return follower->waits_for->message;
  return follower->rows == NULL ? _ ("the file is empty so far") : NULL;
}

const char *
tide_follower_get_name (TideFollower *follower)
{
  return follower->name;
}
