/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See run-name.h. That a name is given once only is not known here: whoever keeps runs numbers
 * them.
 */
#include "recording/run-name.h"

#include <glib/gi18n-lib.h>
#include <string.h>

static void
strip_ending (char *base)
{
  char *dot = strrchr (base, '.');

  if (dot != NULL && dot != base)
    *dot = '\0';
}

/* Never empty; without ".csv", ".csv.gz". Transfer full. */
static char *
make_stem (const char *file)
{
  g_autofree char *valid = NULL;
  char *base;

  if (file == NULL || *file == '\0')
    return g_strdup (_ ("Run"));
  valid = g_utf8_make_valid (file, -1);
  base = g_path_get_basename (valid);
  if (g_str_has_suffix (base, ".gz"))
    strip_ending (base);
  strip_ending (base);
  if (*g_strstrip (base) != '\0')
    return base;
  g_free (base);
  return g_strdup (_ ("Run"));
}

char *
tide_run_name_make (const char *file, const char *label)
{
  g_autofree char *stem = make_stem (file);

  return tide_run_name_extend (stem, label);
}

char *
tide_run_name_extend (const char *name, const char *label)
{
  g_return_val_if_fail (name != NULL, NULL);

  return label != NULL ? g_strdup_printf ("%s \342\200\223 %s", name, label) : g_strdup (name);
}
