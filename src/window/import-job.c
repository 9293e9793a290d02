/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-job.h. A source is an export's file, or a scenario of the demo that is simulated
 * first and then read like any export. */
#include "window/import-job.h"

#include "demo/demo.h"
#include "intake/intake.h"
#include "library/store.h"

/* Progress in thousandths of one source. */
#define STEPS 1000

typedef struct
{
  GFile *file;             /* or */
  const TideDemoRun *demo; /* borrowed from the job's demo_runs */
} Source;

struct _TideImportJob
{
  char *library_path;
  GArray *sources;      /* Source */
  GPtrArray *demo_runs; /* TideDemoRun; NULL for files */

  /* written by the worker, read by anybody */
  int done_sources; /* atomic */
  int done_steps;   /* atomic, of the present source */
};

/* The report */

G_DEFINE_BOXED_TYPE (TideImportReport,
                     tide_import_report,
                     tide_import_report_copy,
                     tide_import_report_free)

static TideImportReport *
new_report (const TideImportJob *job)
{
  TideImportReport *report = g_new0 (TideImportReport, 1);

  report->added = g_array_new (FALSE, FALSE, sizeof (gint64));
  report->known = g_array_new (FALSE, FALSE, sizeof (gint64));
  report->failures = g_ptr_array_new_with_free_func (g_free);
  report->is_demo = job->demo_runs != NULL;
  return report;
}

TideImportReport *
tide_import_report_copy (const TideImportReport *report)
{
  TideImportReport *copy = g_memdup2 (report, sizeof *report);

  copy->added = g_array_copy (report->added);
  copy->known = g_array_copy (report->known);
  copy->failures = g_ptr_array_copy (report->failures, (GCopyFunc)(void (*) (void))g_strdup, NULL);
  g_ptr_array_set_free_func (copy->failures, g_free);
  return copy;
}

void
tide_import_report_free (TideImportReport *report)
{
  if (report == NULL)
    return;
  g_array_unref (report->added);
  g_array_unref (report->known);
  g_ptr_array_unref (report->failures);
  g_free (report);
}

/* Reading */

static void
note_progress (goffset done_bytes, goffset total_bytes, gpointer user_data)
{
  TideImportJob *job = user_data;

  if (total_bytes > 0)
    g_atomic_int_set (&job->done_steps, (int)(STEPS * (double)done_bytes / (double)total_bytes));
}

static GArray *
take_source (TideImportJob *job,
             const Source *source,
             TideStore *store,
             GCancellable *cancellable,
             GError **error)
{
  TideIntakeOptions options = { .read = { .progress = note_progress, .progress_data = job } };

  if (source->file != NULL)
    return tide_intake_file (store, source->file, &options, cancellable, error);

  const TideDemoRun *demo = source->demo;
  g_autoptr (GBytes) bytes =
      tide_simulate (&demo->simulation, tide_conditions_get (demo->conditions, TIDE_CONDITION_NAME),
                     NULL);
  options.stated = demo->conditions;
  return tide_intake_bytes (store, bytes, demo->file, &options, cancellable, error);
}

static gboolean
import_source (TideImportJob *job,
               const Source *source,
               TideStore *store,
               TideImportReport *report,
               GCancellable *cancellable,
               GError **error)
{
  g_autoptr (GArray) stored = take_source (job, source, store, cancellable, error);

  for (guint i = 0; stored != NULL && i < stored->len; i++)
    {
      const TideStored *one = &g_array_index (stored, TideStored, i);
      guint64 skipped_rows = 0;
      g_autoptr (GPtrArray) complaints =
          tide_store_get_complaints (store, one->id, &skipped_rows, error);

      if (complaints == NULL)
        return FALSE;
      g_array_append_val (one->already_there ? report->known : report->added, one->id);
      report->skipped_rows += one->already_there ? 0 : skipped_rows;
    }
  return stored != NULL;
}

/* Public */

TideImportJob *
tide_import_job_new_files (const char *library_path, GFile *const *files, guint n_files)
{
  TideImportJob *job = g_new0 (TideImportJob, 1);

  job->library_path = g_strdup (library_path);
  job->sources = g_array_new (FALSE, TRUE, sizeof (Source));
  for (guint i = 0; i < n_files; i++)
    {
      Source source = { .file = g_object_ref (files[i]) };

      g_array_append_val (job->sources, source);
    }
  return job;
}

TideImportJob *
tide_import_job_new_demo (const char *library_path)
{
  TideImportJob *job = g_new0 (TideImportJob, 1);

  job->library_path = g_strdup (library_path);
  job->sources = g_array_new (FALSE, TRUE, sizeof (Source));
  job->demo_runs = tide_demo_runs ();
  for (guint i = 0; i < job->demo_runs->len; i++)
    {
      Source source = { .demo = job->demo_runs->pdata[i] };

      g_array_append_val (job->sources, source);
    }
  return job;
}

void
tide_import_job_free (TideImportJob *job)
{
  for (guint i = 0; i < job->sources->len; i++)
    g_clear_object (&g_array_index (job->sources, Source, i).file);
  g_array_unref (job->sources);
  g_clear_pointer (&job->demo_runs, g_ptr_array_unref);
  g_free (job->library_path);
  g_free (job);
}

TideImportReport *
tide_import_job_run (TideImportJob *job, GCancellable *cancellable)
{
  g_autoptr (TideImportReport) report = new_report (job);
  g_autoptr (GError) open_error = NULL;
  g_autoptr (TideStore) store = tide_store_open (job->library_path, &open_error);

  if (store == NULL)
    g_ptr_array_add (report->failures, g_strdup (open_error->message));
  for (guint i = 0; store != NULL && i < job->sources->len; i++)
    {
      g_autoptr (GError) error = NULL;

      g_atomic_int_set (&job->done_steps, 0);
      g_atomic_int_set (&job->done_sources, (int)i);
      if (g_cancellable_is_cancelled (cancellable))
        {
          report->cancelled = TRUE;
          break;
        }
      if (import_source (job, &g_array_index (job->sources, Source, i), store, report, cancellable,
                         &error))
        continue;
      if (g_error_matches (error, G_IO_ERROR, G_IO_ERROR_CANCELLED))
        report->cancelled = TRUE;
      else
        g_ptr_array_add (report->failures, g_strdup (error->message));
    }
  return g_steal_pointer (&report);
}

double
tide_import_job_get_fraction (TideImportJob *job)
{
  double done =
      g_atomic_int_get (&job->done_sources) + g_atomic_int_get (&job->done_steps) / (double)STEPS;

  return job->sources->len > 0 ? MIN (done / job->sources->len, 1) : 1;
}

char *
tide_import_job_dup_name (TideImportJob *job)
{
  guint index = (guint)g_atomic_int_get (&job->done_sources);
  const Source *source;

  if (index >= job->sources->len)
    return g_strdup ("");
  source = &g_array_index (job->sources, Source, index);
  if (source->demo != NULL)
    return g_strdup (source->demo->file);
  g_autofree char *name = g_file_get_basename (source->file);
  return name != NULL ? g_filename_display_name (name) : g_strdup ("");
}
