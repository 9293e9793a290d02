/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files of the reading room share; only they and their tests include it.
 *
 * The way of a file: bytes -> text (UTF-8) -> its head is sniffed into a TideUnderstanding ->
 * the understanding is applied to all rows. An understanding is a value of its own: it can be
 * shown to a person, changed, and applied again; nothing in it depends on the rows beyond the head.
 */
#pragma once

#include "reading/understanding.h"
#include "unpack/unpack.h"

/* The first bytes of a text, from which it is understood: as many as come in one piece. */
#define TIDE_HEAD_BYTES TIDE_PIECE_BYTES

/* ---- number.c ---- */

/* Reads one decimal number, blanks around it allowed: sign, digits with mark, exponent; the value
 * is multiplied by 10^shift without a second rounding. Correctly rounded, the same bits as
 * g_ascii_strtod(). FALSE for anything else: no digits, words, inf, nan, hexadecimal, overflow. */
gboolean tide_number_parse (const char *text, gsize length, char mark, int shift, double *value);
/* The same where a mark may stand between thousands, 0: none does. "1,234,567.8", "1 234,5" (a no-break space is a
 * blank, a typographic apostrophe an apostrophe) and "12,34,567" are read, other groups are not. */
gboolean tide_number_parse_grouped (const char *text, gsize length, char mark, char group, int shift, double *value);
/* The bytes at the start of text that may be a mark between thousands: its kind (',' '.' '\'' or ' ') and how many
 * they are; 0 and '\0' for anything else. */
char     tide_group_mark_at (const char *text, gsize length, gsize *mark_length);
/* The ends of digits' groups: of three, or in the Indian way of two and a last one of three; n >= 2. */
gboolean tide_groups_are_well_formed (const gsize *digits, guint n);
/* TRUE for the ways exports say "no value": empty, blanks, "-", "N/A", "nan", "null" ... */
gboolean tide_number_is_missing (const char *text, gsize length);

/* ---- stamp.c ---- */

typedef enum {
  TIDE_ORDER_NONE  = 0,
  TIDE_ORDER_YEAR  = 1 << 0, /* 2024-05-31, 24/05/31, 2024年5月31日, and ISO 8601's other forms */
  TIDE_ORDER_DAY   = 1 << 1, /* 31/05/2024, 31.05.24, 31 May 2024 */
  TIDE_ORDER_MONTH = 1 << 2, /* 05/31/2024, May 31, 2024 */
  TIDE_ORDER_ALL   = TIDE_ORDER_YEAR | TIDE_ORDER_DAY | TIDE_ORDER_MONTH,
} TideDateOrder;

typedef struct {
  gint64 us;          /* since 1970: UTC if has_zone, else as the clock on the wall reads */
  gboolean has_zone;
  gboolean has_clock; /* FALSE: a date alone, us is its midnight */
  gboolean has_date;  /* FALSE: a clock alone, us is since midnight or since the log began */
} TideMoment;

/* A date, with or without a clock and a zone, its parts in that order (one bit). */
gboolean      tide_date_parse   (const char *text, gsize length, TideDateOrder order, TideMoment *moment);
/* The orders in which text is a date; several bits if it can be read in several ways. */
TideDateOrder tide_date_orders  (const char *text, gsize length);
/* How tide_date_parse() read text, as a pattern of pattern.c; NULL where no pattern says it. Transfer full. */
char         *tide_date_pattern (const char *text, gsize length, TideDateOrder order);
/* Microseconds since 1970 UTC; a moment without a zone is taken as this machine's local time. */
gint64        tide_moment_to_us (TideMoment moment);

/* ---- clock.c ---- */

typedef struct {
  double seconds;
  guint parts;           /* 2 for 12:34, 3 for 12:34:56 and for durations */
  gboolean has_fraction;
  gboolean is_daytime;   /* an AM or PM stands beside it */
  gboolean is_duration;  /* it counts days or names units: no time of day */
} TideClock;

/* "1:02:03.5", "93:40:55", "12:34", "1:02 PM", "2d 01:02:03", "1.02:03:04", "2h 3m 4s", "PT2H3M4S". A clock of two
 * parts is read as hours and minutes, or as minutes and seconds if minutes_first or a fraction follows. */
gboolean tide_clock_parse (const char *text, gsize length, gboolean minutes_first, TideClock *clock);

/* ---- pattern.c ---- */

/* How a point in time is written, as a person states it; see the head of the file for its letters. */
typedef struct _TidePattern TidePattern;

/* Errors: TIDE_READING_ERROR_RULE, one line. */
TidePattern *tide_pattern_new    (const char *text, GError **error);
void         tide_pattern_free   (TidePattern *pattern);
gboolean     tide_pattern_has_date  (const TidePattern *pattern);
gboolean     tide_pattern_has_clock (const TidePattern *pattern);
gboolean     tide_pattern_has_hours (const TidePattern *pattern);
gboolean     tide_pattern_parse  (const TidePattern *pattern, const char *text, gsize length, TideMoment *moment);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TidePattern, tide_pattern_free)

/* ---- units.c ---- */

/* (value × 10^exponent + offset) × times / over is in the quantity's own unit. */
typedef struct {
  int exponent;
  double times, over;
  const char *symbol; /* "mA"; static */
  double offset;      /* -32 for °F */
} TideUnit;

/* The unit of a quantity itself: what a column without a named unit is taken to be in. */
TideUnit tide_unit_plain (TideQuantity quantity);
double   tide_unit_scale (TideUnit unit, double shifted);
/* "mA", "Watt-hr", "W.h", "°C", "sec". A bare "C" is a temperature, or coulombs if wanted is CHARGE. */
gboolean tide_unit_parse (const char *text, TideQuantity wanted, TideQuantity *quantity, TideUnit *unit);
/* A micro or degree sign that was read in a wrong encoding and written again, or a look-alike, becomes itself. Transfer
 * full. */
char    *tide_unit_mend_signs (const char *text);

/* ---- words.c ---- */

typedef enum {
  TIDE_TIME_TOTAL    = 1 << 0, /* "total", "elapsed", "test": since the log began */
  TIDE_TIME_PART     = 1 << 1, /* "step", "cycle": since something smaller began */
  TIDE_TIME_ABSOLUTE = 1 << 2, /* "date", "clock", "epoch" */
  TIDE_TIME_MINUTES  = 1 << 3, /* "(mm:ss)" */
  TIDE_TIME_HOURS    = 1 << 4, /* "(hh:mm)" */
} TideTimeWords;

typedef enum {
  TIDE_WORD_QUANTITY,
  TIDE_WORD_QUALIFIER, /* "charge", "step" */
  TIDE_WORD_AVERAGE,   /* "mean": the same thing, smoothed */
  TIDE_WORD_DISCHARGE,
  TIDE_WORD_NEUTRAL,   /* "bus", "total" */
  TIDE_WORD_LANE,      /* "input", "device": which of several that stand side by side */
  TIDE_WORD_CELL,      /* "battery", "cell": likewise, and not the bus */
  TIDE_WORD_OPENER,    /* "port", "channel": with the number or letter behind it likewise, else neutral */
  TIDE_WORD_REFUSED,   /* "aux", "ripple": never the bus */
} TideWordKind;

typedef struct {
  TideWordKind kind;
  TideQuantity quantity; /* QUANTITY; CHARGE too where a qualifier is a form of "charge" */
  guint time_words;      /* what it says beside a time */
  const char *words;     /* lower case, divided by a blank; the first of a LANE stands for all of them */
} TideWord;

/* NULL: not a word of ours. word is in lower case. */
const TideWord *tide_word_find    (const char *word);
gboolean        tide_word_is_unit (const char *word, TideQuantity *quantity, TideUnit *unit);

#define TIDE_MAX_WORDS 24

typedef struct {
  char *word[TIDE_MAX_WORDS];    /* lower case */
  char *written[TIDE_MAX_WORDS]; /* as the name has it */
  guint n;
} TideWords;

/* Fills words, which is empty, with those of text; more than TIDE_MAX_WORDS are left away. */
void tide_words_split  (const char *text, TideWords *words);
/* Takes count words out and puts one in their place, which may be NULL. */
void tide_words_splice (TideWords *words, guint first, guint count, const char *replacement);
void tide_words_clear  (TideWords *words);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideWords, tide_words_clear)

/* ---- columns.c ---- */

#define TIDE_MAX_MARK_BYTES 48

/* What a column's name says, or a rule of it. */
typedef struct {
  gboolean known;       /* FALSE: the name is none of ours, the rest is void */
  TideQuantity quantity;
  TideUnit unit;
  gboolean unit_named;
  int cost;             /* how far from the plainest name of the quantity; 0 is plainest */
  guint time_words;     /* TideTimeWords */
  /* which of several that stand side by side, in lower case and as written: "port a", "Port A"; "" where the name
   * does not say */
  char mark[TIDE_MAX_MARK_BYTES], label[TIDE_MAX_MARK_BYTES];
  gboolean mark_is_sure; /* of words that say so; else what is left of the name */
  gboolean stated;       /* by a rule: comes before all that names say */
  guint lane;            /* stated: from 1 */
  gboolean unit_stated;  /* with its unit */
  gboolean in_cells, only_in_cells; /* the cells bear units: see TideColumnUse */
} TideMeaning;

/* The unit of a cell or a name can be that of quantity: data lines are measured as voltages are. */
gboolean    tide_quantity_takes (TideQuantity quantity, TideQuantity of_unit);

/* unit_text is the field of a separate units row, NULL or "" when there is none. */
TideMeaning tide_meaning_of_name (const char *name, const char *unit_text);

/* ---- text.c ---- */

typedef struct _TideDecoder TideDecoder;

/* Decides from a text's first bytes (all of them if at_end) how they become UTF-8: by encoding, which may be NULL; complains
 * of what is not stated or marked. Errors: TIDE_READING_ERROR_EMPTY, _NOT_TEXT, _RULE. */
TideDecoder *tide_decoder_new  (const guint8 *head, gsize length, gboolean at_end, const char *encoding,
                                GPtrArray *complaints, GError **error);
/* As iconv knows it. */
const char  *tide_decoder_get_encoding (const TideDecoder *decoder);
/* Statistics chose the encoding: a letter outside ASCII may be another. */
gboolean     tide_decoder_is_guess (const TideDecoder *decoder);
void         tide_decoder_free (TideDecoder *decoder);
/* Gives the text of the next bytes, without NULs; it stays the decoder's (or is bytes itself) until the next
 * call. A sequence cut by the end of bytes waits for the next call. */
gboolean     tide_decoder_feed (TideDecoder *decoder, const guint8 *bytes, gsize length, gboolean at_end,
                                const char **text, gsize *text_length, GError **error);
/* Complains of the NULs that were passed over so far. */
void         tide_decoder_tell (const TideDecoder *decoder, GPtrArray *complaints);

/* ---- plain.c ---- */

/* What libcsv calls, so that a line is reported the same whoever split it. */
typedef struct {
  void (*field)  (void *text, gsize length, gpointer user_data);
  void (*record) (int terminator, gpointer user_data);
} TidePlainFuncs;

/* Splits the whole lines at the start of text up to one with a quote mark or a lone CR in it, and
 * gives the number of bytes taken; the rest is for libcsv. text begins with a record. */
gsize tide_plain_split (const char *text, gsize length, char delimiter, const TidePlainFuncs *report,
                        gpointer user_data);

/* ---- tokens.c ---- */

#define TIDE_MAX_FIELD_BYTES  (64 * 1024)
#define TIDE_MAX_RECORD_BYTES (1024 * 1024)
#define TIDE_MAX_COLUMNS      2000

typedef struct _TideTokens TideTokens;

/* text ends nowhere but after length. */
typedef void (*TideFieldFunc) (guint column, const char *text, gsize length, gpointer user_data);
/* terminated: a line end stood behind the record; FALSE at a file's end without one. */
typedef void (*TideRecordFunc) (guint64 row, guint n_fields, gboolean terminated, gpointer user_data);

/* wrapped: a record that is one quoted field with delimiters inside is unwrapped. first_row: the
 * number of the first record to come. Blank lines are counted but not reported. */
TideTokens *tide_tokens_new    (char delimiter, gboolean wrapped, guint64 first_row, TideFieldFunc field,
                                TideRecordFunc record, gpointer user_data);
void        tide_tokens_free   (TideTokens *tokens);
/* Errors: TIDE_READING_ERROR_TOO_LARGE, with the row. */
gboolean    tide_tokens_feed   (TideTokens *tokens, const char *text, gsize length, GError **error);
/* Whether no record is begun; row: the number of the next, or of the one begun. */
gboolean    tide_tokens_is_between (const TideTokens *tokens, guint64 *row);
/* Counts records that were read some other way, between two that are fed. */
void        tide_tokens_pass     (TideTokens *tokens, guint64 n_records);
/* The end of the file. Errors: _BROKEN when a quote that was opened is followed by line ends only. */
gboolean    tide_tokens_finish (TideTokens *tokens, GError **error);

/* Records kept as text: the head's rows, or one line. */
typedef struct {
  GString *text;
  GArray *starts; /* guint32: where each field begins in text */
  GArray *rows;   /* TideTableRow */
} TideTable;

typedef struct {
  guint64 row;
  guint first, n_fields;
} TideTableRow;

/* Tokenises text; a record without its line end is kept only if at_end. */
TideTable  *tide_table_new      (const char *text, gsize length, char delimiter, gboolean wrapped, guint64 first_row,
                                 gboolean at_end, GError **error);
void        tide_table_free     (TideTable *table);
/* "" beyond the end of a row. */
const char *tide_table_field    (const TideTable *table, guint row, guint column);
guint       tide_table_n_fields (const TideTable *table, guint row);

/* ---- header.c ---- */

/* A file's first text, sniffed but not yet read. */
typedef struct {
  const char *text;
  gsize length;
  gboolean at_end; /* it is all of the file */
  GCancellable *cancellable; /* asked between two looks at it; may be NULL */
} TideHead;

/* Where the line after the one at offset begins. */
gsize      tide_head_next_line   (const TideHead *head, gsize offset);
/* The record that begins at offset, alone: a table of one row, and the offset behind it. NULL for a
 * blank line, and beyond a bound. */
TideTable *tide_head_read_record (const TideHead *head, gsize offset, char delimiter, gboolean wrapped, guint64 row,
                                  gsize *end, GError **error);
/* Of the first row. */
gboolean   tide_table_is_mostly_numbers (const TideTable *record);

/* A row of names that names a whole table. */
typedef struct {
  TideTable *names;      /* one row; NULL: no row names the columns */
  TideTable *units;      /* one row, or NULL */
  TideMeaning *meanings; /* n */
  guint n;
  gboolean wrapped;
  guint64 row, units_row, first_row;
  gsize offset;          /* where the names begin */
  gsize data_offset;
} TideHeader;

/* Where the search stands, from 0 on, and what it met that is worth a message. */
typedef struct {
  gsize offset;
  guint64 row;                  /* the last one looked at */
  guint64 first_row;            /* where the search began: behind so many rows */
  gboolean is_below;            /* the search goes on below a table: lines that begin with a digit are its rows */
  gboolean has_above;           /* above is the offset of the row of words before */
  gsize above;
  const TideReadingRule *rule;  /* may be NULL */
  guint64 row_without_time, row_without_electric; /* above numbers, but naming too little; 0: none */
  GError *too_large;                              /* the first row beyond a bound */
  GError *misfit;                                 /* why what is stated does not fit the first row of names */
} TideSearch;

void     tide_header_clear (TideHeader *header);
void     tide_search_clear (TideSearch *search);
/* The next row that names a whole table, together with what the rule states. FALSE: there is none. */
gboolean tide_header_find  (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header);
/* The row that a rule states, from 1, whatever its names say; 0: none, the table begins with the first row of numbers.
 * Errors: _RULE. */
gboolean tide_header_take  (const TideHead *head, char delimiter, TideSearch *search, TideHeader *header, GError **error);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideHeader, tide_header_clear)
G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideSearch, tide_search_clear)

/* ---- encoding.c ---- */

/* Nothing beyond ASCII but what WINDOWS-1252 writes into units and numbers. */
gboolean tide_has_only_unit_signs (const guint8 *head, gsize length);
/* The likeliest encoding of bytes that are no UTF-8, by iconv's name. Transfer full; never NULL. */
char    *tide_guess_encoding      (const guint8 *head, gsize length);

/* ---- decimal.c ---- */

/* The marks of the fields of the columns whose meaning is known, into understanding, whose names are there. What can be read
 * in two ways becomes a question. */
void tide_sniff_marks (TideUnderstanding *understanding, const TideTable *table, const TideMeaning *meanings,
                       guint n_columns);

/* ---- the understanding ---- */

typedef enum {
  TIDE_FORM_NUMBER, /* elapsed, in a unit */
  TIDE_FORM_EPOCH,  /* a number counted from 1970 */
  TIDE_FORM_CLOCK,  /* 12:34:56 */
  TIDE_FORM_DATE,   /* a date, with a clock where it is the time */
  TIDE_FORM_SERIAL, /* days as a spreadsheet counts them */
  TIDE_FORM_STATED, /* by a pattern that a rule states */
  TIDE_FORM_COUNT,  /* no column: rows follow each other at a stated interval */
} TideTimeForm;

/* How one column of points in time is read. */
typedef struct {
  int index;             /* -1: there is none, or COUNT */
  TideTimeForm form;
  TideUnit unit;         /* NUMBER, EPOCH */
  const TidePattern *pattern; /* STATED; the understanding's */
  double every_s;        /* COUNT */
  TideDateOrder order;   /* DATE */
  gboolean minutes_first; /* CLOCK */
  gboolean daytime;      /* CLOCK: may be a time of day, so that it can pass midnight */
  gboolean unit_named;   /* NUMBER, EPOCH: the file or a rule says the unit */
  char group_mark;       /* NUMBER, EPOCH, SERIAL: between thousands; 0: none */
  gboolean in_cells;     /* NUMBER: cells bear units of their own; unit is that of those which do not */
} TideTimeUse;

typedef struct {
  int index; /* -1: the export has none */
  TideUnit unit;
  gboolean unit_named; /* the file or a rule says it */
  gboolean in_cells;   /* cells bear units of their own; unit is that of those which do not */
  gboolean only_in_cells; /* those which do not are no values: nothing tells their unit */
} TideColumnUse;

/* Runs that a table holds side by side share its time: a two-port meter's, the supply's side and the device's. */
#define TIDE_MAX_LANES 8

typedef struct {
  char *label;                              /* "Port A"; NULL where there is one lane */
  TideColumnUse columns[TIDE_N_QUANTITIES]; /* TIME is void: see the understanding's time */
} TideLane;

/* What was understood of a table from the head of its file. */
struct _TideUnderstanding {
  gatomicrefcount ref_count;
  char delimiter;
  char decimal_mark;
  char group_mark;               /* between thousands; 0: none */
  gboolean wrapped;
  guint64 header_row, units_row; /* as a spreadsheet counts; units_row 0: none */
  gsize data_offset;             /* where in the text the records below the names begin */
  guint64 first_row;             /* the number of the first of them */
  GPtrArray *names;              /* char *, as the file has them */
  TideLane lanes[TIDE_MAX_LANES];
  guint n_lanes;                 /* at least 1 */
  TideTimeUse time;
  TideTimeUse date;              /* the date that time, a clock, belongs to: together they are points in time */
  TideTimeUse clock;             /* where the wall clock of the first sample stands */
  TidePattern *pattern;          /* what a rule states of the time; NULL: nothing */
  double noted_every_s;          /* from row to row, as the lines above the names tell; 0: they do not */
  guint64 noted_row;             /* where */
  GPtrArray *complaints;         /* TideComplaint */
  guint n_remarks;               /* of them, those that tell a fact; all others tell a guess */
  GPtrArray *questions;          /* TideQuestion; by the first answer of each the rest was understood */
  TideReadingRule *rule;         /* what is stated, its own copy; NULL: nothing. See rule-private.h */
  char *member, *encoding;       /* of the file; NULL: not said */
  char *signature;               /* NULL: of no use */
  TideTable *samples;            /* the first rows, cut to a bound; NULL: not yet */
};

/* Keeps a copy of rule, which may be NULL. */
TideUnderstanding *tide_understanding_new    (const TideReadingRule *rule);
/* Makes the signature, once the names are there. */
void               tide_understanding_sign   (TideUnderstanding *understanding);
/* Takes a complaint that tells a fact; one of a guess is added to complaints as it is, and the understanding is not sure. */
void               tide_understanding_remark (TideUnderstanding *understanding, TideComplaint *complaint);
/* Keeps the first rows of table, whose comments are left out. */
void               tide_understanding_keep_samples (TideUnderstanding *understanding, const TideTable *table);

/* ---- question.c ---- */

/* A question of one line, with no answers yet. column may be NULL, row 0. */
TideQuestion *tide_question_new        (gboolean is_open, guint64 row, const char *column, const char *format, ...)
                                        G_GNUC_PRINTF (4, 5);
/* The likelier answer first. key, text as tide_reading_rule_set() takes them. */
void          tide_question_add_answer (TideQuestion *question, const char *key, const char *text, const char *format, ...)
                                        G_GNUC_PRINTF (4, 5);
void          tide_question_free       (TideQuestion *question);
/* Takes question. */
void          tide_understanding_ask   (TideUnderstanding *understanding, TideQuestion *question);
/* FALSE and _AMBIGUOUS where an open question stands: what reading ends in. */
gboolean      tide_understanding_check_answered (const TideUnderstanding *understanding, GError **error);
/* The text of the "column" key that says what column (from 0) is: `v=3:mV`; lane from 1; unit may be NULL. */
char         *tide_column_answer       (guint column, TideQuantity quantity, guint lane, const char *unit);

/* ---- cells.c ---- */

#define TIDE_MAX_CELL_UNIT 32

/* "5.12 V": the bytes of the number and the unit behind it. FALSE: there is none. */
gboolean tide_cell_split       (const char *text, gsize length, gsize *number_length, char unit[static TIDE_MAX_CELL_UNIT]);
/* "1.5 ms": a number and a unit of time. */
gboolean tide_cell_parse_time  (const char *text, gsize length, char decimal_mark, char group_mark, TideUnit *unit,
                                double *seconds);
/* One field of a column of values, in the quantity's own unit. */
gboolean tide_column_use_parse (const TideUnderstanding *understanding, const TideColumnUse *use, TideQuantity quantity,
                                const char *text, gsize length, double *value);
/* Most filled cells of the column bear a unit of quantity: the first one's, and whether all are in it. */
gboolean tide_cells_find_unit  (const TideTable *table, guint column, TideQuantity quantity, TideUnit *unit,
                                gboolean *agree);

/* ---- dialect.c ---- */

/* The first table in a file's head. rule may be NULL. Errors: TIDE_READING_ERROR, without the file's name; an open question
 * is none. */
TideUnderstanding *tide_understand (const char *head, gsize length, gboolean at_end, const TideReadingRule *rule,
                                    GCancellable *cancellable, GError **error);

/* ---- tables.c ---- */

/* All tables of a head (GPtrArray of TideUnderstanding), or the one that rule chooses. */
GPtrArray         *tide_understand_tables (const char *head, gsize length, gboolean at_end, const TideReadingRule *rule,
                                           GCancellable *cancellable, GError **error);

/* Whether text begins with the names, in that row, of a whole table other than understanding's. */
gboolean           tide_names_another_table (const TideUnderstanding *understanding, const char *text, gsize length,
                                             guint64 row);
/* That table; its data_offset is in text. NULL: its rows cannot be read. */
TideUnderstanding *tide_understand_another  (const TideUnderstanding *understanding, const char *text, gsize length,
                                             gboolean at_end, guint64 row);

/* A row whose first field begins so is a comment, unless it can be read as data. */
gboolean tide_is_comment (const char *first_field, gsize length);

/* ---- head.c ---- */

/* A text whose first bytes are decoded and understood. */
typedef struct {
  TideDecoder *decoder; /* goes on with what follows */
  const char *text;     /* the first bytes as UTF-8; the decoder's until it is fed again */
  gsize length;
  GPtrArray *tables;    /* TideUnderstanding, at least one, in order; what there is to complain of the text stands in the first */
} TideOpening;

/* From the first piece of a text, of TIDE_HEAD_BYTES or less at_end. member and rule may be NULL. Errors: TIDE_READING_ERROR,
 * without the file's name; an open question is none. Clear opening even then. */
gboolean tide_opening_make  (TideOpening *opening, const guint8 *bytes, gsize length, gboolean at_end, const char *member,
                             const TideReadingRule *rule, GCancellable *cancellable, GError **error);
void     tide_opening_clear (TideOpening *opening);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideOpening, tide_opening_clear)

/* ---- source.c ---- */

/* A file's name for people, on one line; transfer full. */
char         *tide_source_dup_name (GFile *file);
/* Opens a file for reading; name (transfer full) is set to one for people, on one line, total to its size or 0. Errors name the
 * file. */
GInputStream *tide_source_open     (GFile *file, char **name, goffset *total, GCancellable *cancellable, GError **error);

/* ---- choose.c ---- */

/* Fills in which columns are used: time, clock, columns, complaints. meanings are those of
 * understanding's names. Gives the number of the table's rows that can be read so, in n_usable.
 * Errors: _NO_TIME, _NO_TABLE, _AMBIGUOUS. */
gboolean tide_choose_columns (TideUnderstanding *understanding, const TideMeaning *meanings, const TideTable *table,
                              guint *n_usable, GError **error);

/* Complaints about rows: see tally.c below. */
typedef struct _TideTally TideTally;

/* ---- timing.c ---- */

/* Chooses the time, the date and the clock column; a part of tide_choose_columns(). What can be read in two ways becomes
 * questions. Errors: _NO_TIME, and _RULE where the pattern stated does not fit. */
gboolean tide_choose_time (TideUnderstanding *understanding, const TideMeaning *meanings, const TideTable *table,
                           GError **error);

/* ---- interval.c ---- */

/* The seconds from row to row that the lines of text (above a table) tell, such as "Interval: 1 s" or "sample rate;10 Hz"; row is
 * the line, from 1. 0: none, or several that differ. */
double   tide_interval_find (const char *text, gsize length, guint64 *row);

/* ---- order.c ---- */

/* Dates in the order of a table's rows, to decide in which order day, month and year stand. */
typedef struct {
  guint fits; /* TideDateOrder: those in which every date can be read */
  gboolean differs; /* some date is another day in another of the orders that fitted it */
  struct {
    gboolean is_begun;
    gint64 day;       /* of the row before */
    gboolean is_calm; /* a day passed into the next, or the one after */
    gboolean is_wild; /* it stepped back, or far on */
    gboolean is_uneven; /* some step was not such a passing */
  } courses[3];
} TideOrderScan;

void          tide_order_scan_init   (TideOrderScan *scan);
/* Fields that are no date are passed over. */
void          tide_order_scan_feed   (TideOrderScan *scan, const char *text, gsize length);
/* NONE: several are left. */
TideDateOrder tide_order_scan_decide (const TideOrderScan *scan);

/* The column whose dates leave understanding with an open question that the rows beyond the head may answer; -1: there is none. */
int           tide_order_get_column  (const TideUnderstanding *understanding);
/* Takes what a scan of the whole of that column's fields says: the question goes, and a complaint tells why. FALSE: it
 * says nothing. For an understanding that nobody else has seen yet. */
gboolean      tide_order_settle      (TideUnderstanding *understanding, const TideOrderScan *scan);

/* ---- ahead.c ---- */

/* Where the last of tables (those of the text-th text, from 1, of a file) leaves such a question, reads the file on from its
 * beginning to answer it, and winds raw back to where it was. rule may be NULL. FALSE: cancelled, or raw cannot be read. */
gboolean      tide_orders_look_ahead (GInputStream *raw, const TideReadingRule *rule, guint text, GPtrArray *tables,
                                      GCancellable *cancellable, GError **error);

/* ---- course.c ---- */

/* One field of a time column: seconds, for points in time since 1970 as the clock on the wall reads. */
gboolean tide_time_use_parse (const TideTimeUse *use, char decimal_mark, const char *text, gsize length, double *seconds);
/* The same for DATE, STATED, SERIAL and CLOCK. */
gboolean tide_time_use_parse_moment (const TideTimeUse *use, char decimal_mark, const char *text, gsize length,
                                     TideMoment *moment);

/* The time of a table's rows, one after the other. All but u is course.c's own. */
typedef struct {
  const TideUnderstanding *u;
  gboolean is_dated;  /* the time is of points in time with their dates */
  gboolean has_base;
  double base;        /* EPOCH: the first number */
  gint64 base_us;     /* dated: the first moment */
  gboolean base_has_zone;
  double greatest_s;
  guint64 n_rows;     /* COUNT */
  /* the row being read */
  TideMoment moment;
  gboolean has_date;
  gint64 date_us;
  /* dated: the row before, and what is added to all */
  gboolean has_before;
  gint64 before_us, date_before_us, clock_before_us, usual_us;
  gint64 days_us, shift_us;
} TideCourse;

void     tide_course_init (TideCourse *course, const TideUnderstanding *u);
/* The fields of the time and the date column. seconds may be void until tide_course_finish_row(). */
gboolean tide_course_take_time (TideCourse *course, const char *text, gsize length, double *seconds);
gboolean tide_course_take_date (TideCourse *course, const char *text, gsize length);
/* Every row of data, whole or not. has_time: its time field was one. Gives seconds since the first row for points in time,
 * else leaves what take_time() gave. FALSE: the row has no time. What happens to the clock goes to tally. */
gboolean tide_course_finish_row (TideCourse *course, gboolean has_time, TideTally *tally, guint64 row, double *seconds);
/* Dated: the wall clock at so many seconds. */
gint64   tide_course_get_start_us (const TideCourse *course, double seconds);
/* The stamps so far can be those of a clock without a date that passes midnight. */
gboolean tide_course_is_of_day (const TideCourse *course);

/* ---- tally.c ---- */

/* Complaints about rows: the first TIDE_MAX_TOLD are kept, all are counted. */
#define TIDE_MAX_TOLD 100

struct _TideTally {
  GPtrArray *told; /* TideComplaint */
  guint64 n;
};

void tide_tally_add (TideTally *tally, guint64 row, const char *column, const char *text);
/* Appends copies in the order of rows, and one that says how many more there were. */
void tide_tally_tell (const TideTally *tally, GPtrArray *complaints);

/* ---- rows.c ---- */

/* The name of the column that is read as quantity, as the file has it; NULL where none is. */
const char *tide_understanding_get_name (const TideUnderstanding *understanding, guint lane, TideQuantity quantity);

typedef struct _TideRows TideRows;

/* Where the rows of a lane go, some at a time: takes them out of raw, whose arrays it leaves empty. An assembler is one such
 * place, a file that is followed another. */
typedef gboolean (*TideRowsFunc) (TideRawRows *raw, gpointer user_data, GError **error);

/* Reads all lanes of understanding, which is borrowed. */
TideRows *tide_rows_new     (const TideUnderstanding *understanding);
void      tide_rows_free    (TideRows *rows);
/* The rows of a lane that is not connected are counted only. */
void      tide_rows_connect (TideRows *rows, guint lane, TideRowsFunc push, gpointer user_data);
/* The callbacks of tokens; user_data is the rows. */
void      tide_rows_field_cb  (guint column, const char *text, gsize length, gpointer user_data);
void      tide_rows_record_cb (guint64 row, guint n_fields, gboolean terminated, gpointer user_data);
/* Whether there may be plain lines, which need no tokens. */
gboolean  tide_rows_reads_plain (const TideRows *rows);
/* Reads the plain lines at the start of text, which begins with a record of that number, and gives the number of bytes taken and
 * of rows read; all else is for tokens. */
gsize     tide_rows_take_plain (TideRows *rows, const char *text, gsize length, guint64 row, guint64 *n_rows);
/* Whether there is use in reading on. Errors: those of push, _TOO_LARGE. */
gboolean  tide_rows_check     (TideRows *rows, GError **error);
/* The same once the next n_bytes of text were read: bounds what is read on without a row that is of use. */
gboolean  tide_rows_check_text (TideRows *rows, gsize n_bytes, GError **error);
/* A row of words where numbers should be may name another table: if watched, all from there on is passed over until the
 * suspect is cleared. */
void      tide_rows_watch         (TideRows *rows, gboolean is_watched);
guint64   tide_rows_get_suspect   (const TideRows *rows);
void      tide_rows_clear_suspect (TideRows *rows);
/* Pushes the rows that are left. */
gboolean  tide_rows_flush     (TideRows *rows, GError **error);
/* Once all are flushed: what was skipped of one lane goes to complaints. Errors: _NO_ROWS, _BROKEN. */
gboolean  tide_rows_finish_lane (TideRows *rows, guint lane, GPtrArray *complaints, GError **error);
guint64   tide_rows_get_skipped (const TideRows *rows, guint lane);

/* ---- lines.c ---- */

typedef struct _TideLines TideLines;

/* text: the first piece of unpacker's text as decoder gave it. All are borrowed. */
TideLines *tide_lines_new  (TideUnpacker *unpacker, TideDecoder *decoder, const char *text, gsize length,
                            gboolean at_end);
void       tide_lines_free (TideLines *lines);
/* The next block of whole lines; the last line of the text may lack its end. length is 0 at the text's end. */
gboolean   tide_lines_next (TideLines *lines, const char **text, gsize *length, GError **error);
/* Puts back the last length bytes of the block before, from on; text is at least TIDE_HEAD_BYTES from there, or all there is,
 * and stays until the block after the next. */
gboolean   tide_lines_go_back (TideLines *lines, const char *from, gsize length, const char **text, gsize *text_length,
                               GError **error);
/* Passes over n bytes of what comes next; no more than were put back. */
void       tide_lines_skip (TideLines *lines, gsize n);
/* No more will be read than was. */
gboolean   tide_lines_is_at_end (const TideLines *lines);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideLines, tide_lines_free)

/* ---- runs.c ---- */

/* The recordings of one table on their way into a sink. */
typedef struct _TideRuns TideRuns;

/* next_part as for tide_assembler_new(). sink is borrowed. */
TideRuns *tide_runs_new    (TideUnderstanding *understanding, TideSink *sink, guint *next_part);
void      tide_runs_free   (TideRuns *runs);
/* Text from the understanding's data_offset on, in blocks of whole lines. taken is less than length where the table ends, at
 * the names of another. */
gboolean  tide_runs_feed   (TideRuns *runs, const char *text, gsize length, gsize *taken, GError **error);
/* The row where it ended so; 0: it goes on. */
guint64   tide_runs_get_end (const TideRuns *runs);
/* It does not end there after all; what was not taken is to be fed again. */
void      tide_runs_go_on  (TideRuns *runs);
/* complaints (TideComplaint) of the table as a whole become its first recording's. */
gboolean  tide_runs_finish (TideRuns *runs, GPtrArray *complaints, GError **error);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRuns, tide_runs_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideDecoder, tide_decoder_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideTokens, tide_tokens_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideTable, tide_table_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRows, tide_rows_free)
