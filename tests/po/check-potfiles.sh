#!/bin/sh
# SPDX-License-Identifier: GPL-3.0-or-later
# Fails when a file with text for translators is missing from po/POTFILES, or stands there and is gone.
set -eu
cd "$1"
{ grep -rlE '\b_ ?\("|N_ ?\("|translatable="yes"|ngettext ?\(' src resources
  ls data/*.desktop.in data/*.metainfo.xml.in data/*.gschema.xml; } | sort > "$2/found"
grep -v '^#' po/POTFILES | sort > "$2/listed"
diff -u "$2/listed" "$2/found" || { echo "po/POTFILES: the lines marked - are gone, those marked + are missing" >&2; exit 1; }
