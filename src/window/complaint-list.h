/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A list of complaints about a file, as quiet rows; one that is about a row of the file can be activated to see it.
 */
#pragma once

#include <gtk/gtk.h>

#define TIDE_TYPE_COMPLAINT_LIST (tide_complaint_list_get_type ())
G_DECLARE_FINAL_TYPE (TideComplaintList, tide_complaint_list, TIDE, COMPLAINT_LIST, GtkBox)

/* Signal "place" (guint64 row). */
GtkWidget *tide_complaint_list_new    (void);
/* TideComplaint, borrowed for the call; either may be NULL. What both say is shown once. Hidden when there is nothing. */
void       tide_complaint_list_update (TideComplaintList *self, GPtrArray *complaints, GPtrArray *more);
