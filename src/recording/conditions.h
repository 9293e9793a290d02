/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Under which conditions a run was logged: text fields that the person fills in, one table of
 * them for the form in the window, the switches of the command line, the columns of the library
 * and the keys of JSON.
 */
#pragma once

#include <glib-object.h>

typedef enum {
  TIDE_CONDITION_NAME,    /* short name of the run, shown at its curve: "Base port" */
  TIDE_CONDITION_DEVICE,
  TIDE_CONDITION_PORT,
  TIDE_CONDITION_MODE,    /* docked, handheld, in use ... */
  TIDE_CONDITION_SUPPLY,
  TIDE_CONDITION_CABLE,
  TIDE_CONDITION_METER,
  TIDE_CONDITION_AMBIENT, /* degrees Celsius, a number as text */
  TIDE_CONDITION_DATE,    /* ISO 8601 date or date-time */
  TIDE_CONDITION_NOTES,   /* may hold several lines */
  TIDE_N_CONDITIONS
} TideCondition;

/* A value type: each field is never NULL, "" where nothing is stated. */
typedef struct {
  char *text[TIDE_N_CONDITIONS];
} TideConditions;

#define TIDE_TYPE_CONDITIONS (tide_conditions_get_type ())
GType tide_conditions_get_type (void);

TideConditions *tide_conditions_new   (void);
TideConditions *tide_conditions_copy  (const TideConditions *conditions);
void            tide_conditions_free  (TideConditions *conditions);
gboolean        tide_conditions_equal (const TideConditions *a, const TideConditions *b);

const char *tide_conditions_get (const TideConditions *conditions, TideCondition field);
/* Stores a stripped copy (ambient with a decimal point); NULL counts as "". Says whether the field changed. Checks nothing:
 * what comes from a person goes through tide_condition_check() first. */
gboolean    tide_conditions_set (TideConditions *conditions, TideCondition field, const char *text);

/* Untranslated key: "supply"; also the long option and the SQL column. Static. */
const char *tide_condition_get_id    (TideCondition field);
/* Translated label: "Supply". Static. */
const char *tide_condition_get_label (TideCondition field);
/* Whether text may stand in the field: ambient is a number from -60 to 120 (point or comma), date ISO 8601,
 * all but the notes one line, none longer than 10000 bytes. "" always may. The error is one line that begins with the label. */
gboolean    tide_condition_check     (TideCondition field, const char *text, GError **error);

/* Port, mode, supply, cable, ambient and meter that are stated, joined by " · ", as one line of
 * quiet text. Transfer full; "" when none is stated. */
char *tide_conditions_to_line (const TideConditions *conditions);

typedef enum {
  TIDE_CONDITION_ERROR_VALUE, /* the text may not stand in the field */
} TideConditionError;

#define TIDE_CONDITION_ERROR (tide_condition_error_quark ())
GQuark tide_condition_error_quark (void);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideConditions, tide_conditions_free)
