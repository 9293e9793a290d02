/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the files about the row of names share: what it says (names.c), the search for it (header.c), the one that is stated
 * (header-stated.c), and the table below it (tables.c). */
#pragma once

#include "reading/reading-private.h"

/* With either decimal mark, which is not known yet. */
gboolean   tide_may_be_number     (const char *text);
/* At least two units, or nothing but one; and nothing that is data. */
gboolean   tide_is_units_row      (const TideTable *record, guint n_names);
/* The record at offset as names; a line quoted as a whole is tried as what is inside it, and said so in wrapped. */
TideTable *tide_header_read_names (const TideHead *head, gsize offset, char delimiter, TideSearch *search, gsize *end,
                                   gboolean *wrapped);
/* The search stands behind the row of names, which begins at offset. Takes names; header->wrapped is known. */
void       tide_header_begin      (const TideHead *head, char delimiter, TideTable *names, gsize offset,
                                   const TideSearch *search, TideHeader *header);
/* Puts what rule says of columns into the header's meanings. Errors: _RULE. */
gboolean   tide_header_state      (TideHeader *header, const TideReadingRule *rule, GError **error);

/* The understanding of the table below header, up to the next; the number of rows that can be read so. Errors:
 * TIDE_READING_ERROR. */
TideUnderstanding *tide_understand_header (const TideHead *head, char delimiter, const TideHeader *header,
                                           const TideReadingRule *rule, guint *n_usable, GError **error);
