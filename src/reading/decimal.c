/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Is the decimal mark a point or a comma, and what stands between thousands? Decided once for a
 * file, from the fields of all columns that matter.
 *
 * "1,5" can only have a decimal comma, "1.234,5" only that and points between thousands; a blank or
 * an apostrophe stands only between thousands. "1,234" can be either. Where nothing but such fields
 * speaks, the whole column decides if it can: whole numbers of four digits beside them are written
 * without marks between thousands, and a time must not fall. What is left is a question; its
 * first answer is the one whose values are likelier. Points are taken as decimal points without a
 * question unless that is the less likely reading, or whole numbers stand beside them.
 */
#include "reading/reading-private.h"

#include <glib/gi18n-lib.h>
#include <math.h>
#include <string.h>

#include "recording/median.h"
#include "reading/rule-private.h"

#define MAX_MARKS 16

/* What one field says. */
typedef struct
{
  gboolean is_number;
  gboolean is_whole;  /* no marks at all */
  gboolean is_either; /* one mark (in decimal), a decimal mark or one between thousands */
  gsize n_digits;     /* whole: how many */
  char decimal;       /* 0: it has none */
  char group;         /* 0: it has none */
} Field;

/* The digits and marks of a field, sign, exponent and unit taken off. */
typedef struct
{
  gsize digits[MAX_MARKS + 1];
  char marks[MAX_MARKS];
  guint n_marks;
  gboolean has_leading_zero, has_exponent;
} Shape;

static const char *
skip_exponent (const char *p, Shape *shape)
{
  if (*p != 'e' && *p != 'E')
    return p;
  const char *digits = p + 1 + (p[1] == '-' || p[1] == '+');
  if (!g_ascii_isdigit (*digits))
    return p;
  shape->has_exponent = TRUE;
  while (g_ascii_isdigit (*digits))
    digits++;
  return digits;
}

/* Nothing stands behind a number, or a unit. */
static gboolean
is_end_of_number (const char *p)
{
  TideQuantity quantity;
  TideUnit unit;
  while (g_ascii_isspace (*p))
    p++;
  return *p == '\0'
         || (strlen (p) < TIDE_MAX_CELL_UNIT
             && tide_unit_parse (p, TIDE_N_QUANTITIES, &quantity, &unit));
}

static gboolean
find_shape (const char *text, Shape *shape)
{
  const char *p = text;
  while (g_ascii_isspace (*p))
    p++;
  if (*p == '-' || *p == '+')
    p++;
  else if (g_str_has_prefix (p, "\xe2\x88\x92"))
    p += strlen ("\xe2\x88\x92");
  shape->has_leading_zero = p[0] == '0';
  for (;;)
    {
      for (; g_ascii_isdigit (*p); p++)
        shape->digits[shape->n_marks]++;
      gsize length;
      char mark = tide_group_mark_at (p, strlen (p), &length);
      gboolean goes_on = g_ascii_isdigit (p[length]);
      if (mark == '\0' || (!goes_on && (mark == ' ' || mark == '\'')))
        break;
      if (shape->n_marks == MAX_MARKS)
        return FALSE;
      shape->marks[shape->n_marks++] = mark;
      p += length;
    }
  gsize n_digits = 0;
  for (guint i = 0; i <= shape->n_marks; i++)
    n_digits += shape->digits[i];
  return n_digits > 0 && is_end_of_number (skip_exponent (p, shape));
}

/* The first n marks are all the same, and stand between well-formed thousands. */
static gboolean
is_grouped (const Shape *shape, guint n)
{
  for (guint i = 1; i < n; i++)
    if (shape->marks[i] != shape->marks[0])
      return FALSE;
  return n > 0 && !shape->has_leading_zero && tide_groups_are_well_formed (shape->digits, n + 1);
}

static Field
look_at_field (const char *text)
{
  Shape shape = { 0 };
  Field field = { 0 };
  if (!find_shape (text, &shape))
    return field;
  guint n = shape.n_marks;
  if (n == 0)
    {
      field.is_number = field.is_whole = TRUE;
      field.n_digits = shape.digits[0];
      return field;
    }
  char last = shape.marks[n - 1];
  gboolean has_decimal = (last == '.' || last == ',')
                         && (n == 1 || (shape.marks[0] != last && is_grouped (&shape, n - 1)));
  gboolean all_grouped = is_grouped (&shape, n) && !shape.has_exponent;
  field.is_number = has_decimal || all_grouped;
  field.is_either = has_decimal && all_grouped;
  if (has_decimal)
    field.decimal = last;
  if (has_decimal && n > 1)
    field.group = shape.marks[0];
  else if (all_grouped && !field.is_either)
    field.group = last;
  return field;
}

/* ---- Over the file ---- */

typedef struct
{
  guint n_point, n_comma; /* fields that have that decimal mark for certain */
  guint n_group[4];       /* that have that mark between thousands; see group_kinds */
  guint n_either_point, n_either_comma;
  gboolean never_group;              /* a column beside which whole numbers stand ungrouped */
  gboolean is_mixed;                 /* a column holds 1.234 and whole numbers */
  guint example_row, example_column; /* of an either */
} Marks;

static const char group_kinds[4] = { '.', ',', ' ', '\'' };

static void
count_field (Marks *marks, const Field *field)
{
  if (field->is_either)
    {
      marks->n_either_point += field->decimal == '.';
      marks->n_either_comma += field->decimal == ',';
      return;
    }
  marks->n_point += field->decimal == '.' || (!field->decimal && field->group == ',');
  marks->n_comma += field->decimal == ',' || (!field->decimal && field->group == '.');
  for (guint i = 0; i < G_N_ELEMENTS (group_kinds); i++)
    marks->n_group[i] += field->group == group_kinds[i];
}

static void
look_at_column (const TideTable *table, guint column, Marks *marks)
{
  guint n_either = 0, n_whole = 0, n_long = 0;
  for (guint row = 0; row < table->rows->len; row++)
    {
      Field field = look_at_field (tide_table_field (table, row, column));
      if (!field.is_number)
        continue;
      count_field (marks, &field);
      n_whole += field.is_whole;
      n_long += field.is_whole && field.n_digits > 3;
      if (field.is_either && n_either++ == 0 && marks->n_either_point + marks->n_either_comma == 1)
        {
          marks->example_row = row;
          marks->example_column = column;
        }
    }
  marks->never_group |= n_either > 0 && n_long > 0;
  marks->is_mixed |= n_either > 0 && n_whole > 0;
}

/* ---- Where nothing but eithers speaks ---- */

/* A reading: its decimal mark, and the other one between thousands. */
static char
get_other (char mark)
{
  return mark == '.' ? ',' : '.';
}

static gboolean
parse_as (const TideTable *table, guint row, guint column, char decimal, double *value)
{
  const char *text = tide_table_field (table, row, column);
  char unit[TIDE_MAX_CELL_UNIT];
  gsize length = strlen (text);
  tide_cell_split (text, length, &length, unit);
  return tide_number_parse_grouped (text, length, decimal, get_other (decimal), 0, value);
}

static gboolean
falls_as (const TideTable *table, guint column, char decimal)
{
  double before = -INFINITY, value;
  for (guint row = 0; row < table->rows->len; row++)
    {
      if (!parse_as (table, row, column, decimal, &value))
        continue;
      if (value < before)
        return TRUE;
      before = value;
    }
  return FALSE;
}

/* The median of |value| in the quantity's unit; NAN: there are no numbers. */
static double
find_median_as (const TideTable *table, guint column, const TideMeaning *meaning, char decimal)
{
  g_autoptr (GArray) values = g_array_new (FALSE, FALSE, sizeof (double));
  for (guint row = 0; row < table->rows->len; row++)
    {
      double value;
      if (!parse_as (table, row, column, decimal, &value))
        continue;
      value = fabs (tide_unit_scale (meaning->unit, value * pow (10, meaning->unit.exponent)));
      g_array_append_val (values, value);
    }
  return values->len > 0 ? tide_select_median ((double *)values->data, values->len) : NAN;
}

/* Magnitudes that a charge by cable has in its middle; wide. */
static gboolean
is_plausible (TideQuantity quantity, double median)
{
  static const struct
  {
    double low, high;
  } ranges[TIDE_N_QUANTITIES] = {
    [TIDE_QUANTITY_VOLTAGE] = { 0.5, 100 },
    [TIDE_QUANTITY_CURRENT] = { 0.005, 20 },
    [TIDE_QUANTITY_POWER] = { 0.01, 1000 },
  };
  return ranges[quantity].high == 0 || isnan (median) || median == 0
         || (median >= ranges[quantity].low && median <= ranges[quantity].high);
}

static guint
count_implausible (const TideTable *table, const TideMeaning *meanings, guint n, char decimal)
{
  guint n_implausible = 0;
  for (guint column = 0; column < n; column++)
    if (meanings[column].known && meanings[column].quantity != TIDE_QUANTITY_TIME)
      n_implausible += !is_plausible (meanings[column].quantity,
                                      find_median_as (table, column, &meanings[column], decimal));
  return n_implausible;
}

/* '\0': the time does not say. */
static char
find_mark_by_time (const TideTable *table, const TideMeaning *meanings, guint n)
{
  char found = '\0';
  for (guint column = 0; column < n && found == '\0'; column++)
    if (meanings[column].known && meanings[column].quantity == TIDE_QUANTITY_TIME)
      {
        gboolean by_point = falls_as (table, column, '.'), by_comma = falls_as (table, column, ',');
        if (by_point != by_comma)
          found = by_point ? ',' : '.';
      }
  return found;
}

static void
add_answer (TideQuestion *question,
            const TideUnderstanding *u,
            const TideTable *table,
            const Marks *marks,
            char decimal)
{
  const char mark[] = { decimal, '\0' };
  double value;
  const char *name = g_ptr_array_index (u->names, marks->example_column);
  if (!parse_as (table, marks->example_row, marks->example_column, decimal, &value))
    value = NAN;
  g_autofree char *text = tide_text_number (value, value < 1000 ? 3 : 0);
  tide_question_add_answer (question, "decimal", mark,
                            decimal == ','
                                ? _ ("decimal comma: \"%s\" is %s in column \"%s\"")
                                : _ ("decimal point, and commas between thousands: \"%s\" is %s in "
                                     "column \"%s\""),
                            tide_table_field (table, marks->example_row, marks->example_column),
                            text, name);
}

static void
ask_mark (TideUnderstanding *u, const TideTable *table, const Marks *marks)
{
  const char *text = tide_table_field (table, marks->example_row, marks->example_column);
  char mark = look_at_field (text).decimal;
  TideQuestion *question =
      tide_question_new (TRUE, g_array_index (table->rows, TideTableRow, marks->example_row).row,
                         g_ptr_array_index (u->names, marks->example_column),
                         mark == ','
                             ? _ ("\"%s\" can have a decimal comma or a comma between thousands")
                             : _ ("\"%s\" can have a decimal point or a point between thousands"),
                         text);
  add_answer (question, u, table, marks, u->decimal_mark);
  add_answer (question, u, table, marks, get_other (u->decimal_mark));
  tide_understanding_ask (u, question);
}

/* Both readings are well-formed: the whole columns decide, or it is asked. */
static void
settle_eithers (TideUnderstanding *u,
                const TideTable *table,
                const TideMeaning *meanings,
                guint n,
                const Marks *marks)
{
  char written = marks->n_either_comma >= marks->n_either_point ? ',' : '.';
  gboolean has_both = marks->n_either_comma > 0 && marks->n_either_point > 0;
  char by_time = find_mark_by_time (table, meanings, n);
  u->decimal_mark = written;
  if (by_time != '\0')
    {
      u->decimal_mark = by_time;
      return;
    }
  if (marks->never_group && !has_both)
    return;
  guint n_odd = count_implausible (table, meanings, n, written);
  guint n_odd_other = count_implausible (table, meanings, n, get_other (written));
  if (written == '.' && !has_both
      && (n_odd_other > n_odd || (n_odd == n_odd_other && !marks->is_mixed)))
    return;
  if (n_odd_other < n_odd)
    u->decimal_mark = get_other (written);
  ask_mark (u, table, marks);
}

static char
find_group_mark (const Marks *marks, char decimal)
{
  char group = '\0';
  guint most = 0;
  for (guint i = 0; i < G_N_ELEMENTS (group_kinds); i++)
    if (group_kinds[i] != decimal && marks->n_group[i] > most)
      {
        most = marks->n_group[i];
        group = group_kinds[i];
      }
  guint n_either = decimal == '.' ? marks->n_either_comma : marks->n_either_point;
  return group == '\0' && n_either > 0 ? get_other (decimal) : group;
}

/* One column with points alone, another with commas alone: one of them cannot be read. */
static void
compare_columns (TideUnderstanding *u,
                 const Marks *before,
                 const Marks *after,
                 guint column,
                 guint *seen)
{
  gboolean has_point = after->n_point > before->n_point,
           has_comma = after->n_comma > before->n_comma;
  if (has_point == has_comma)
    return;
  guint bit = has_comma ? 2 : 1;
  if (!(*seen & bit))
    u->marked_columns[has_comma] = column;
  *seen |= bit;
  u->has_both_marks = *seen == 3;
}

static void
say_both_marks (TideUnderstanding *u)
{
  const char *point = g_ptr_array_index (u->names, u->marked_columns[0]);
  const char *comma = g_ptr_array_index (u->names, u->marked_columns[1]);
  g_ptr_array_add (
      u->complaints,
      tide_complaint_new (u->header_row, u->decimal_mark == '.' ? comma : point,
                          _ ("column \"%s\" has decimal points and column \"%s\" decimal "
                             "commas; only numbers with one of them can be read"),
                          point, comma));
}

void
tide_sniff_marks (TideUnderstanding *u,
                  const TideTable *table,
                  const TideMeaning *meanings,
                  guint n_columns)
{
  Marks marks = { 0 };
  guint seen = 0;
  for (guint column = 0; column < n_columns; column++)
    if (meanings[column].known)
      {
        Marks before = marks;
        look_at_column (table, column, &marks);
        compare_columns (u, &before, &marks, column, &seen);
      }
  if (u->rule && u->rule->decimal_mark)
    u->decimal_mark = u->rule->decimal_mark;
  else if (marks.n_point != marks.n_comma)
    u->decimal_mark = marks.n_comma > marks.n_point ? ',' : '.';
  else if (marks.n_either_point + marks.n_either_comma > 0)
    settle_eithers (u, table, meanings, n_columns, &marks);
  else
    u->decimal_mark = '.';
  u->group_mark = find_group_mark (&marks, u->decimal_mark);
  if (u->has_both_marks)
    say_both_marks (u);
}
