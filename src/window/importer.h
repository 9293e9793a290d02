/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Brings exports into a library file in a worker thread: read and store, one file after the
 * other, with a store connection of its own. The main thread only reads counters.
 *
 * What is asked for while an import runs waits for its turn. Cancelling stops between two files or
 * inside one; a run that is stored stays stored, and of a run that is not nothing is left behind.
 * While it works the importer holds the application, so that closing the last window lets the
 * worker leave its file before the program ends.
 */
#pragma once

#include <gio/gio.h>

/* What one import came to. A value type. */
typedef struct {
  GArray *added;         /* gint64, numbers of the runs that are new */
  GArray *known;         /* gint64, numbers of runs that were there already */
  GPtrArray *failures;   /* one line each: file and reason */
  GPtrArray *glances;    /* TideGlance: files that a person has to be asked about */
  GPtrArray *files;      /* GFile: where each of added came from; empty for the demo */
  guint64 skipped_rows;  /* rows of the added runs that could not be used */
  gboolean has_complaints; /* an added run has something worth knowing */
  gboolean cancelled;
  gboolean is_demo;      /* the runs are the demo's */
} TideImportReport;

#define TIDE_TYPE_IMPORT_REPORT (tide_import_report_get_type ())
GType             tide_import_report_get_type (void);
TideImportReport *tide_import_report_copy     (const TideImportReport *report);
void              tide_import_report_free     (TideImportReport *report);

#define TIDE_TYPE_IMPORTER (tide_importer_get_type ())
G_DECLARE_FINAL_TYPE (TideImporter, tide_importer, TIDE, IMPORTER, GObject)

/* Properties, read-only, notified on the main thread at most ten times a second: "busy" (boolean),
 * "fraction" (double, 0..1), "status" (string, what is being read). Signal "finished"
 * (TideImportReport *) once for each import that began. */
TideImporter *tide_importer_new         (const char *library_path);
/* The files are borrowed. asks_always: none is imported before a person saw how it reads. */
void          tide_importer_add_files   (TideImporter *self, GFile *const *files, guint n_files, gboolean asks_always);
/* TideGlance that a person has agreed to: imported as they say. */
void          tide_importer_add_glances (TideImporter *self, GPtrArray *glances);
/* The simulated runs of the demo. */
void          tide_importer_add_demo    (TideImporter *self);
gboolean      tide_importer_is_busy     (TideImporter *self);
/* Stops the import that runs and forgets those that wait. */
void          tide_importer_cancel      (TideImporter *self);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideImportReport, tide_import_report_free)
