/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One import as the worker thread does it: a list of sources, read and stored one after the
 * other. Blocking, knows no main loop; the counters may be read from any thread meanwhile.
 *
 * A file is looked at first. What is fully understood is imported at once; what is not comes back in the report, to be
 * shown to a person, who asks for it again with what was found out.
 */
#pragma once

#include "window/importer.h"

typedef struct _TideImportJob TideImportJob;

/* asks_always: nothing is imported before a person saw it. */
TideImportJob *tide_import_job_new_files   (const char *library_path, GFile *const *files, guint n_files,
                                            gboolean asks_always);
/* TideGlance, as requests. */
TideImportJob *tide_import_job_new_glances (const char *library_path, GPtrArray *glances);
TideImportJob *tide_import_job_new_demo    (const char *library_path);
void           tide_import_job_free        (TideImportJob *job);

/* Blocking. Never fails as a whole: what went wrong stands in the report. Transfer full. */
TideImportReport *tide_import_job_run (TideImportJob *job, GCancellable *cancellable);

/* From any thread: 0..1 of the whole, and the name of what is being read. Transfer full. */
double tide_import_job_get_fraction (TideImportJob *job);
char  *tide_import_job_dup_name     (TideImportJob *job);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideImportJob, tide_import_job_free)
