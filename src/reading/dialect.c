/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file's head becomes the understanding of its first table: which delimiter, which row of names.
 *
 * The row of names is the first that names a time and power, or voltage and current, and has
 * rows below it that can be read. Of the delimiters, the one by which most rows of the head can be
 * read wins. A table without names is refused unless a rule says which column is which.
 */
#include "reading/header-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

#include "reading/rule-private.h"

/* Rows of names that lead to no data are passed over, so many times. */
#define MAX_CANDIDATES 8

/* ---- One delimiter ---- */

/* The best understanding by one delimiter; problem keeps why the first row of names failed. */
static TideUnderstanding *
understand_by (const TideHead *head,
               char delimiter,
               TideSearch *search,
               guint *n_usable,
               GError **problem)
{
  g_auto (TideHeader) header = { 0 };
  g_autoptr (TideUnderstanding) poor = NULL;
  for (guint n = 0; n < MAX_CANDIDATES && tide_header_find (head, delimiter, search, &header); n++)
    {
      g_autoptr (TideUnderstanding) u =
          tide_understand_header (head, delimiter, &header, search->rule, n_usable,
                                  *problem || poor ? NULL : problem);
      if (u && *n_usable >= 2)
        return g_steal_pointer (&u);
      if (u && !poor)
        poor = g_steal_pointer (&u);
    }
  *n_usable = poor != NULL;
  return g_steal_pointer (&poor);
}

/* Of a row of names that is stated, or of none, what is said must make a table. */
static gboolean
check_stated (const TideHeader *header, const TideReadingRule *rule, GError **error)
{
  guint has = rule->every_s > 0 ? 1u << TIDE_QUANTITY_TIME : 0;
  const guint pair = 1u << TIDE_QUANTITY_VOLTAGE | 1u << TIDE_QUANTITY_CURRENT;
  for (guint i = 0; i < header->n; i++)
    if (header->meanings[i].known)
      has |= 1u << header->meanings[i].quantity;
  if (!(has & 1u << TIDE_QUANTITY_TIME))
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
                         _ ("no column is the time"));
  else if (!(has & 1u << TIDE_QUANTITY_POWER) && (has & pair) != pair)
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                         _ ("neither power nor both of voltage and current are among the columns"));
  else
    return TRUE;
  return FALSE;
}

/* The same where a rule states the row of names, or that there is none. */
static TideUnderstanding *
understand_stated (const TideHead *head,
                   char delimiter,
                   TideSearch *search,
                   guint *n_usable,
                   GError **problem)
{
  g_auto (TideHeader) header = { 0 };
  if (!tide_header_take (head, delimiter, search, &header, problem)
      || !check_stated (&header, search->rule, problem))
    return NULL;
  return tide_understand_header (head, delimiter, &header, search->rule, n_usable, problem);
}

/* ---- The delimiters ---- */

static void
say_why_not (const TideHead *head, TideSearch *search, GError **error)
{
  gsize end;
  g_autoptr (TideTable) first = tide_head_read_record (head, 0, ',', FALSE, 1, &end, NULL);
  if (search->misfit)
    g_propagate_error (error, g_steal_pointer (&search->misfit));
  else if (search->foreign)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                 _ ("the unit of the column \"%s\" in row %" PRIu64
                    " is not known; export it in one of the trade, such as V, A or W"),
                 search->foreign, search->foreign_row);
  else if (search->row_without_time > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TIME,
                 _ ("row %" PRIu64
                    " names the columns of a table, but none is a time, such as \"Time (s)\""),
                 search->row_without_time);
  else if (search->row_without_electric > 0 && search->rule && search->rule->every_s > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                 _ ("row %" PRIu64 " names neither power nor both of voltage and current, such as "
                    "\"Voltage (V), Current (A)\""),
                 search->row_without_electric);
  else if (search->row_without_electric > 0)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                 _ ("row %" PRIu64
                    " names a time, but neither power nor both of voltage and current, such as "
                    "\"Voltage (V), Current (A)\""),
                 search->row_without_electric);
  else if (search->too_large)
    g_propagate_error (error, g_steal_pointer (&search->too_large));
  else if (first && tide_table_is_mostly_numbers (first))
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                         _ ("no row names the columns, such as \"Time (s), Voltage (V), Current "
                            "(A)\""));
  else
    g_set_error_literal (
        error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
        _ ("no table of time and power found: the first row of a table names its columns, such as "
           "\"Time (s), Voltage (V), Current (A)\""));
}

static gboolean
check_head (const TideHead *head, GError **error)
{
  gsize blank = 0;
  while (blank < head->length && g_ascii_isspace (head->text[blank]))
    blank++;
  if (blank == head->length && head->at_end)
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_EMPTY,
                         _ ("the file holds nothing but blank lines"));
  else if (!head->at_end && tide_head_next_line (head, 0) == head->length)
    g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                 _ ("row 1 is longer than %d bytes"), TIDE_HEAD_BYTES);
  else
    return TRUE;
  return FALSE;
}

/* One delimiter's result, held against the best so far. */
typedef struct
{
  const TideReadingRule *rule;
  TideUnderstanding *best;
  guint n_usable;
  GError *problem; /* why the first table that was found cannot be read */
  TideSearch seen; /* what all searches met */
} Contest;

static void
clear_contest (Contest *contest)
{
  g_clear_pointer (&contest->best, tide_understanding_unref);
  g_clear_error (&contest->problem);
  tide_search_clear (&contest->seen);
}

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (Contest, clear_contest)

/* What one search met joins what those before it met. */
static void
remember_seen (TideSearch *seen, TideSearch *search)
{
  if (!seen->too_large)
    seen->too_large = g_steal_pointer (&search->too_large);
  if (!seen->misfit)
    seen->misfit = g_steal_pointer (&search->misfit);
  if (!seen->foreign)
    {
      seen->foreign = g_steal_pointer (&search->foreign);
      seen->foreign_row = search->foreign_row;
    }
  seen->row_without_time = MAX (seen->row_without_time, search->row_without_time);
  seen->row_without_electric = MAX (seen->row_without_electric, search->row_without_electric);
}

static guint
count_open (const TideUnderstanding *u)
{
  guint n = 0;
  for (guint i = 0; i < u->questions->len; i++)
    n += ((TideQuestion *)g_ptr_array_index (u->questions, i))->is_open;
  return n;
}

/* Of two that can read as many rows the one that leaves less open: whole names may look like one
 * column's name, "Voltage (V);Power (W)", above numbers that commas cut. */
static gboolean
is_better (const TideUnderstanding *u, guint n_usable, const Contest *contest)
{
  if (!contest->best || n_usable != contest->n_usable)
    return !contest->best || n_usable > contest->n_usable;
  return count_open (u) < count_open (contest->best);
}

static void
enter_contest (const TideHead *head, char delimiter, Contest *contest)
{
  g_auto (TideSearch) search = { .rule = contest->rule };
  g_autoptr (GError) why = NULL;
  guint n_usable = 0;
  gboolean is_stated = contest->rule && contest->rule->header_row >= 0;
  g_autoptr (TideUnderstanding) u =
      (is_stated ? understand_stated : understand_by) (head, delimiter, &search, &n_usable, &why);
  if (u && is_better (u, n_usable, contest))
    {
      g_clear_pointer (&contest->best, tide_understanding_unref);
      contest->best = g_steal_pointer (&u);
      contest->n_usable = n_usable;
    }
  if (!contest->problem)
    contest->problem = g_steal_pointer (&why);
  remember_seen (&contest->seen, &search);
}

/* "sep=;" in the first line: spreadsheets read it so. 0: there is none. */
static char
find_said_delimiter (const TideHead *head)
{
  const char *p = head->text, *end = p + tide_head_next_line (head, 0);
  if (p < end && *p == '"')
    p++;
  if (end - p < 6 || g_ascii_strncasecmp (p, "sep=", 4) != 0 || !strchr (",;\t|", p[4]))
    return '\0';
  return strchr ("\r\n\"", p[5]) ? p[4] : '\0';
}

/* Nothing better is to be looked for. */
static gboolean
is_settled (const Contest *contest)
{
  return contest->best && contest->n_usable >= 2 && count_open (contest->best) == 0;
}

static void
hold_contest (const TideHead *head, Contest *contest)
{
  static const char delimiters[] = { ',', ';', '\t', '|' };
  if (contest->rule && contest->rule->delimiter)
    {
      enter_contest (head, contest->rule->delimiter, contest);
      if (contest->rule->delimiter == ' ' && !is_settled (contest))
        enter_contest (head, TIDE_WIDE_BLANKS, contest);
      return;
    }
  char said = find_said_delimiter (head);
  if (said)
    enter_contest (head, said, contest);
  if (contest->best)
    return;
  gboolean is_held = FALSE;
  for (guint i = 0; i < G_N_ELEMENTS (delimiters); i++)
    if (memchr (head->text, delimiters[i], head->length))
      {
        enter_contest (head, delimiters[i], contest);
        is_held = TRUE;
      }
  /* a table may have one column, where the rest is stated */
  if (!is_held && contest->rule)
    enter_contest (head, ',', contest);
  if (!is_settled (contest))
    enter_contest (head, ' ', contest);
  if (!is_settled (contest))
    enter_contest (head, TIDE_WIDE_BLANKS, contest);
}

/* 'a','b' */
static gboolean
has_single_quotes (const TideHead *head)
{
  static const char *const borders[] = { "','", "';'", "'\t'", "'|'" };
  for (guint i = 0; i < G_N_ELEMENTS (borders); i++)
    if (g_strstr_len (head->text, (gssize)head->length, borders[i]))
      return TRUE;
  return FALSE;
}

TideUnderstanding *
tide_understand (const char *text,
                 gsize length,
                 gboolean at_end,
                 const TideReadingRule *rule,
                 GCancellable *cancellable,
                 GError **error)
{
  TideHead head = { text, length, at_end, cancellable };
  if (!check_head (&head, error))
    return NULL;
  g_auto (Contest) contest = { .rule = rule, .seen.rule = rule };
  hold_contest (&head, &contest);
  if (g_cancellable_set_error_if_cancelled (cancellable, error))
    return NULL;
  if (contest.best)
    return g_steal_pointer (&contest.best);
  if (has_single_quotes (&head))
    g_set_error_literal (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                         _ ("the fields stand in single quotes, which are no quotes in such files; "
                            "export with double quotes or without any"));
  else if (contest.problem && !contest.seen.misfit)
    g_propagate_error (error, g_steal_pointer (&contest.problem));
  else
    say_why_not (&head, &contest.seen, error);
  return NULL;
}
