/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Writing a comparison's chart for readers: PNG, SVG, PDF. The same input gives the same bytes:
 * no time of writing unless SOURCE_DATE_EPOCH is set. A file is written whole beside its
 * place and then moved there, so that a failure leaves the old file alone.
 */
#pragma once

#include <gio/gio.h>

#include "chart/chart.h"

typedef enum { TIDE_FORMAT_PNG, TIDE_FORMAT_SVG, TIDE_FORMAT_PDF } TideFormat;

/* By the name's ending; FALSE when it is none of ours. */
gboolean tide_format_from_name (const char *name, TideFormat *format);

#define TIDE_PUBLISH_MIN_PX 200
#define TIDE_PUBLISH_MAX_PX 16384

/* In memory. Errors: TIDE_PUBLISH_ERROR. Transfer full. */
GBytes  *tide_publish_to_bytes (TideComparison *comparison, const TideChartStyle *style, int width, int height,
                                TideFormat format, GError **error);
/* Into a file; the format from its name. */
gboolean tide_publish_to_file  (TideComparison *comparison, const TideChartStyle *style, int width, int height,
                                GFile *file, GError **error);

typedef enum { TIDE_PUBLISH_ERROR_FORMAT, TIDE_PUBLISH_ERROR_SIZE, TIDE_PUBLISH_ERROR_EMPTY, TIDE_PUBLISH_ERROR_WRITE } TidePublishError;
#define TIDE_PUBLISH_ERROR (tide_publish_error_quark ())
GQuark tide_publish_error_quark (void);
