/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The numbered steps by which a library file comes to its present shape. */
#pragma once

#include "library/store-private.h"

/* "Tide" in ASCII: the mark in the file's head by which a library is known. */
#define TIDE_SCHEMA_APPLICATION_ID 0x54696465

/* SQL of each step, in order; step i leads from schema number i to i + 1. */
extern const char *const tide_schema_steps[];
extern const guint tide_schema_n_steps;

/* Checks that the file is a library, or still empty; changes nothing. */
gboolean tide_schema_check   (TideStore *store, guint n_steps, GError **error);
/* Runs the steps that are due, each in a transaction of its own. */
gboolean tide_schema_upgrade (TideStore *store, const char *const *steps, guint n_steps, GError **error);
