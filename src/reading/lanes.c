/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which column is which quantity of which run, where several runs can stand side by side in a
 * table.
 *
 * What the names of columns say beside quantity and unit is their mark ("port a", "1", "input",
 * "battery"). A mark that has both voltage and current is a lane of its own; where there is but one
 * such, or none, the table holds one run, and each quantity is the column of the plainest name.
 * Marks of words that are none of ours make lanes only where no columns without a mark are a run
 * already. Power alone makes lanes only where nothing else does.
 *
 * Counters, temperature and data lines go with their mark. Those whose mark is no lane's go to the
 * lane without a mark, and to none where all have one: whose they are would be a guess.
 *
 * What a rule states of a column comes before all this. Two voltages, currents or powers that
 * cannot be told apart are a question, unless they hold the same values.
 */
#include "reading/lanes-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

/* More columns of one name than a person would look through are not offered. */
#define MAX_OFFERED 12

typedef struct
{
  const char *mark;
  gboolean is_sure;
  guint has; /* bits of TideQuantity */
} Group;

typedef struct
{
  TideUnderstanding *u;
  const TideMeaning *meanings;
  const gboolean *filled;
  const TideTable *table;
  GArray *groups; /* Group: in the end, those that are lanes */
} Choice;

#define BIT(q) (1u << (q))
#define PAIR   (BIT (TIDE_QUANTITY_VOLTAGE) | BIT (TIDE_QUANTITY_CURRENT))

static gboolean
is_whole (guint has)
{
  return (has & PAIR) == PAIR || (has & BIT (TIDE_QUANTITY_POWER));
}

/* Power, or voltage and current. */
static gboolean
is_whole_lane (const TideLane *lane)
{
  guint has = 0;
  for (int q = 0; q < TIDE_N_QUANTITIES; q++)
    has |= lane->columns[q].index >= 0 ? BIT (q) : 0;
  return is_whole (has);
}

static const char *
get_name (const TideUnderstanding *u, int column)
{
  return g_ptr_array_index (u->names, column);
}

/* ---- Marks ---- */

static gboolean
may_be_read (const Choice *choice, guint column)
{
  const TideMeaning *meaning = &choice->meanings[column];
  return meaning->known && meaning->quantity != TIDE_QUANTITY_TIME && choice->filled[column];
}

/* A stated column whose name is none of ours has no mark, not even an empty one. */
static gboolean
has_mark (const TideMeaning *meaning)
{
  return !meaning->stated || *meaning->mark != '\0' || meaning->mark_is_sure;
}

static Group *
find_group (GArray *groups, const char *mark)
{
  for (guint i = 0; i < groups->len; i++)
    if (strcmp (g_array_index (groups, Group, i).mark, mark) == 0)
      return &g_array_index (groups, Group, i);
  return NULL;
}

static void
collect_groups (Choice *choice)
{
  for (guint column = 0; column < choice->u->names->len; column++)
    {
      const TideMeaning *meaning = &choice->meanings[column];
      if (!may_be_read (choice, column) || !has_mark (meaning)
          || meaning->quantity > TIDE_QUANTITY_POWER)
        continue;
      Group *group = find_group (choice->groups, meaning->mark);
      if (!group)
        {
          Group added = { meaning->mark, meaning->mark_is_sure, 0 };
          g_array_append_val (choice->groups, added);
          group = find_group (choice->groups, meaning->mark);
        }
      group->has |= BIT (meaning->quantity);
    }
}

/* Leaves the groups that are lanes; none where the table holds one run. */
static void
leave_lanes (GArray *groups)
{
  gboolean has_pair = FALSE;
  for (guint i = 0; i < groups->len; i++)
    has_pair |= (g_array_index (groups, Group, i).has & PAIR) == PAIR;
  guint wanted = has_pair ? PAIR : BIT (TIDE_QUANTITY_POWER);
  const Group *bare = find_group (groups, "");
  gboolean bare_is_whole = bare && (bare->has & wanted) == wanted;
  guint n = 0;
  for (guint i = 0; i < groups->len; i++)
    {
      Group group = g_array_index (groups, Group, i);
      gboolean is_bare = *group.mark == '\0';
      gboolean gives_way = bare_is_whole && !is_bare && (!has_pair || !group.is_sure);
      if ((group.has & wanted) == wanted && !gives_way)
        g_array_index (groups, Group, n++) = group;
    }
  g_array_set_size (groups, n > 1 ? n : 0);
}

/* ---- Columns ---- */

static int
get_effective_cost (const TideMeaning *meaning)
{
  return (meaning->stated ? -1000 : 0) + meaning->cost + (meaning->unit_named ? 0 : 1);
}

/* Is column one of those from which lane takes its own? With no lanes, all are. */
static gboolean
is_for_lane (const Choice *choice, guint column, guint lane)
{
  if (choice->groups->len == 0)
    return TRUE;
  const TideMeaning *meaning = &choice->meanings[column];
  const char *mark = g_array_index (choice->groups, Group, lane).mark;
  if (strcmp (meaning->mark, mark) == 0)
    return TRUE;
  return *mark == '\0' && meaning->quantity > TIDE_QUANTITY_POWER
         && !find_group (choice->groups, meaning->mark);
}

static gboolean
hold_the_same (const TideTable *table, guint a, guint b)
{
  for (guint row = 0; row < table->rows->len; row++)
    if (strcmp (tide_table_field (table, row, a), tide_table_field (table, row, b)) != 0)
      return FALSE;
  return TRUE;
}

static TideColumnUse
make_use (const TideMeaning *meaning, guint column)
{
  return (TideColumnUse){ .index = (int)column,
                          .unit = meaning->unit,
                          .unit_named = meaning->unit_named,
                          .in_cells = meaning->in_cells,
                          .only_in_cells = meaning->only_in_cells };
}

/* "Charging current" beside "quiescent current": words that are none of ours, or that say of what
 * the value is, weigh nothing against each other. A discharge is not meant where another column is
 * known to be something else, a cell not where a column is none, an average not beside what it is
 * of. */
static gboolean
are_told_apart (const TideMeaning *best, const TideMeaning *other)
{
  const guint open = TIDE_NAME_UNKNOWN | TIDE_NAME_QUALIFIED | TIDE_NAME_DISCHARGE;
  if (!(best->beside & open) || !(other->beside & open))
    return TRUE;
  if (!(best->beside & TIDE_NAME_UNKNOWN) && (other->beside & TIDE_NAME_DISCHARGE))
    return TRUE;
  if (!(best->beside & TIDE_NAME_CELL) && (other->beside & TIDE_NAME_CELL))
    return TRUE;
  return other->beside == (best->beside | TIDE_NAME_AVERAGED)
         && strcmp (best->mark, other->mark) == 0;
}

/* Both names can be that of the quantity. */
static gboolean
are_equals (const TideMeaning *best, const TideMeaning *other)
{
  if (get_effective_cost (best) == get_effective_cost (other))
    return TRUE;
  return !best->stated && !other->stated && best->quantity <= TIDE_QUANTITY_POWER
         && !are_told_apart (best, other);
}

/* All that are named as plainly as best, which is the plainest. */
static void
say_equals (const Choice *choice, guint lane, TideQuantity quantity, guint best)
{
  TideUnderstanding *u = choice->u;
  TideQuestion *question = NULL;
  for (guint column = 0; column < u->names->len; column++)
    {
      const TideMeaning *meaning = &choice->meanings[column];
      if (column == best || !may_be_read (choice, column) || meaning->quantity != quantity
          || !is_for_lane (choice, column, lane) || !are_equals (&choice->meanings[best], meaning)
          || hold_the_same (choice->table, best, column))
        continue;
      if (quantity > TIDE_QUANTITY_POWER)
        {
          g_ptr_array_add (
              u->complaints,
              tide_complaint_new (u->header_row, get_name (u, (int)best),
                                  _ ("taken as %s; the column \"%s\" is named as plainly"),
                                  tide_quantity_get_name (quantity), get_name (u, (int)column)));
          return;
        }
      if (!question)
        {
          question = tide_question_new (
              TRUE, u->header_row, get_name (u, (int)best),
              _ ("%s can be column %u, \"%s\", or column %u, \"%s\": their names tell it of both"),
              tide_quantity_get_name (quantity), best + 1, get_name (u, (int)best), column + 1,
              get_name (u, (int)column));
          g_autofree char *first = tide_column_answer (best, quantity, lane + 1, NULL);
          tide_question_add_answer (question, "column", first, _ ("column %u, \"%s\""), best + 1,
                                    get_name (u, (int)best));
        }
      if (question->answers->len == MAX_OFFERED)
        break;
      g_autofree char *text = tide_column_answer (column, quantity, lane + 1, NULL);
      tide_question_add_answer (question, "column", text, _ ("column %u, \"%s\""), column + 1,
                                get_name (u, (int)column));
    }
  if (question)
    tide_understanding_ask (u, question);
}

static void
choose_column (const Choice *choice, guint lane, TideQuantity quantity)
{
  TideUnderstanding *u = choice->u;
  int best = -1;
  for (guint column = 0; column < u->names->len; column++)
    {
      const TideMeaning *meaning = &choice->meanings[column];
      if (may_be_read (choice, column) && meaning->quantity == quantity
          && (!meaning->stated || meaning->lane == lane + 1) && is_for_lane (choice, column, lane)
          && (best < 0
              || get_effective_cost (meaning) < get_effective_cost (&choice->meanings[best])))
        best = (int)column;
    }
  if (best < 0)
    return;
  u->lanes[lane].columns[quantity] = make_use (&choice->meanings[best], (guint)best);
  if (!choice->meanings[best].stated)
    say_equals (choice, lane, quantity, (guint)best);
}

/* Stated columns stand where the rule puts them, and nowhere else. */
static void
place_stated (const Choice *choice)
{
  TideUnderstanding *u = choice->u;
  for (guint column = 0; column < u->names->len; column++)
    {
      const TideMeaning *meaning = &choice->meanings[column];
      if (!meaning->known || !meaning->stated || meaning->quantity == TIDE_QUANTITY_TIME
          || meaning->lane > TIDE_MAX_LANES)
        continue;
      u->n_lanes = MAX (u->n_lanes, meaning->lane);
      u->lanes[meaning->lane - 1].columns[meaning->quantity] = make_use (meaning, column);
    }
}

/* ---- What is said of it ---- */

static void
label_lanes (const Choice *choice)
{
  TideUnderstanding *u = choice->u;
  for (guint lane = 0; u->n_lanes > 1 && lane < u->n_lanes; lane++)
    {
      int index = u->lanes[lane].columns[TIDE_QUANTITY_VOLTAGE].index;
      if (index < 0)
        index = u->lanes[lane].columns[TIDE_QUANTITY_POWER].index;
      const char *label = index >= 0 ? choice->meanings[index].label : "";
      gboolean is_taken = FALSE;
      for (guint other = 0; other < lane; other++)
        is_taken |= g_strcmp0 (u->lanes[other].label, label) == 0;
      if (*label != '\0' && !is_taken)
        u->lanes[lane].label = g_strdup (label);
      else if (lane < choice->groups->len
               && *g_array_index (choice->groups, Group, lane).mark == '\0')
        u->lanes[lane].label = g_strdup (_ ("bus"));
      else
        u->lanes[lane].label = g_strdup_printf ("%u", lane + 1);
    }
}

static gboolean
is_used (const TideUnderstanding *u, guint column)
{
  for (guint lane = 0; lane < u->n_lanes; lane++)
    for (int q = 0; q < TIDE_N_QUANTITIES; q++)
      if (u->lanes[lane].columns[q].index == (int)column)
        return TRUE;
  return FALSE;
}

/* Columns that are left over because nothing says whose they are. */
static void
say_left_over (const Choice *choice)
{
  TideUnderstanding *u = choice->u;
  for (guint column = 0; u->n_lanes > 1 && column < u->names->len; column++)
    if (may_be_read (choice, column) && !is_used (u, column)
        && !find_group (choice->groups, choice->meanings[column].mark))
      tide_understanding_remark (
          u, tide_complaint_new (u->header_row, get_name (u, (int)column),
                                 _ ("the name does not tell to which of the runs that stand side "
                                    "by side the column belongs; not read")));
}

static void
say_unnamed_units (const Choice *choice)
{
  TideUnderstanding *u = choice->u;
  for (guint lane = 0; lane < u->n_lanes; lane++)
    for (int q = TIDE_QUANTITY_VOLTAGE; q < TIDE_N_QUANTITIES; q++)
      {
        const TideColumnUse *use = &u->lanes[lane].columns[q];
        if (use->index >= 0 && !use->unit_named)
          g_ptr_array_add (u->complaints,
                           tide_complaint_new (u->header_row, get_name (u, use->index),
                                               _ ("the column names no unit; taken as %s"),
                                               use->unit.symbol));
      }
}

/* Lanes whose columns a rule took away, and of which it says nothing. */
static void
drop_emptied (const Choice *choice)
{
  TideUnderstanding *u = choice->u;
  guint stated = 0, n = 0;
  for (guint column = 0; column < u->names->len; column++)
    if (choice->meanings[column].known && choice->meanings[column].stated
        && choice->meanings[column].lane > 0 && choice->meanings[column].lane <= TIDE_MAX_LANES)
      stated |= 1u << (choice->meanings[column].lane - 1);
  for (guint lane = 0; lane < u->n_lanes; lane++)
    {
      TideLane kept = u->lanes[lane];
      u->lanes[lane] = (TideLane){ 0 };
      for (int q = 0; q < TIDE_N_QUANTITIES; q++)
        u->lanes[lane].columns[q].index = -1;
      if (is_whole_lane (&kept) || (stated >> lane & 1) || u->n_lanes == 1)
        u->lanes[n++] = kept;
      else
        g_free (kept.label);
    }
  u->n_lanes = MAX (n, 1);
  if (u->n_lanes == 1)
    g_clear_pointer (&u->lanes[0].label, g_free);
}

static void
fail_by_marks (const TideUnderstanding *u, GError **error)
{
  g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
               _ ("column \"%s\" has decimal points and column \"%s\" decimal commas: a table can "
                  "be read by one of them only; export all columns alike"),
               get_name (u, (int)u->marked_columns[0]), get_name (u, (int)u->marked_columns[1]));
}

static gboolean
check_lanes (const TideUnderstanding *u, GError **error)
{
  for (guint lane = 0; lane < u->n_lanes; lane++)
    if (!is_whole_lane (&u->lanes[lane]))
      {
        if (u->n_lanes > 1)
          g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_RULE,
                       _ ("column: of %u runs that stand side by side, the one of number %u has "
                          "neither power nor both of voltage and current"),
                       u->n_lanes, lane + 1);
        else if (u->has_both_marks)
          fail_by_marks (u, error);
        else
          g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_NO_TABLE,
                       _ ("row %" PRIu64 " names columns, but below them neither power nor both "
                          "of voltage and current hold numbers"),
                       u->header_row);
        return FALSE;
      }
  return TRUE;
}

gboolean
tide_lanes_choose (TideUnderstanding *u,
                   const TideMeaning *meanings,
                   const gboolean *filled,
                   const TideTable *table,
                   GError **error)
{
  g_autoptr (GArray) groups = g_array_new (FALSE, FALSE, sizeof (Group));
  Choice choice = { u, meanings, filled, table, groups };
  collect_groups (&choice);
  leave_lanes (groups);
  if (groups->len > TIDE_MAX_LANES)
    {
      g_set_error (error, TIDE_READING_ERROR, TIDE_READING_ERROR_TOO_LARGE,
                   _ ("more than %d runs stand side by side in the table"), TIDE_MAX_LANES);
      return FALSE;
    }
  u->n_lanes = MAX (groups->len, 1);
  for (guint lane = 0; lane < u->n_lanes; lane++)
    for (int q = TIDE_QUANTITY_VOLTAGE; q < TIDE_N_QUANTITIES; q++)
      choose_column (&choice, lane, q);
  place_stated (&choice);
  label_lanes (&choice);
  drop_emptied (&choice);
  say_left_over (&choice);
  say_unnamed_units (&choice);
  return check_lanes (u, error);
}
