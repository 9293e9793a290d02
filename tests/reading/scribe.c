/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See scribe.h. The words of the header are dictionary words of each language. */
#include "scribe.h"

#include <gio/gio.h>
#include <math.h>
#include <string.h>

#include "unpack/packing.h"

/* ---- The log ---- */

static double
round_to (double value, double per_unit)
{
  return round (value * per_unit) / per_unit;
}

Log *
log_new (GRand *rand, guint n, double interval_s, gint64 start_us)
{
  Log *log = g_new0 (Log, 1);
  double **columns[] = { &log->time_s,    &log->voltage_v, &log->current_a,    &log->power_w,
                         &log->energy_wh, &log->charge_ah, &log->temperature_c };
  double joules = 0, coulombs = 0;

  log->n = n;
  log->start_us = start_us;
  for (guint k = 0; k < G_N_ELEMENTS (columns); k++)
    *columns[k] = g_new (double, n);
  for (guint i = 0; i < n; i++)
    {
      log->time_s[i] = i * interval_s;
      log->voltage_v[i] = round_to (g_rand_double_range (rand, 4.9, 20.2), 1e4);
      log->current_a[i] = round_to (g_rand_double_range (rand, 0.5, 3.0), 1e4);
      log->power_w[i] = round_to (log->voltage_v[i] * log->current_a[i], 1e4);
      joules += i > 0 ? log->power_w[i] * interval_s : 0;
      coulombs += i > 0 ? log->current_a[i] * interval_s : 0;
      log->energy_wh[i] = round_to (joules / 3600, 1e5);
      log->charge_ah[i] = round_to (coulombs / 3600, 1e5);
      log->temperature_c[i] = round_to (g_rand_double_range (rand, 21, 38), 10);
    }
  return log;
}

void
log_free (Log *log)
{
  g_free (log->time_s);
  g_free (log->voltage_v);
  g_free (log->current_a);
  g_free (log->power_w);
  g_free (log->energy_wh);
  g_free (log->charge_ah);
  g_free (log->temperature_c);
  g_free (log);
}

/* ---- Words ---- */

enum
{
  WORD_TIME,
  WORD_DATE,
  WORD_VOLTAGE,
  WORD_CURRENT,
  WORD_POWER,
  WORD_ENERGY,
  WORD_CHARGE,
  WORD_TEMPERATURE,
  WORD_NOTE,
  N_WORDS
};

static const char *const words[N_LANGUAGES][N_WORDS] = {
  [LANGUAGE_EN] = { "Time", "Date", "Voltage", "Current", "Power", "Energy", "Capacity",
                    "Temperature", "Note" },
  [LANGUAGE_DE] = { "Zeit", "Datum", "Spannung", "Strom", "Leistung", "Energie", "Ladung",
                    "Temperatur", "Notiz" },
  [LANGUAGE_FR] = { "Temps", "Date", "Tension", "Courant", "Puissance", "Énergie", "Capacité",
                    "Température", "Remarque" },
  [LANGUAGE_ES] = { "Tiempo", "Fecha", "Tensión", "Corriente", "Potencia", "Energía", "Carga",
                    "Temperatura", "Nota" },
  [LANGUAGE_PT] = { "Tempo", "Data", "Tensão", "Corrente", "Potência", "Energia", "Carga",
                    "Temperatura", "Nota" },
  [LANGUAGE_IT] = { "Tempo", "Data", "Tensione", "Corrente", "Potenza", "Energia", "Carica",
                    "Temperatura", "Nota" },
  [LANGUAGE_ZH] = { "时间", "日期", "电压", "电流", "功率", "能量", "容量", "温度", "备注" },
  [LANGUAGE_JA] = { "時間", "日付", "電圧", "電流", "電力", "電力量", "容量", "温度", "備考" },
};

static const char *const language_names[] = { "en", "de", "fr", "es", "pt", "it", "zh", "ja" };
static const char *const form_names[] = {
  "s",
  "ms",
  "min",
  "h",
  "d",
  "clock",
  "days and clock",
  "iso",
  "iso with a blank",
  "iso with a zone",
  "iso in UTC",
  "dd.mm.yyyy",
  "dd/mm/yyyy",
  "mm/dd/yyyy",
  "mm/dd/yyyy AM/PM",
  "epoch s",
  "epoch ms",
  "epoch µs",
  "date + clock",
  "serial days",
  "no time",
};

/* ---- Fields ---- */

typedef struct
{
  const Dialect *dialect;
  GString *text;
  guint column;
} Pen;

static void
put_field (Pen *pen, const char *field, gboolean is_text)
{
  const Dialect *dialect = pen->dialect;
  gboolean quoted = dialect->quotes == QUOTE_ALL || (dialect->quotes == QUOTE_TEXT && is_text)
                    || strchr (field, dialect->delimiter) != NULL;

  if (pen->column++ > 0)
    g_string_append_c (pen->text, dialect->delimiter);
  g_string_append_printf (pen->text, quoted ? "\"%s\"" : "%s", field);
}

static void
end_row (Pen *pen)
{
  g_string_append (pen->text, pen->dialect->line_end);
  pen->column = 0;
}

/* Digits in groups of three where there is a mark for it, and the dialect's decimal mark. */
static void
put_number (Pen *pen, double value, int decimals)
{
  const Dialect *dialect = pen->dialect;
  char digits[G_ASCII_DTOSTR_BUF_SIZE + 32], format[] = "%.0f";
  GString *field = g_string_new (NULL);

  format[2] = (char)('0' + decimals);
  g_ascii_formatd (digits, sizeof digits, format, value);
  gsize n_whole = strcspn (digits, ".");
  for (gsize i = 0; i < n_whole; i++)
    {
      if (dialect->group != 0 && i > 0 && digits[i - 1] != '-' && (n_whole - i) % 3 == 0)
        g_string_append_c (field, dialect->group);
      g_string_append_c (field, digits[i]);
    }
  if (digits[n_whole] == '.')
    g_string_append_printf (field, "%c%s", dialect->decimal, digits + n_whole + 1);
  put_field (pen, field->str, FALSE);
  g_string_free (field, TRUE);
}

static GDateTime *
get_moment (const Log *log, guint i)
{
  gint64 us = log->start_us + (gint64)round (log->time_s[i] * 1e6);
  g_autoptr (GDateTime) second = g_date_time_new_from_unix_utc (us / G_USEC_PER_SEC);

  return g_date_time_add (second, us % G_USEC_PER_SEC);
}

static void
put_moment (Pen *pen, const Log *log, guint i, const char *format, gboolean with_fraction)
{
  g_autoptr (GDateTime) moment = get_moment (log, i);
  g_autofree char *text = g_date_time_format (moment, format);
  g_autofree char *field = with_fraction
                               ? g_strdup_printf ("%s%c%03d", text, pen->dialect->decimal,
                                                  g_date_time_get_microsecond (moment) / 1000)
                               : g_strdup (text);

  put_field (pen, field, TRUE);
}

static void
put_clock (Pen *pen, double seconds, gboolean with_days)
{
  gint64 ms = (gint64)round (seconds * 1000);
  int s = (int)(ms / 1000 % 60), min = (int)(ms / 60000 % 60), h = (int)(ms / 3600000);
  g_autofree char *field = with_days
                               ? g_strdup_printf ("%dd %02d:%02d:%02d", h / 24, h % 24, min, s)
                               : g_strdup_printf ("%02d:%02d:%02d%c%03d", h, min, s,
                                                  pen->dialect->decimal, (int)(ms % 1000));

  put_field (pen, field, TRUE);
}

static void
put_whole (Pen *pen, gint64 value)
{
  g_autofree char *field = g_strdup_printf ("%" G_GINT64_FORMAT, value);

  put_field (pen, field, FALSE);
}

/* ---- Time ---- */

static const struct
{
  const char *unit; /* NULL: none */
  double seconds;   /* of one */
  int decimals;
  const char *format; /* of a moment; NULL: a number or a clock */
  gboolean fraction;
  const char *pattern; /* for a rule */
} forms[N_FORMS] = {
  [FORM_SECONDS] = { "s", 1, 3, NULL, FALSE, NULL },
  [FORM_MILLISECONDS] = { "ms", 1e-3, 0, NULL, FALSE, NULL },
  [FORM_MINUTES] = { "min", 60, 5, NULL, FALSE, NULL },
  [FORM_HOURS] = { "h", 3600, 7, NULL, FALSE, NULL },
  [FORM_DAYS] = { "d", 86400, 9, NULL, FALSE, NULL },
  [FORM_CLOCK] = { NULL, 1, 3, NULL, FALSE, NULL },
  [FORM_DAYS_AND_CLOCK] = { NULL, 1, 0, NULL, FALSE, NULL },
  [FORM_ISO] = { NULL, 1, 3, "%Y-%m-%dT%H:%M:%S", TRUE, NULL },
  [FORM_ISO_BLANK] = { NULL, 1, 3, "%Y-%m-%d %H:%M:%S", TRUE, NULL },
  [FORM_ISO_ZONE] = { NULL, 1, 0, "%Y-%m-%dT%H:%M:%S+00:00", FALSE, NULL },
  [FORM_ISO_UTC] = { NULL, 1, 0, "%Y-%m-%dT%H:%M:%SZ", FALSE, NULL },
  [FORM_DAY_FIRST_DOTS] = { NULL, 1, 0, "%d.%m.%Y %H:%M:%S", FALSE, "%d.%m.%Y %H:%M:%S" },
  [FORM_DAY_FIRST] = { NULL, 1, 0, "%d/%m/%Y %H:%M:%S", FALSE, "%d/%m/%Y %H:%M:%S" },
  [FORM_MONTH_FIRST] = { NULL, 1, 0, "%m/%d/%Y %H:%M:%S", FALSE, "%m/%d/%Y %H:%M:%S" },
  [FORM_MONTH_FIRST_NOON] = { NULL, 1, 0, "%m/%d/%Y %I:%M:%S %p", FALSE, "%m/%d/%Y %I:%M:%S %p" },
  [FORM_EPOCH_S] = { NULL, 1, 3, NULL, FALSE, NULL },
  [FORM_EPOCH_MS] = { NULL, 1e-3, 0, NULL, FALSE, NULL },
  [FORM_EPOCH_US] = { NULL, 1e-6, 0, NULL, FALSE, NULL },
  [FORM_DATE_AND_CLOCK] = { NULL, 1, 0, "%H:%M:%S", FALSE, NULL },
  [FORM_SERIAL] = { NULL, 86400, 9, NULL, FALSE, "serial" },
  [FORM_NONE] = { NULL, 1, 3, NULL, FALSE, NULL },
};

const char *
dialect_get_pattern (const Dialect *dialect)
{
  return forms[dialect->form].pattern;
}

double
dialect_get_time_step_s (const Dialect *dialect)
{
  return forms[dialect->form].seconds * 0.5 * pow (10, -forms[dialect->form].decimals);
}

/* Days from 30 December 1899, as spreadsheets count them, to 1970. */
#define SERIAL_1970 25569

static void
put_time (Pen *pen, const Log *log, guint i)
{
  TimeForm form = pen->dialect->form;
  double epoch_s = (double)log->start_us / 1e6 + log->time_s[i];

  if (form == FORM_NONE)
    return;
  if (form == FORM_DATE_AND_CLOCK)
    put_moment (pen, log, i, "%Y-%m-%d", FALSE);
  if (forms[form].format != NULL)
    put_moment (pen, log, i, forms[form].format, forms[form].fraction);
  else if (form == FORM_CLOCK || form == FORM_DAYS_AND_CLOCK)
    put_clock (pen, log->time_s[i] + 93784, form == FORM_DAYS_AND_CLOCK); /* from 26:03:04 on */
  else if (form == FORM_EPOCH_MS || form == FORM_EPOCH_US)
    put_whole (pen, (gint64)round (epoch_s / forms[form].seconds));
  else if (form == FORM_SERIAL)
    put_number (pen, epoch_s / 86400 + SERIAL_1970, forms[form].decimals);
  else if (form == FORM_EPOCH_S)
    put_number (pen, epoch_s, forms[form].decimals);
  else
    put_number (pen, log->time_s[i] / forms[form].seconds, forms[form].decimals);
}

/* ---- The table ---- */

static void
put_name (Pen *pen, guint word, const char *unit)
{
  static const char *const before[] = { " (", " [", "/", "_" }, *const behind[] = { ")", "]", "",
                                                                                    "" };
  const Dialect *dialect = pen->dialect;
  const char *name = words[dialect->language][word];
  g_autofree char *field =
      unit == NULL || dialect->units >= UNITS_ROW
          ? g_strdup (name)
          : g_strconcat (name, before[dialect->units], unit, behind[dialect->units], NULL);

  put_field (pen, field, TRUE);
}

typedef void (*PutHead) (Pen *pen, guint word, const char *unit);

static void
put_unit (Pen *pen, guint word, const char *unit)
{
  put_field (pen, unit != NULL ? unit : "", TRUE);
}

/* The names, or the units below them. */
static void
put_heads (Pen *pen, PutHead put)
{
  const Dialect *dialect = pen->dialect;

  if (dialect->form == FORM_DATE_AND_CLOCK)
    put (pen, WORD_DATE, NULL);
  if (dialect->form != FORM_NONE)
    put (pen, WORD_TIME, forms[dialect->form].unit);
  put (pen, WORD_VOLTAGE, dialect->milli ? "mV" : "V");
  put (pen, WORD_CURRENT, dialect->milli ? "mA" : "A");
  if (dialect->with_power)
    put (pen, WORD_POWER, "W");
  if (dialect->with_counters)
    {
      put (pen, WORD_ENERGY, dialect->milli ? "mWh" : "Wh");
      put (pen, WORD_CHARGE, dialect->milli ? "mAh" : "Ah");
    }
  if (dialect->with_temperature)
    put (pen, WORD_TEMPERATURE, "°C");
  if (dialect->with_note)
    put (pen, WORD_NOTE, NULL);
  end_row (pen);
}

static void
put_sample (Pen *pen, const Log *log, guint i)
{
  const Dialect *dialect = pen->dialect;
  double scale = dialect->milli ? 1000 : 1;
  int fewer = dialect->milli ? 3 : 0;

  put_time (pen, log, i);
  put_number (pen, log->voltage_v[i] * scale, 4 - fewer);
  put_number (pen, log->current_a[i] * scale, 4 - fewer);
  if (dialect->with_power)
    put_number (pen, log->power_w[i], 4);
  if (dialect->with_counters)
    {
      put_number (pen, log->energy_wh[i] * scale, 5 - fewer);
      put_number (pen, log->charge_ah[i] * scale, 5 - fewer);
    }
  if (dialect->with_temperature)
    put_number (pen, log->temperature_c[i], 1);
  if (dialect->with_note)
    put_field (pen, "ok", TRUE);
  end_row (pen);
}

static void
put_lines (Pen *pen, guint n, const char *text)
{
  for (guint i = 0; i < n; i++)
    {
      g_string_append (pen->text, text);
      end_row (pen);
    }
}

char *
dialect_write (const Dialect *dialect, const Log *log)
{
  Pen pen = { dialect, g_string_new (NULL), 0 };

  put_lines (&pen, dialect->preamble, "Log of a survey tablet");
  put_heads (&pen, put_name);
  if (dialect->units == UNITS_ROW)
    put_heads (&pen, put_unit);
  for (guint i = 0; i < log->n; i++)
    put_sample (&pen, log, i);
  put_lines (&pen, dialect->footer, "End of log");
  return g_string_free (pen.text, FALSE);
}

/* ---- Bytes ---- */

GBytes *
dialect_encode (const Dialect *dialect, const char *text)
{
  g_autoptr (GError) error = NULL;
  gsize length;
  const char *plus = strchr (dialect->encoding, '+');
  g_autofree char *encoding = plus != NULL
                                  ? g_strndup (dialect->encoding, (gsize)(plus - dialect->encoding))
                                  : g_strdup (dialect->encoding);
  g_autofree char *marked = g_strconcat (plus != NULL ? "\xef\xbb\xbf" : "", text, NULL);
  g_autofree char *bytes = g_convert (marked, -1, encoding, "UTF-8", NULL, &length, &error);

  g_assert_no_error (error);
  if (dialect->packed == PACKED_GZIP)
    return pack_gzip (bytes, (gssize)length);
  if (dialect->packed == PACKED_ZIP)
    {
      const PackedFile files[] = { { "log.csv", bytes, (gssize)length }, { NULL, NULL, 0 } };

      return pack_zip (files, NULL);
    }
  return g_bytes_new (bytes, length);
}

char *
dialect_describe (const Dialect *dialect)
{
  static const char *const quotes[] = { "where needed", "texts", "all" };
  static const char *const units[] = { "(V)", "[V]", "/V", "_V", "a row", "none" };
  static const char *const packed[] = { "not packed", "gzip", "zip" };

  return g_strdup_printf ("delimiter '%c', decimal '%c', group '%c', %s, line end %d bytes from "
                          "0x%02x, quotes %s, time %s, "
                          "units %s, %s, %s%s%s%s%s, %u lines before, %u behind, %s",
                          dialect->delimiter, dialect->decimal,
                          dialect->group != 0 ? dialect->group : '0', dialect->encoding,
                          (int)strlen (dialect->line_end), *dialect->line_end,
                          quotes[dialect->quotes], form_names[dialect->form], units[dialect->units],
                          language_names[dialect->language], dialect->milli ? "milli " : "",
                          dialect->with_power ? "power " : "",
                          dialect->with_counters ? "counters " : "",
                          dialect->with_temperature ? "temperature " : "",
                          dialect->with_note ? "note" : "", dialect->preamble, dialect->footer,
                          packed[dialect->packed]);
}
