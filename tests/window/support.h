/* SPDX-License-Identifier: GPL-3.0-or-later */
/* What the window's tests share: a ground for each test (a folder, a library in it, settings as
 * new), waiting with a bound, and doing what a person does.
 */
#pragma once

#include "window/window-private.h"

/* One test's ground. */
typedef struct {
  char *dir;
  char *library;               /* a path in dir; nothing is there at first */
  GtkApplication *application;
} Ground;

/* Waiting */
typedef gboolean (*Condition) (gpointer data);
gboolean wait_until (Condition condition, gpointer data);
/* Conditions: a window neither imports nor loads; the pointer that data points to is NULL. */
gboolean is_idle    (gpointer window);
gboolean is_null    (gpointer data);
void     settle     (guint ms);

TideWindow *open_window  (Ground *ground);
/* Closes as a person does and waits until the window is really gone. */
void        close_window (TideWindow *window);

/* Exports. An hour at a constant power, a sample a second: its energy is power_w × 1 h. */
GFile *write_export (Ground *ground, const char *name, double power_w);
GFile *write_text   (Ground *ground, const char *name, const char *text);

/* Doing */
gboolean drop            (TideWindow *window, GFile *const *files, guint n);
void     import_and_wait (TideWindow *window, GFile *const *files, guint n);
/* A library of three runs of 10, 20 and 30 W, all in the comparison. */
void     import_three    (Ground *ground, TideWindow *window);
void     act             (TideWindow *window, const char *action);

/* Looking */
gboolean   is_enabled    (TideWindow *window, const char *action);
guint      get_n_entries (TideWindow *window);
gint64     get_id        (TideWindow *window, guint position);
GtkWidget *find_widget   (GtkWidget *root, gboolean (*matches) (GtkWidget *widget, gconstpointer data),
                          gconstpointer data);
gboolean   is_label_with (GtkWidget *widget, gconstpointer text);
/* The toplevel of that type, NULL when there is none. */
GtkWindow *find_dialog   (GType type);
void       assert_toast  (TideWindow *window, const char *text);
/* Transfer full. */
AdwToast  *find_toast    (TideWindow *window, const char *text);
void       dismiss_toast (TideWindow *window, const char *text);

/* Adds a test on a ground of its own. */
void add       (const char *path, void (*test) (Ground *ground, gconstpointer data), gconstpointer data);
/* main(): an application, the tests that add_tests adds. */
int  run_tests (int argc, char **argv, void (*add_tests) (void));
