/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What a run is called that nobody gave a name. */
#pragma once

#include <glib.h>

/* The base name of file (bytes, may be NULL) without its ending, and label behind it where there is one: "Night – Port A".
 * Valid UTF-8, never empty. Transfer full. */
char *tide_run_name_make   (const char *file, const char *label);
/* A name with label behind it; the name alone where label is NULL. Transfer full. */
char *tide_run_name_extend (const char *name, const char *label);
