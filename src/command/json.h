/* SPDX-License-Identifier: GPL-3.0-or-later */
/* JSON as the programs around us get it, schema 1: keys never change their meaning, more may be
 * added. Numbers that do not exist are null; no text is ever invalid UTF-8; a number's text reads back as the same double.
 */
#pragma once

#include <json-glib/json-glib.h>

#include "analysis/compare.h"
#include "command/sources.h"

/* An open object that has its "schema". Transfer full. */
JsonBuilder *tide_json_begin (void);
/* Closes it and prints it to stdout. */
void         tide_json_print (JsonBuilder *builder);
/* The same on one line, for a stream of objects. */
void         tide_json_print_line (JsonBuilder *builder);

/* Members. */
void tide_json_text       (JsonBuilder *builder, const char *key, const char *text); /* NULL: null */
void tide_json_count      (JsonBuilder *builder, const char *key, guint64 count);
void tide_json_boolean    (JsonBuilder *builder, const char *key, gboolean value);
void tide_json_id         (JsonBuilder *builder, const char *key, gint64 id);        /* 0: null */
void tide_json_number     (JsonBuilder *builder, const char *key, double value);     /* NaN, inf: null */
void tide_json_figure     (JsonBuilder *builder, const char *key, TideFigure figure);
void tide_json_conditions (JsonBuilder *builder, const char *key, const TideConditions *conditions);
void tide_json_complaints (JsonBuilder *builder, const char *key, GPtrArray *complaints);

/* Whole objects, as elements of an array. */
void tide_json_measured   (JsonBuilder *builder, const TideSource *source, const TideMeasurement *measurement);
/* An object as member. */
void tide_json_finding    (JsonBuilder *builder, const char *key, const TideFinding *finding);
/* NULL: every number null. shift_s is taken off the time of the largest difference. */
void tide_json_curve      (JsonBuilder *builder, const char *key, const TideDifference *difference, double shift_s);
