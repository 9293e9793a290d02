/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A made-up log, written as text in any dialect: what the round trip reads back. */
#pragma once

#include <glib.h>

/* What was logged: n samples; absent columns are NULL. */
typedef struct {
  guint n;
  gint64 start_us;     /* wall clock of the first sample, UTC */
  double *time_s;      /* from 0, whole milliseconds */
  double *voltage_v, *current_a, *power_w, *energy_wh, *charge_ah, *temperature_c;
} Log;

Log *log_new  (GRand *rand, guint n, double interval_s, gint64 start_us);
void log_free (Log *log);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (Log, log_free)

typedef enum {
  FORM_SECONDS, FORM_MILLISECONDS, FORM_MINUTES, FORM_HOURS, FORM_DAYS,
  FORM_CLOCK,             /* 26:03:04.500 */
  FORM_DAYS_AND_CLOCK,    /* 1d 02:03:04 */
  FORM_ISO, FORM_ISO_BLANK, FORM_ISO_ZONE, FORM_ISO_UTC,
  FORM_DAY_FIRST_DOTS,    /* 03.04.2026 10:00:00 */
  FORM_DAY_FIRST, FORM_MONTH_FIRST,
  FORM_MONTH_FIRST_NOON,  /* 04/23/2026 01:02:03 PM */
  FORM_EPOCH_S, FORM_EPOCH_MS, FORM_EPOCH_US,
  FORM_DATE_AND_CLOCK,    /* in two columns */
  FORM_SERIAL,            /* days of a spreadsheet */
  FORM_NONE,              /* no column: the interval is stated */
  N_FORMS
} TimeForm;

typedef enum { QUOTE_NEEDED, QUOTE_TEXT, QUOTE_ALL, N_QUOTES } Quotes;
typedef enum { UNITS_ROUND, UNITS_SQUARE, UNITS_SLASH, UNITS_UNDERSCORE, UNITS_ROW, UNITS_NONE, N_UNITS } Units;
typedef enum { LANGUAGE_EN, LANGUAGE_DE, LANGUAGE_FR, LANGUAGE_ES, LANGUAGE_PT, LANGUAGE_IT, LANGUAGE_ZH, LANGUAGE_JA,
               N_LANGUAGES } Language;
typedef enum { PACKED_NOT, PACKED_GZIP, PACKED_ZIP, N_PACKED } Packed;

typedef struct {
  char delimiter, decimal, group; /* group 0: none */
  const char *encoding;           /* as iconv knows it; a BOM where its name ends in "+BOM" */
  const char *line_end;
  Quotes quotes;
  TimeForm form;
  Units units;
  Language language;
  gboolean milli;                 /* volts and amperes by the thousand */
  gboolean with_power, with_counters, with_temperature, with_note;
  guint preamble, footer;         /* lines */
  Packed packed;
} Dialect;

/* The text before it is encoded. Transfer full. */
char   *dialect_write    (const Dialect *dialect, const Log *log);
/* Encoded and packed. */
GBytes *dialect_encode   (const Dialect *dialect, const char *text);
/* In words, for messages. Transfer full. */
char   *dialect_describe (const Dialect *dialect);
/* How the time is written, for a rule; NULL where none says it. */
const char *dialect_get_pattern (const Dialect *dialect);
/* Half a unit of the last printed digit of a time, in seconds. */
double  dialect_get_time_step_s (const Dialect *dialect);
