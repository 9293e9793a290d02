/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See glancing.h. */
#include "window/glancing.h"

typedef struct
{
  char *library_path;
  GFile *file;
  TideReadingRule *rule;
} Request;

static void
free_request (Request *request)
{
  g_free (request->library_path);
  g_object_unref (request->file);
  g_clear_pointer (&request->rule, tide_reading_rule_free);
  g_free (request);
}

static void
look_in_thread (GTask *task, gpointer source, gpointer data, GCancellable *cancellable)
{
  Request *request = data;
  g_autoptr (GError) error = NULL;
  g_autoptr (TideStore) store = tide_store_open (request->library_path, &error);
  TideGlance *look =
      store != NULL ? tide_glance_take (store, request->file, request->rule, cancellable, &error)
                    : NULL;

  if (look != NULL)
    g_task_return_pointer (task, look, (GDestroyNotify)tide_glance_unref);
  else
    g_task_return_error (task, g_steal_pointer (&error));
}

GTask *
tide_glance_async (GObject *source,
                   const char *library_path,
                   GFile *file,
                   const TideReadingRule *rule,
                   GCancellable *cancellable,
                   GAsyncReadyCallback callback)
{
  g_autoptr (GTask) task = g_task_new (source, cancellable, callback, NULL);
  Request *request = g_new0 (Request, 1);

  request->library_path = g_strdup (library_path);
  request->file = g_object_ref (file);
  request->rule = rule != NULL ? tide_reading_rule_copy (rule) : NULL;
  g_task_set_task_data (task, request, (GDestroyNotify)free_request);
  g_task_run_in_thread (task, look_in_thread);
  /* it holds itself until its callback was called */
  return task;
}
