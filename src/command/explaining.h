/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What was understood of an export, for people and for programs: tide import --explain.
 */
#pragma once

#include <json-glib/json-glib.h>

#include "reading/understanding.h"

/* One file: its tables (TideUnderstanding), by which remembered rule (NULL: none). */
typedef struct {
  const char *file;
  const char *rule_name;
  GPtrArray *tables;
} TideExplained;

/* A block of lines for each table, to stdout. */
void tide_explained_print (const TideExplained *explained);
/* One object, as an element of an array. */
void tide_json_explained  (JsonBuilder *builder, const TideExplained *explained);
