/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the tests of reading share: reading from text, and the checks that every result must pass. */
#pragma once

#include "reading/reading.h"

/* Reads length bytes of text (-1: up to its NUL) as the file "log.csv". */
GPtrArray *read_text  (const char *text, gssize length, GError **error);
/* The same through a file on disk, which is removed again. */
GPtrArray *read_via_file (const char *text, gssize length, GError **error);
/* Reads text that must give one recording. Transfer full. */
TideRecording *read_one (const char *text);
/* Reads text that must fail with that code and a message that names the file, is one line, and
 * contains words. */
void assert_refused_bytes (const char *text, gssize length, TideReadingError code, const char *words);
void assert_refused       (const char *text, TideReadingError code, const char *words);
/* Some complaint of the recording, as text, contains words. */
gboolean has_complaint (TideRecording *recording, const char *words);
double   get_value     (TideRecording *recording, TideQuantity quantity, gsize index);
/* Both have the same columns, bit for bit. */
void assert_same_columns (TideRecording *a, TideRecording *b);
