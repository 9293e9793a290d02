/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the names of files say of the runs in them: a name for each run, and a port, mode, supply or cable where
 * plain words of the trade stand in the name. Proposals for a person to look at; nothing here is ever
 * applied unseen, and nothing here opens a file.
 */
#pragma once

#include "recording/conditions.h"

/* files: n base names of files that come in together, "base-port_run2.csv", as UTF-8. The words that all of them share at
 * the beginning or the end are left out of the names, unless that would leave one without a name or two with the
 * same. GPtrArray of n TideConditions, transfer full. Costs the length of all names. */
GPtrArray *tide_labels_propose (const char *const *files, guint n);
