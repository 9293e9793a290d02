/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An understanding as others see it: made, kept, looked at. What fills it are dialect, choose,
 * timing and decimal. Accessors cost nothing; sample rows are kept cut to a bound.
 */
#include "reading/understanding.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "reading/reading-private.h"
#include "reading/rule-private.h"

/* A longer field of a sample row is cut: it is looked at, not read. */
#define SAMPLE_BYTES 200
/* A longer header is none that a rule is kept for. */
#define SIGNATURE_BYTES (16 * 1024)

TideUnderstanding *
tide_understanding_new (const TideReadingRule *rule)
{
  TideUnderstanding *u = g_new0 (TideUnderstanding, 1);
  g_atomic_ref_count_init (&u->ref_count);
  u->decimal_mark = '.';
  u->names = g_ptr_array_new_with_free_func (g_free);
  u->complaints = tide_complaints_new ();
  u->questions = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_question_free);
  u->rule = rule ? tide_reading_rule_copy (rule) : NULL;
  u->n_lanes = 1;
  for (guint lane = 0; lane < TIDE_MAX_LANES; lane++)
    for (int q = 0; q < TIDE_N_QUANTITIES; q++)
      u->lanes[lane].columns[q].index = -1;
  u->time.index = u->date.index = u->clock.index = u->millis_index = -1;
  return u;
}

TideUnderstanding *
tide_understanding_ref (TideUnderstanding *u)
{
  g_atomic_ref_count_inc (&u->ref_count);
  return u;
}

void
tide_understanding_unref (TideUnderstanding *u)
{
  if (!g_atomic_ref_count_dec (&u->ref_count))
    return;
  g_ptr_array_unref (u->names);
  g_ptr_array_unref (u->complaints);
  g_ptr_array_unref (u->questions);
  g_clear_pointer (&u->rule, tide_reading_rule_free);
  g_clear_pointer (&u->samples, tide_table_free);
  g_clear_pointer (&u->pattern, tide_pattern_free);
  g_free (u->member);
  g_free (u->encoding);
  g_free (u->signature);
  for (guint lane = 0; lane < TIDE_MAX_LANES; lane++)
    g_free (u->lanes[lane].label);
  g_free (u);
}

/* ---- Filling ---- */

void
tide_understanding_remark (TideUnderstanding *u, TideComplaint *complaint)
{
  g_ptr_array_add (u->complaints, complaint);
  u->n_remarks++;
}

static void
keep_field (TideTable *samples, const char *text)
{
  guint32 start = (guint32)samples->text->len;
  g_array_append_val (samples->starts, start);
  g_autofree char *valid = g_utf8_make_valid (text, (gssize)strnlen (text, SAMPLE_BYTES + 4));
  if (strlen (valid) > SAMPLE_BYTES)
    *g_utf8_find_prev_char (valid, valid + SAMPLE_BYTES) = '\0';
  g_string_append (samples->text, valid);
  g_string_append_c (samples->text, '\0');
}

void
tide_understanding_keep_samples (TideUnderstanding *u, const TideTable *table)
{
  g_clear_pointer (&u->samples, tide_table_free);
  TideTable *samples = g_new0 (TideTable, 1);
  samples->text = g_string_new (NULL);
  samples->starts = g_array_new (FALSE, FALSE, sizeof (guint32));
  samples->rows = g_array_new (FALSE, FALSE, sizeof (TideTableRow));
  for (guint row = 0; row < MIN (table->rows->len, TIDE_SAMPLE_ROWS); row++)
    {
      TideTableRow kept = g_array_index (table->rows, TideTableRow, row);
      kept.first = samples->starts->len;
      for (guint column = 0; column < kept.n_fields; column++)
        keep_field (samples, tide_table_field (table, row, column));
      g_array_append_val (samples->rows, kept);
    }
  u->samples = samples;
}

/* Blanks at the ends and letters' case do not make another header. Transfer full. */
static char *
normalise_name (const char *name)
{
  g_autofree char *composed = g_utf8_normalize (name, -1, G_NORMALIZE_ALL_COMPOSE);
  return composed ? g_strstrip (g_utf8_casefold (composed, -1)) : g_strdup ("");
}

void
tide_understanding_sign (TideUnderstanding *u)
{
  g_clear_pointer (&u->signature, g_free);
  if (u->header_row == 0)
    return;
  g_autoptr (GString) text = g_string_new (NULL);
  for (guint i = 0; i < u->names->len; i++)
    {
      g_autofree char *name = normalise_name (g_ptr_array_index (u->names, i));
      if (i > 0)
        g_string_append_unichar (text, 0x1f);
      g_string_append (text, name);
    }
  if (text->len <= SIGNATURE_BYTES)
    u->signature = g_string_free (g_steal_pointer (&text), FALSE);
}

/* ---- What it says ---- */

const char *
tide_understanding_get_member (const TideUnderstanding *u)
{
  return u->member;
}

const char *
tide_understanding_get_encoding (const TideUnderstanding *u)
{
  return u->encoding ? u->encoding : "UTF-8";
}

char
tide_understanding_get_delimiter (const TideUnderstanding *u)
{
  return tide_delimiter_is_blanks (u->delimiter) ? ' ' : u->delimiter;
}

char
tide_understanding_get_decimal_mark (const TideUnderstanding *u)
{
  return u->decimal_mark;
}

char
tide_understanding_get_group_mark (const TideUnderstanding *u)
{
  return u->group_mark;
}

guint64
tide_understanding_get_header_row (const TideUnderstanding *u)
{
  return u->header_row;
}

guint64
tide_understanding_get_units_row (const TideUnderstanding *u)
{
  return u->units_row;
}

guint64
tide_understanding_get_first_row (const TideUnderstanding *u)
{
  return u->first_row;
}

/* ---- Columns ---- */

guint
tide_understanding_get_n_columns (const TideUnderstanding *u)
{
  return u->names->len;
}

static void
describe_value (const TideUnderstanding *u, guint column, TideColumnReading *reading)
{
  for (guint lane = 0; lane < u->n_lanes; lane++)
    for (int q = TIDE_QUANTITY_VOLTAGE; q < TIDE_N_QUANTITIES; q++)
      {
        const TideColumnUse *use = &u->lanes[lane].columns[q];
        if (use->index != (int)column)
          continue;
        reading->role = TIDE_ROLE_VALUE;
        reading->quantity = (TideQuantity)q;
        reading->unit = use->unit.symbol;
        reading->unit_named = use->unit_named;
        reading->lane = lane + 1;
        return;
      }
}

static gboolean
counts_units (const TideTimeUse *use)
{
  return use->form == TIDE_FORM_NUMBER || use->form == TIDE_FORM_EPOCH;
}

TideColumnReading
tide_understanding_get_column (const TideUnderstanding *u, guint column)
{
  TideColumnReading reading = { .name = "", .role = TIDE_ROLE_UNREAD };
  g_return_val_if_fail (column < u->names->len, reading);
  reading.name = g_ptr_array_index (u->names, column);
  if (u->time.index == (int)column)
    {
      reading.role = TIDE_ROLE_TIME;
      reading.quantity = TIDE_QUANTITY_TIME;
      reading.unit = counts_units (&u->time) ? u->time.unit.symbol : NULL;
      reading.unit_named = u->time.unit_named;
    }
  else if (u->millis_index == (int)column)
    {
      reading.role = TIDE_ROLE_TIME;
      reading.quantity = TIDE_QUANTITY_TIME;
      reading.unit = "ms";
      reading.unit_named = TRUE;
    }
  else if (u->date.index == (int)column)
    reading.role = TIDE_ROLE_DATE;
  else if (u->clock.index == (int)column)
    reading.role = TIDE_ROLE_CLOCK;
  else
    describe_value (u, column, &reading);
  return reading;
}

guint
tide_understanding_get_n_lanes (const TideUnderstanding *u)
{
  return u->n_lanes;
}

const char *
tide_understanding_get_lane_label (const TideUnderstanding *u, guint lane)
{
  g_return_val_if_fail (lane < u->n_lanes, NULL);
  return u->lanes[lane].label;
}

/* ---- Time in words ---- */

static const char *
describe_clock (const TideTimeUse *use)
{
  return use->minutes_first ? _ ("minutes:seconds")
         : use->daytime     ? _ ("a clock, hours:minutes:seconds")
                            : _ ("elapsed time as hours:minutes:seconds");
}

static const char *
describe_order (TideDateOrder order)
{
  return order == TIDE_ORDER_DAY     ? _ ("dates, day before month")
         : order == TIDE_ORDER_MONTH ? _ ("dates, month before day")
                                     : _ ("dates, year first");
}

static char *
describe_form (const TideUnderstanding *u, const TideTimeUse *use)
{
  char number[G_ASCII_DTOSTR_BUF_SIZE];
  switch (use->form)
    {
    case TIDE_FORM_NUMBER:
      return g_strdup_printf (_ ("elapsed time in %s"), use->unit.symbol);
    case TIDE_FORM_EPOCH:
      return g_strdup_printf (_ ("%s since 1970"), use->unit.symbol);
    case TIDE_FORM_CLOCK:
      return g_strdup (describe_clock (use));
    case TIDE_FORM_DATE:
      return g_strdup (describe_order (use->order));
    case TIDE_FORM_SERIAL:
      return g_strdup (_ ("days as a spreadsheet counts them"));
    case TIDE_FORM_STATED:
      return g_strdup_printf (_ ("written as %s"), u->rule ? u->rule->time_pattern : "");
    case TIDE_FORM_COUNT:
      g_ascii_formatd (number, sizeof number, "%g", use->every_s);
      return g_strdup_printf (_ ("no column: a row every %s s"), number);
    }
  g_return_val_if_reached (g_strdup (""));
}

/* "Zeit" in quotes, or the column's number. */
static char *
dup_column_text (const TideUnderstanding *u, int column)
{
  const char *name = g_ptr_array_index (u->names, column);
  return *name ? g_strdup_printf (_ ("column \"%s\""), name)
               : g_strdup_printf (_ ("column %d"), column + 1);
}

char *
tide_understanding_dup_time_text (const TideUnderstanding *u)
{
  g_autofree char *form = describe_form (u, &u->time);
  if (u->time.index < 0)
    return g_steal_pointer (&form);
  g_autofree char *column = dup_column_text (u, u->time.index);
  if (u->date.index < 0)
    return g_strdup_printf ("%s, %s", form, column);
  g_autofree char *date_form = describe_form (u, &u->date);
  g_autofree char *date_column = dup_column_text (u, u->date.index);
  return g_strdup_printf (_ ("%s, %s, with %s, %s"), date_form, date_column, form, column);
}

/* ---- Sample rows ---- */

guint
tide_understanding_get_n_samples (const TideUnderstanding *u)
{
  return u->samples ? u->samples->rows->len : 0;
}

guint64
tide_understanding_get_sample_row (const TideUnderstanding *u, guint sample)
{
  g_return_val_if_fail (sample < tide_understanding_get_n_samples (u), 0);
  return g_array_index (u->samples->rows, TideTableRow, sample).row;
}

const char *
tide_understanding_get_sample (const TideUnderstanding *u, guint sample, guint column)
{
  g_return_val_if_fail (sample < tide_understanding_get_n_samples (u), "");
  return tide_table_field (u->samples, sample, column);
}

/* ---- Doubt ---- */

GPtrArray *
tide_understanding_get_complaints (const TideUnderstanding *u)
{
  return u->complaints;
}

GPtrArray *
tide_understanding_get_questions (const TideUnderstanding *u)
{
  return u->questions;
}

gboolean
tide_understanding_is_sure (const TideUnderstanding *u)
{
  return u->questions->len == 0 && u->complaints->len == u->n_remarks;
}

const char *
tide_understanding_get_signature (const TideUnderstanding *u)
{
  return u->signature ? u->signature : "";
}
