/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-job.h. A source is an export's file, or a scenario of the demo that is simulated
 * first and then read like any export. */
#include "window/import-job.h"

#include "demo/demo.h"
#include "intake/glance.h"

/* Progress in thousandths of one source. */
#define STEPS 1000

typedef struct
{
  GFile *file;             /* to be looked at; or */
  TideGlance *glance;      /* was looked at, imported as it says; or */
  const TideDemoRun *demo; /* borrowed from the job's demo_runs */
} Source;

struct _TideImportJob
{
  char *library_path;
  GArray *sources;      /* Source */
  GPtrArray *demo_runs; /* TideDemoRun; NULL for files */
  gboolean asks_always;

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
  report->glances = g_ptr_array_new_with_free_func ((GDestroyNotify)tide_glance_unref);
  report->files = g_ptr_array_new_with_free_func (g_object_unref);
  report->is_demo = job->demo_runs != NULL;
  return report;
}

static gpointer
copy_string (gconstpointer text, gpointer unused)
{
  return g_strdup (text);
}

static gpointer
copy_glance (gconstpointer glance, gpointer unused)
{
  return tide_glance_ref ((TideGlance *)glance);
}

static gpointer
copy_object (gconstpointer object, gpointer unused)
{
  return g_object_ref ((gpointer)object);
}

TideImportReport *
tide_import_report_copy (const TideImportReport *report)
{
  TideImportReport *copy = g_memdup2 (report, sizeof *report);

  copy->added = g_array_copy (report->added);
  copy->known = g_array_copy (report->known);
  copy->failures = g_ptr_array_copy (report->failures, copy_string, NULL);
  g_ptr_array_set_free_func (copy->failures, g_free);
  copy->glances = g_ptr_array_copy (report->glances, copy_glance, NULL);
  g_ptr_array_set_free_func (copy->glances, (GDestroyNotify)tide_glance_unref);
  copy->files = g_ptr_array_copy (report->files, copy_object, NULL);
  g_ptr_array_set_free_func (copy->files, g_object_unref);
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
  g_ptr_array_unref (report->glances);
  g_ptr_array_unref (report->files);
  g_free (report);
}

/* Reading and storing */

static void
note_progress (goffset done_bytes, goffset total_bytes, gpointer user_data)
{
  TideImportJob *job = user_data;

  if (total_bytes > 0)
    g_atomic_int_set (&job->done_steps, (int)(STEPS * (double)done_bytes / (double)total_bytes));
}

static void
count_complaints (TideStore *store, gint64 id, TideImportReport *report)
{
  guint64 skipped_rows = 0;
  g_autoptr (GPtrArray) complaints = tide_store_get_complaints (store, id, &skipped_rows, NULL);

  report->skipped_rows += skipped_rows;
  report->has_complaints = report->has_complaints || (complaints != NULL && complaints->len > 0);
}

static void
note_stored (TideStore *store, GFile *file, GArray *stored, TideImportReport *report)
{
  for (guint i = 0; i < stored->len; i++)
    {
      const TideStored *run = &g_array_index (stored, TideStored, i);

      if (run->already_there)
        {
          g_array_append_val (report->known, run->id);
          continue;
        }
      g_array_append_val (report->added, run->id);
      if (file != NULL)
        g_ptr_array_add (report->files, g_object_ref (file));
      count_complaints (store, run->id, report);
    }
}

static gboolean
import_demo (TideImportJob *job,
             const TideDemoRun *demo,
             TideStore *store,
             TideImportReport *report,
             GCancellable *cancellable,
             GError **error)
{
  TideIntakeOptions options = { .read = { .progress = note_progress, .progress_data = job },
                                .stated = demo->conditions,
                                .ignore_rules = TRUE };
  g_autoptr (GBytes) bytes =
      tide_simulate (&demo->simulation, tide_conditions_get (demo->conditions, TIDE_CONDITION_NAME),
                     NULL);
  g_autoptr (GArray) stored =
      tide_intake_bytes (store, bytes, demo->file, &options, cancellable, error);

  if (stored == NULL)
    return FALSE;
  note_stored (store, NULL, stored, report);
  return TRUE;
}

/* A pipe is read once and cannot be looked at before; nor does a rule by its header apply. */
static gboolean
is_pipe (GFile *file)
{
  return g_file_query_file_type (file, G_FILE_QUERY_INFO_NONE, NULL) == G_FILE_TYPE_SPECIAL;
}

static gboolean
import_pipe (TideImportJob *job,
             GFile *file,
             TideStore *store,
             TideImportReport *report,
             GCancellable *cancellable,
             GError **error)
{
  TideIntakeOptions options = { .read = { .progress = note_progress, .progress_data = job },
                                .ignore_rules = TRUE };
  g_autoptr (GArray) stored = tide_intake_file (store, file, &options, cancellable, error);

  if (stored == NULL)
    return FALSE;
  note_stored (store, file, stored, report);
  return TRUE;
}

/* What a person can mend comes back as a glance. */
static gboolean
import_glance (TideImportJob *job,
               TideGlance *glance,
               TideStore *store,
               TideImportReport *report,
               GCancellable *cancellable,
               GError **error)
{
  TideIntakeOptions options = {
    .read = { note_progress, job, tide_glance_get_rule (glance) },
    .stated = tide_glance_get_stated (glance),
    .replace = tide_glance_get_replace (glance),
    .ignore_rules = TRUE,
  };
  g_autoptr (GError) own_error = NULL;
  g_autoptr (GArray) stored =
      tide_intake_file (store, tide_glance_get_file (glance), &options, cancellable, &own_error);

  if (stored != NULL)
    {
      note_stored (store, tide_glance_get_file (glance), stored, report);
      return TRUE;
    }
  if (tide_glance_can_mend (own_error))
    {
      g_ptr_array_add (report->glances, tide_glance_refused (glance, g_steal_pointer (&own_error)));
      return TRUE;
    }
  g_propagate_error (error, g_steal_pointer (&own_error));
  return FALSE;
}

static gboolean
import_source (TideImportJob *job,
               const Source *source,
               TideStore *store,
               TideImportReport *report,
               GCancellable *cancellable,
               GError **error)
{
  g_autoptr (TideGlance) glance = NULL;

  if (source->demo != NULL)
    return import_demo (job, source->demo, store, report, cancellable, error);
  if (source->glance != NULL)
    return import_glance (job, source->glance, store, report, cancellable, error);
  if (is_pipe (source->file))
    return import_pipe (job, source->file, store, report, cancellable, error);
  glance = tide_glance_take (store, source->file, NULL, cancellable, error);
  if (glance == NULL)
    return FALSE;
  if (!job->asks_always && tide_glance_is_sure (glance))
    return import_glance (job, glance, store, report, cancellable, error);
  g_ptr_array_add (report->glances, g_steal_pointer (&glance));
  return TRUE;
}

/* Public */

static TideImportJob *
new_job (const char *library_path)
{
  TideImportJob *job = g_new0 (TideImportJob, 1);

  job->library_path = g_strdup (library_path);
  job->sources = g_array_new (FALSE, TRUE, sizeof (Source));
  return job;
}

TideImportJob *
tide_import_job_new_files (const char *library_path,
                           GFile *const *files,
                           guint n_files,
                           gboolean asks_always)
{
  TideImportJob *job = new_job (library_path);

  job->asks_always = asks_always;
  for (guint i = 0; i < n_files; i++)
    {
      Source source = { .file = g_object_ref (files[i]) };

      g_array_append_val (job->sources, source);
    }
  return job;
}

TideImportJob *
tide_import_job_new_glances (const char *library_path, GPtrArray *glances)
{
  TideImportJob *job = new_job (library_path);

  for (guint i = 0; i < glances->len; i++)
    {
      Source source = { .glance = tide_glance_ref (glances->pdata[i]) };

      g_array_append_val (job->sources, source);
    }
  return job;
}

TideImportJob *
tide_import_job_new_demo (const char *library_path)
{
  TideImportJob *job = new_job (library_path);

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
    {
      Source *source = &g_array_index (job->sources, Source, i);

      g_clear_object (&source->file);
      g_clear_pointer (&source->glance, tide_glance_unref);
    }
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
  if (source->glance != NULL)
    return g_strdup (tide_glance_get_name (source->glance));
  g_autofree char *name = g_file_get_basename (source->file);
  return name != NULL ? g_filename_display_name (name) : g_strdup ("");
}
