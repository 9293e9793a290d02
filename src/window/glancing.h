/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A glance at a file in a worker thread, with a store connection of its own.
 */
#pragma once

#include "intake/glance.h"

/* Looks at file by rule (NULL: by itself) for source. The task that comes to the callback ends with g_task_propagate_pointer():
 * a TideGlance, transfer full. Gives it, borrowed. */
GTask *tide_glance_async (GObject *source, const char *library_path, GFile *file, const TideReadingRule *rule,
                          GCancellable *cancellable, GAsyncReadyCallback callback);
