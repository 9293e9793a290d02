/* SPDX-License-Identifier: GPL-3.0-or-later */
/* A gzip file unpacked as it comes, one stream or several end to end. */
#pragma once

#include <gio/gio.h>

typedef struct _TideGzip TideGzip;

TideGzip *tide_gzip_new    (void);
void      tide_gzip_free   (TideGzip *gzip);
/* Unpacks some of the bytes to the end of text. used: how many were; wants_more: that was all of them. Errors:
 * TIDE_UNPACK_ERROR_PACKED. */
gboolean  tide_gzip_unpack (TideGzip *gzip, const guint8 *bytes, gsize length, gsize *used, GString *text,
                            gboolean *wants_more, GError **error);
/* No stream goes on: the file may end here. */
gboolean  tide_gzip_is_whole    (const TideGzip *gzip);
/* Bytes that are no gzip stream stand behind the last; they are not read. */
gboolean  tide_gzip_has_remains (const TideGzip *gzip);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideGzip, tide_gzip_free)
