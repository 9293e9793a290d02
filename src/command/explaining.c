/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An understanding as text and as JSON. The switches that answer a question are quoted as a shell
 * takes them, each on a line of its own, whole: they are there to be pasted.
 */
#include "command/explaining.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <stdio.h>

#include "command/json.h"
#include "command/reading-switches.h"
#include "command/tables.h"

/* Helpers */

static const char *
get_delimiter_text (char delimiter)
{
  switch (delimiter)
    {
    case ',':
      return _ ("comma");
    case ';':
      return _ ("semicolon");
    case '\t':
      return _ ("tab");
    case ' ':
      return _ ("blanks");
    default:
      return NULL; /* it says itself */
    }
}

/* As a text of one character. Transfer full. */
static char *
make_mark (char mark)
{
  return mark != '\0' ? g_strdup_printf ("%c", mark) : NULL;
}

static const char *
get_role_id (TideColumnRole role)
{
  switch (role)
    {
    case TIDE_ROLE_TIME:
      return "time";
    case TIDE_ROLE_DATE:
      return "date";
    case TIDE_ROLE_CLOCK:
      return "clock";
    case TIDE_ROLE_VALUE:
      return "value";
    case TIDE_ROLE_UNREAD:
      return "unread";
    }
  g_return_val_if_reached ("");
}

static const char *
get_meaning (const TideColumnReading *column)
{
  switch (column->role)
    {
    case TIDE_ROLE_TIME:
      return _ ("time");
    case TIDE_ROLE_DATE:
      return _ ("date of the time");
    case TIDE_ROLE_CLOCK:
      return _ ("when the log began");
    case TIDE_ROLE_VALUE:
      return tide_quantity_get_name (column->quantity);
    case TIDE_ROLE_UNREAD:
      return _ ("not read");
    }
  g_return_val_if_reached ("");
}

/* A unit that the file does not name stands in brackets. */
static char *
make_unit (const TideColumnReading *column)
{
  if (column->unit == NULL)
    return g_strdup ("");
  return g_strdup_printf (column->unit_named ? "%s" : "(%s)", column->unit);
}

static char *
make_lane (TideUnderstanding *table, const TideColumnReading *column)
{
  const char *label = NULL;
  if (column->role != TIDE_ROLE_VALUE || tide_understanding_get_n_lanes (table) < 2)
    return g_strdup ("");
  label = tide_understanding_get_lane_label (table, column->lane - 1);
  return label != NULL ? g_strdup (label) : g_strdup_printf ("%u", column->lane);
}

/* Text */

static void
add_line (TideTextTable *lines, const char *label, const char *text)
{
  if (text == NULL || *text == '\0')
    return;
  tide_text_table_add (lines, "");
  tide_text_table_add (lines, label);
  tide_text_table_add (lines, text);
}

static char *
make_rows_text (TideUnderstanding *table)
{
  guint64 names = tide_understanding_get_header_row (table);
  guint64 units = tide_understanding_get_units_row (table);
  guint64 first = tide_understanding_get_first_row (table);
  if (names == 0)
    return g_strdup_printf (_ ("no names; values from row %" PRIu64), first);
  if (units == 0)
    return g_strdup_printf (_ ("names in row %" PRIu64 ", values from row %" PRIu64), names, first);
  return g_strdup_printf (_ ("names in row %" PRIu64 ", units in row %" PRIu64
                             ", values from row %" PRIu64),
                          names, units, first);
}

static char *
make_runs_text (TideUnderstanding *table)
{
  guint n = tide_understanding_get_n_lanes (table);
  if (n < 2)
    return g_strdup (_ ("one, or one from each restart of the time on"));
  GString *labels = g_string_new (NULL);
  for (guint i = 0; i < n; i++)
    {
      const char *label = tide_understanding_get_lane_label (table, i);
      g_string_append (labels, i > 0 ? ", " : "");
      if (label != NULL)
        g_string_append (labels, label);
      else
        g_string_append_printf (labels, "%u", i + 1);
    }
  g_autofree char *list = g_string_free (labels, FALSE);
  return g_strdup_printf (ngettext ("%u side by side: %s", "%u side by side: %s", n), n, list);
}

static void
print_facts (const TideExplained *explained, TideUnderstanding *table)
{
  g_autoptr (TideTextTable) lines = tide_text_table_new ("lll");
  char delimiter = tide_understanding_get_delimiter (table);
  g_autofree char *delimiter_mark = make_mark (delimiter);
  g_autofree char *decimal = make_mark (tide_understanding_get_decimal_mark (table));
  char group = tide_understanding_get_group_mark (table);
  g_autofree char *group_mark = make_mark (group);
  g_autofree char *rows = make_rows_text (table);
  g_autofree char *time = tide_understanding_dup_time_text (table);
  g_autofree char *runs = make_runs_text (table);
  const char *delimiter_name = get_delimiter_text (delimiter);

  add_line (lines, _ ("Rule"), explained->rule_name);
  add_line (lines, _ ("Sheet"), tide_understanding_get_member (table));
  add_line (lines, _ ("Encoding"), tide_understanding_get_encoding (table));
  add_line (lines, _ ("Delimiter"), delimiter_name != NULL ? delimiter_name : delimiter_mark);
  add_line (lines, _ ("Decimal mark"), decimal);
  add_line (lines, _ ("Thousands"), group == ' ' ? get_delimiter_text (' ') : group_mark);
  add_line (lines, _ ("Rows"), rows);
  add_line (lines, _ ("Time"), time);
  add_line (lines, _ ("Runs"), runs);
  tide_text_table_print (lines);
}

static void
print_columns (TideUnderstanding *table)
{
  g_autoptr (TideTextTable) columns = tide_text_table_new ("lrllll");
  const char *heads[] = { "", _ ("No."), _ ("Column"), _ ("Meaning"), _ ("Unit"), _ ("Run") };
  for (guint i = 0; i < G_N_ELEMENTS (heads); i++)
    tide_text_table_add (columns, heads[i]);
  for (guint i = 0; i < tide_understanding_get_n_columns (table); i++)
    {
      TideColumnReading column = tide_understanding_get_column (table, i);
      tide_text_table_add (columns, "");
      tide_text_table_take (columns, g_strdup_printf ("%u", i + 1));
      tide_text_table_add (columns, column.name);
      tide_text_table_add (columns, get_meaning (&column));
      tide_text_table_take (columns, make_unit (&column));
      tide_text_table_take (columns, make_lane (table, &column));
    }
  tide_text_table_print (columns);
}

static void
print_complaints (TideUnderstanding *table)
{
  GPtrArray *complaints = tide_understanding_get_complaints (table);
  for (guint i = 0; i < complaints->len; i++)
    {
      g_autofree char *text = tide_complaint_to_text (g_ptr_array_index (complaints, i));
      tide_text_print (_ ("  Remark: %s"), text);
    }
}

/* The switches in one column, what they mean in another; both whole, for a cut switch is no use. */
static void
print_answers (GPtrArray *answers)
{
  g_autoptr (GPtrArray) switches = g_ptr_array_new_with_free_func (g_free);
  guint widest = 0;
  for (guint i = 0; i < answers->len; i++)
    {
      const TideAnswer *answer = g_ptr_array_index (answers, i);
      g_autofree char *text = tide_reading_switch_to_text (answer->key, answer->text);
      g_ptr_array_add (switches, tide_text_one_line (text));
      widest = MAX (widest, tide_text_width (g_ptr_array_index (switches, i)));
    }
  for (guint i = 0; i < answers->len; i++)
    {
      const TideAnswer *answer = g_ptr_array_index (answers, i);
      const char *text = g_ptr_array_index (switches, i);
      guint gap = widest - tide_text_width (text) + 4;
      tide_text_print ("    %s%*s%s", text, (int)gap, "", answer->meaning);
    }
}

static void
print_question (const TideQuestion *question)
{
  g_autofree char *what = tide_question_to_text (question);
  if (question->is_open)
    tide_text_print (_ ("  To be answered: %s"), what);
  else
    tide_text_print (_ ("  Read by the first answer: %s"), what);
  print_answers (question->answers);
}

static void
print_table (const TideExplained *explained, TideUnderstanding *table)
{
  GPtrArray *questions = tide_understanding_get_questions (table);
  print_facts (explained, table);
  print_columns (table);
  print_complaints (table);
  for (guint i = 0; i < questions->len; i++)
    print_question (g_ptr_array_index (questions, i));
}

void
tide_explained_print (const TideExplained *explained)
{
  guint n = explained->tables->len;
  for (guint i = 0; i < n; i++)
    {
      if (n > 1)
        tide_text_print (_ ("%s, table %u of %u"), explained->file, i + 1, n);
      else
        tide_text_print ("%s", explained->file);
      print_table (explained, g_ptr_array_index (explained->tables, i));
    }
}

/* JSON */

static void
add_column (JsonBuilder *builder, guint number, const TideColumnReading *column)
{
  gboolean is_value = column->role == TIDE_ROLE_VALUE;
  json_builder_begin_object (builder);
  tide_json_count (builder, "number", number);
  tide_json_text (builder, "name", column->name);
  tide_json_text (builder, "role", get_role_id (column->role));
  tide_json_text (builder, "quantity", is_value ? tide_quantity_get_id (column->quantity) : NULL);
  tide_json_text (builder, "unit", column->unit);
  tide_json_boolean (builder, "unit_named", column->unit_named);
  tide_json_id (builder, "lane", is_value ? column->lane : 0);
  json_builder_end_object (builder);
}

static void
add_columns (JsonBuilder *builder, TideUnderstanding *table)
{
  json_builder_set_member_name (builder, "columns");
  json_builder_begin_array (builder);
  for (guint i = 0; i < tide_understanding_get_n_columns (table); i++)
    {
      TideColumnReading column = tide_understanding_get_column (table, i);
      add_column (builder, i + 1, &column);
    }
  json_builder_end_array (builder);
}

static void
add_lanes (JsonBuilder *builder, TideUnderstanding *table)
{
  json_builder_set_member_name (builder, "lanes");
  json_builder_begin_array (builder);
  for (guint i = 0; i < tide_understanding_get_n_lanes (table); i++)
    {
      json_builder_begin_object (builder);
      tide_json_text (builder, "label", tide_understanding_get_lane_label (table, i));
      json_builder_end_object (builder);
    }
  json_builder_end_array (builder);
}

static void
add_answer (JsonBuilder *builder, const TideAnswer *answer)
{
  g_autofree char *text = tide_reading_switch_to_text (answer->key, answer->text);
  json_builder_begin_object (builder);
  tide_json_text (builder, "key", answer->key);
  tide_json_text (builder, "text", answer->text);
  tide_json_text (builder, "switch", text);
  tide_json_text (builder, "meaning", answer->meaning);
  json_builder_end_object (builder);
}

static void
add_question (JsonBuilder *builder, const TideQuestion *question)
{
  json_builder_begin_object (builder);
  tide_json_text (builder, "text", question->text);
  tide_json_id (builder, "row", (gint64)question->row);
  tide_json_text (builder, "column", question->column);
  tide_json_boolean (builder, "open", question->is_open);
  json_builder_set_member_name (builder, "answers");
  json_builder_begin_array (builder);
  for (guint i = 0; i < question->answers->len; i++)
    add_answer (builder, g_ptr_array_index (question->answers, i));
  json_builder_end_array (builder);
  json_builder_end_object (builder);
}

static void
add_questions (JsonBuilder *builder, TideUnderstanding *table)
{
  GPtrArray *questions = tide_understanding_get_questions (table);
  json_builder_set_member_name (builder, "questions");
  json_builder_begin_array (builder);
  for (guint i = 0; i < questions->len; i++)
    add_question (builder, g_ptr_array_index (questions, i));
  json_builder_end_array (builder);
}

static void
add_mark (JsonBuilder *builder, const char *key, char mark)
{
  g_autofree char *text = make_mark (mark);
  tide_json_text (builder, key, text);
}

static void
add_table (JsonBuilder *builder, TideUnderstanding *table)
{
  g_autofree char *time = tide_understanding_dup_time_text (table);
  json_builder_begin_object (builder);
  tide_json_text (builder, "member", tide_understanding_get_member (table));
  tide_json_text (builder, "encoding", tide_understanding_get_encoding (table));
  add_mark (builder, "delimiter", tide_understanding_get_delimiter (table));
  add_mark (builder, "decimal_mark", tide_understanding_get_decimal_mark (table));
  add_mark (builder, "group_mark", tide_understanding_get_group_mark (table));
  tide_json_id (builder, "header_row", (gint64)tide_understanding_get_header_row (table));
  tide_json_id (builder, "units_row", (gint64)tide_understanding_get_units_row (table));
  tide_json_count (builder, "first_row", tide_understanding_get_first_row (table));
  tide_json_text (builder, "time", time);
  tide_json_boolean (builder, "sure", tide_understanding_is_sure (table));
  tide_json_text (builder, "signature", tide_understanding_get_signature (table));
  add_columns (builder, table);
  add_lanes (builder, table);
  tide_json_complaints (builder, "complaints", tide_understanding_get_complaints (table));
  add_questions (builder, table);
  json_builder_end_object (builder);
}

void
tide_json_explained (JsonBuilder *builder, const TideExplained *explained)
{
  json_builder_begin_object (builder);
  tide_json_text (builder, "file", explained->file);
  tide_json_text (builder, "rule", explained->rule_name);
  json_builder_set_member_name (builder, "tables");
  json_builder_begin_array (builder);
  for (guint i = 0; i < explained->tables->len; i++)
    add_table (builder, g_ptr_array_index (explained->tables, i));
  json_builder_end_array (builder);
  json_builder_end_object (builder);
}
