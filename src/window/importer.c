/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See importer.h. Progress is polled: the worker counts, a timer on the main thread looks. */
#include "window/importer.h"

#include <glib/gi18n-lib.h>

#include "window/import-job.h"

/* Ten looks a second at most. */
#define POLL_MS 100

struct _TideImporter
{
  GObject parent;

  /* owned */
  char *library_path;
  GQueue waiting;            /* TideImportJob */
  GCancellable *cancellable; /* of the running one; NULL: none runs */
  char *status;

  TideImportJob *running; /* borrowed: its task owns it */
  guint poll;
  double fraction;
};

G_DEFINE_FINAL_TYPE (TideImporter, tide_importer, G_TYPE_OBJECT)

enum
{
  PROP_0,
  PROP_BUSY,
  PROP_FRACTION,
  PROP_STATUS,
  N_PROPS
};
static GParamSpec *properties[N_PROPS];
static guint finished_signal;

static void start_next (TideImporter *self);

/* Helpers */

static void
set_progress (TideImporter *self, double fraction, char *status)
{
  if (self->fraction != fraction)
    {
      self->fraction = fraction;
      g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_FRACTION]);
    }
  if (g_strcmp0 (self->status, status) != 0)
    {
      g_free (self->status);
      self->status = g_strdup (status);
      g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_STATUS]);
    }
  g_free (status);
}

static char *
describe_job (TideImportJob *job)
{
  g_autofree char *name = tide_import_job_dup_name (job);

  /* Translators: %s is the name of a file */
  return g_strdup_printf (_ ("Reading %s"), name);
}

static void
hold_application (gboolean hold)
{
  GApplication *application = g_application_get_default ();

  if (application == NULL)
    return;
  if (hold)
    g_application_hold (application);
  else
    g_application_release (application);
}

/* Callbacks */

static gboolean
poll_cb (gpointer user_data)
{
  TideImporter *self = user_data;

  set_progress (self, tide_import_job_get_fraction (self->running), describe_job (self->running));
  return G_SOURCE_CONTINUE;
}

static void
run_in_thread (GTask *task, gpointer source, gpointer job, GCancellable *cancellable)
{
  g_task_return_pointer (task, tide_import_job_run (job, cancellable),
                         (GDestroyNotify)tide_import_report_free);
}

static void
finished_cb (GObject *source, GAsyncResult *result, gpointer user_data)
{
  TideImporter *self = TIDE_IMPORTER (source);
  g_autoptr (TideImportReport) report = g_task_propagate_pointer (G_TASK (result), NULL);

  g_clear_handle_id (&self->poll, g_source_remove);
  g_clear_object (&self->cancellable);
  self->running = NULL;
  hold_application (FALSE);
  g_signal_emit (self, finished_signal, 0, report);
  start_next (self);
  if (self->running == NULL)
    g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
}

static void
start_next (TideImporter *self)
{
  TideImportJob *job;

  if (self->running != NULL)
    return;
  job = g_queue_pop_head (&self->waiting);
  if (job == NULL)
    return;
  self->running = job;
  self->cancellable = g_cancellable_new ();
  set_progress (self, 0, describe_job (job));
  self->poll = g_timeout_add (POLL_MS, poll_cb, self);
  hold_application (TRUE);

  g_autoptr (GTask) task = g_task_new (self, self->cancellable, finished_cb, NULL);
  /* A cancelled import still has a report: what was stored before. */
  g_task_set_check_cancellable (task, FALSE);
  g_task_set_task_data (task, job, (GDestroyNotify)tide_import_job_free);
  g_task_run_in_thread (task, run_in_thread);
}

static void
add_job (TideImporter *self, TideImportJob *job)
{
  gboolean was_busy = tide_importer_is_busy (self);

  g_queue_push_tail (&self->waiting, job);
  start_next (self);
  if (!was_busy)
    g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_BUSY]);
}

/* Overrides */

static void
tide_importer_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  TideImporter *self = TIDE_IMPORTER (object);

  switch (id)
    {
    case PROP_BUSY:
      g_value_set_boolean (value, tide_importer_is_busy (self));
      break;
    case PROP_FRACTION:
      g_value_set_double (value, self->fraction);
      break;
    case PROP_STATUS:
      g_value_set_string (value, self->status);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

/* While a job runs its task holds the importer, so that none is running here. */
static void
tide_importer_finalize (GObject *object)
{
  TideImporter *self = TIDE_IMPORTER (object);

  g_queue_clear_full (&self->waiting, (GDestroyNotify)tide_import_job_free);
  g_free (self->library_path);
  g_free (self->status);
  G_OBJECT_CLASS (tide_importer_parent_class)->finalize (object);
}

static void
tide_importer_class_init (TideImporterClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GParamFlags flags = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS | G_PARAM_EXPLICIT_NOTIFY;

  object_class->get_property = tide_importer_get_property;
  object_class->finalize = tide_importer_finalize;
  properties[PROP_BUSY] = g_param_spec_boolean ("busy", NULL, NULL, FALSE, flags);
  properties[PROP_FRACTION] = g_param_spec_double ("fraction", NULL, NULL, 0, 1, 0, flags);
  properties[PROP_STATUS] = g_param_spec_string ("status", NULL, NULL, NULL, flags);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  finished_signal = g_signal_new ("finished", TIDE_TYPE_IMPORTER, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                  NULL, G_TYPE_NONE, 1, TIDE_TYPE_IMPORT_REPORT);
}

static void
tide_importer_init (TideImporter *self)
{
  g_queue_init (&self->waiting);
}

/* Public */

TideImporter *
tide_importer_new (const char *library_path)
{
  TideImporter *self = g_object_new (TIDE_TYPE_IMPORTER, NULL);

  self->library_path = g_strdup (library_path);
  return self;
}

void
tide_importer_add_files (TideImporter *self,
                         GFile *const *files,
                         guint n_files,
                         gboolean asks_always)
{
  if (n_files > 0)
    add_job (self, tide_import_job_new_files (self->library_path, files, n_files, asks_always));
}

void
tide_importer_add_glances (TideImporter *self, GPtrArray *glances)
{
  if (glances->len > 0)
    add_job (self, tide_import_job_new_glances (self->library_path, glances));
}

void
tide_importer_add_demo (TideImporter *self)
{
  add_job (self, tide_import_job_new_demo (self->library_path));
}

gboolean
tide_importer_is_busy (TideImporter *self)
{
  return self->running != NULL;
}

void
tide_importer_cancel (TideImporter *self)
{
  g_queue_clear_full (&self->waiting, (GDestroyNotify)tide_import_job_free);
  g_queue_init (&self->waiting);
  if (self->cancellable != NULL)
    g_cancellable_cancel (self->cancellable);
}
