#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Fails when a file with text for translators is missing from po/POTFILES, or stands there and is gone;
# and when a text is put together with a macro of GLib's, at which xgettext would cut it off. (It
# knows those of <inttypes.h>.)
set -eu
cd "$1"
{ grep -rlE '\b_ ?\("|N_ ?\("|translatable="yes"|ngettext ?\(' src resources
  ls data/*.desktop.in data/*.metainfo.xml.in data/*.gschema.xml; } | sort > "$2/found"
grep -v '^#' po/POTFILES | sort > "$2/listed"
diff -u "$2/listed" "$2/found" || { echo "po/POTFILES: the lines marked - are gone, those marked + are missing" >&2; exit 1; }
! grep -rPzo '(?s)\b(N?_|ngettext|g_dngettext) ?\((?:[^()";]|"(?:[^"\\]|\\.)*")*\bG_G\w+_(FORMAT|MODIFIER)' src >&2 ||
  { echo >&2; echo "these texts cannot be translated: use PRIu64 or PRId64" >&2; exit 1; }
