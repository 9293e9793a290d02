/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which of the texts in a file are to be read. */
#pragma once

#include "unpack/archive-private.h"

/* The archive's files that are to be read as texts: TideMember, borrowed (transfer container). Their names for people
 * are added to names: the file's own where it tells it from all others, else its path. */
GPtrArray *tide_files_list   (TideArchive *archive, GPtrArray *names);
/* Which of names (char *; one NULL for a file that is one text) wanted says: a number from 1 or a name. Errors:
 * TIDE_UNPACK_ERROR_NO_SHEET, with the names. */
gboolean   tide_texts_choose (GPtrArray *names, const char *wanted, guint *index, GError **error);
