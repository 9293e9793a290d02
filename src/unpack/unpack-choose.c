/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Which files of an archive are texts to read, what they are called, and which of several texts a
 * person asks for: by number or by name. A text that is the number of one and the name of another
 * is no answer; a name in quotes is.
 */
#include "unpack/unpack-choose-private.h"

#include <glib/gi18n-lib.h>
#include <string.h>

#include "unpack/unpack.h"
#include "unpack/workbook-private.h"

/* So many names stand in a message. */
#define MAX_TOLD_NAMES 8

static const char *
get_base (const char *path)
{
  const char *slash = strrchr (path, '/');
  return slash ? slash + 1 : path;
}

/* Hidden files and what file managers leave beside the files are no logs. */
static gboolean
is_visible (const TideMember *file)
{
  static const char *const leavings[] = { "__MACOSX", "Thumbs.db", "desktop.ini" };
  g_auto (GStrv) parts = g_strsplit (file->path, "/", -1);
  for (guint i = 0; parts[i]; i++)
    {
      gboolean is_dots = strcmp (parts[i], ".") == 0 || strcmp (parts[i], "..") == 0;
      if (*parts[i] == '.' && !is_dots)
        return FALSE;
      for (guint k = 0; k < G_N_ELEMENTS (leavings); k++)
        if (g_ascii_strcasecmp (parts[i], leavings[k]) == 0)
          return FALSE;
    }
  return *get_base (file->path) != '\0';
}

GPtrArray *
tide_files_list (TideArchive *archive, GPtrArray *names)
{
  GPtrArray *members = tide_archive_get_members (archive);
  g_autoptr (GHashTable) n_of_base = g_hash_table_new (g_str_hash, g_str_equal);
  GPtrArray *files = g_ptr_array_new ();
  for (guint i = 0; i < members->len; i++)
    {
      TideMember *file = g_ptr_array_index (members, i);
      if (!is_visible (file))
        continue;
      gpointer base = (gpointer)get_base (file->path);
      guint n = GPOINTER_TO_UINT (g_hash_table_lookup (n_of_base, base));
      g_hash_table_insert (n_of_base, base, GUINT_TO_POINTER (n + 1));
      g_ptr_array_add (files, file);
    }
  for (guint i = 0; i < files->len; i++)
    {
      TideMember *file = g_ptr_array_index (files, i);
      const char *base = get_base (file->path);
      gboolean is_only = GPOINTER_TO_UINT (g_hash_table_lookup (n_of_base, base)) == 1;
      g_ptr_array_add (names, g_strdup (is_only ? base : file->path));
    }
  return files;
}

/* Transfer full: 1 "A", 2 "B" … */
static char *
list_names (GPtrArray *names)
{
  GString *list = g_string_new (NULL);
  for (guint i = 0; i < names->len && i < MAX_TOLD_NAMES; i++)
    g_string_append_printf (list, "%s%u \"%s\"", i > 0 ? ", " : "", i + 1,
                            (const char *)g_ptr_array_index (names, i));
  if (names->len > MAX_TOLD_NAMES)
    g_string_append (list, " …");
  return g_string_free (list, FALSE);
}

/* Which of the names; how many there are if none. In quotes wanted is a name. */
static guint
find_name (GPtrArray *names, const char *wanted)
{
  gsize length = strlen (wanted);
  gboolean is_quoted = length >= 2 && wanted[0] == '"' && wanted[length - 1] == '"';
  g_autofree char *name = is_quoted ? g_strndup (wanted + 1, length - 2) : g_strdup (wanted);
  guint i = 0;
  while (i < names->len && g_strcmp0 (g_ptr_array_index (names, i), name) != 0)
    i++;
  return i;
}

static gboolean
refuse (GPtrArray *names, const char *wanted, gboolean is_both, GError **error)
{
  if (!g_ptr_array_index (names, 0))
    {
      g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_NO_SHEET,
                   _ ("there is no sheet %s: this is no workbook and no archive of files"), wanted);
      return FALSE;
    }
  g_autofree char *list = list_names (names);
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_NO_SHEET,
               is_both ? _ ("sheet %s is the number of one and the name of another, state the name "
                            "in quotes; there are: %s")
                       : _ ("there is no sheet %s; there are: %s"),
               wanted, list);
  return FALSE;
}

gboolean
tide_texts_choose (GPtrArray *names, const char *wanted, guint *index, GError **error)
{
  guint by_name = find_name (names, wanted), number = 0;
  gboolean is_number = tide_xml_to_uint (wanted, names->len, &number) && number >= 1;
  gboolean is_name = by_name < names->len;
  if (!is_number && !is_name)
    return refuse (names, wanted, FALSE, error);
  if (is_number && is_name && by_name != number - 1)
    return refuse (names, wanted, TRUE, error);
  *index = is_name ? by_name : number - 1;
  return TRUE;
}
