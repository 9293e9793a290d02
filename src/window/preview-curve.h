/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A file read for the preview: its recordings as min and max over a few columns, and their figures. Blocking, knows no
 * widget.
 */
#pragma once

#include "reading/reading.h"
#include "recording/overview.h"

/* A larger file is read to here, if it is text; what is packed cannot be cut. */
#define TIDE_PREVIEW_BYTES (8 * 1024 * 1024)
#define TIDE_PREVIEW_COLUMNS 300

/* A value type. */
typedef struct {
  GPtrArray *curves;     /* GArray of TideRange, TIDE_PREVIEW_COLUMNS each over duration_s */
  GPtrArray *complaints; /* TideComplaint of all recordings */
  double duration_s;     /* of the longest */
  double top_w, bottom_w;
  char *figures;         /* one line: samples, length, energy, when it began */
  gboolean cut;          /* not all of the file */
} TidePreviewCurve;

/* Errors: those of tide_read_file(). */
TidePreviewCurve *tide_preview_curve_read (GFile *file, const TideReadingRule *rule, GCancellable *cancellable, GError **error);
void              tide_preview_curve_free (TidePreviewCurve *curve);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TidePreviewCurve, tide_preview_curve_free)
