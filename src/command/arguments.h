/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What all verbs share of a command line: the switches they have in common, --help, and the two
 * ways to end that are not success.
 *
 * Words and option values are bytes as the shell gave them (a file's name need not be text);
 * what must be text is checked here. Numbers have a decimal point in every locale.
 */
#pragma once

#include "analysis/compare.h"
#include "recording/conditions.h"

typedef enum {
  TIDE_EXIT_DONE = 0,
  TIDE_EXIT_FAILED = 1,    /* the work failed */
  TIDE_EXIT_WRONG_USE = 2,
  TIDE_GO_ON = -1,         /* nothing to end for */
} TideExit;

/* What a verb takes. The strings are translated already. */
typedef struct {
  const char *verb;
  const char *word;        /* what a word is: "FILE"; NULL: takes none */
  const char *words;       /* the same as the usage line shows it: "FILE…" */
  const char *about;       /* what the verb does, above the options */
  const char *more;        /* what else is to be known, below them; may be NULL */
  gboolean has_json;       /* takes --json */
  gboolean has_conditions; /* takes --name, --device ... */
  gboolean may_be_bare;    /* words may be left out */
  GOptionGroup *group;     /* more options, under a head of their own; may be NULL. Taken by parsing */
} TideUsage;

/* What was given. Starts as all zeros; cleared with tide_arguments_clear(). */
typedef struct {
  char *library;           /* path of the library file: the given or the default one */
  gboolean json;
  TideConditions *conditions; /* as far as stated; NULL unless has_conditions */
  char **words;            /* never NULL after parsing */
  guint n_words;
  char *condition_texts[TIDE_N_CONDITIONS]; /* as given; NULL: not stated */
} TideArguments;

/* Parses; own is the verb's own table of options (may be NULL), filled as GOption does. TIDE_GO_ON: all well; else the
 * exit status: help was printed, or one line says what is wrong. */
TideExit tide_arguments_parse (TideArguments *self, const TideUsage *usage, const GOptionEntry *own, int argc,
                               char **argv);
void     tide_arguments_clear (TideArguments *self);

/* A number as a person types it: digits, a point, an exponent; within low .. high. */
gboolean tide_parse_number (const char *text, double low, double high, double *value);
/* "1920x1080"; FALSE when it is not of that form. */
gboolean tide_parse_size   (const char *text, int *width, int *height);

/* The index in ids (NULL-terminated) of what was given to an option. TIDE_GO_ON, leaving *index alone when given is
 * NULL, or TIDE_EXIT_WRONG_USE after a line that lists the choices. */
TideExit tide_choose (const char *verb, const char *option, const char *given, const char *const *ids, guint *index);

/* The value of --align. */
TideExit tide_choose_alignment (const char *verb, const char *given, TideAlignment *alignment);

/* Each prints one line to stderr and gives the status to end with. */
TideExit tide_wrong_use   (const char *verb, const char *format, ...) G_GNUC_PRINTF (2, 3);
TideExit tide_work_failed (const GError *error);
/* A line on stderr that ends nothing. */
void     tide_remark      (const char *format, ...) G_GNUC_PRINTF (1, 2);

G_DEFINE_AUTO_CLEANUP_CLEAR_FUNC (TideArguments, tide_arguments_clear)
