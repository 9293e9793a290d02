/* SPDX-License-Identifier: GPL-3.0-or-later */
/* An .xlsx workbook: which sheets it has, and their text.
 *
 * The way through its parts: xl/workbook.xml names the sheets in order and the date system,
 * xl/_rels/workbook.xml.rels says in which part each stands and where strings and styles are. Those
 * are read first, into memory (workbook-strings.c has the bound), then a sheet is streamed. Chart
 * and dialog sheets hold no cells and are left out. Other office files that are ZIP archives too
 * are refused.
 */
#include "unpack/workbook-private.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>
#include <string.h>

#include "recording/complaint.h"
#include "unpack/unpack.h"

#define WORKBOOK_PATH      "xl/workbook.xml"
#define RELATIONSHIPS_PATH "xl/_rels/workbook.xml.rels"
#define BASE_PATH          "xl/"
#define PIECE_BYTES        4096

typedef struct
{
  char *name;
  char *relationship;
  TideMember *part; /* borrowed; NULL: it is missing */
} Sheet;

typedef struct
{
  char *type; /* the last word of its URI: "worksheet", "styles" ... */
  char *path; /* in the archive */
} Relationship;

struct _TideWorkbook
{
  TideArchive *archive;      /* borrowed */
  GPtrArray *sheets;         /* Sheet */
  GPtrArray *names;          /* of sheets; borrowed */
  GHashTable *relationships; /* id -> Relationship */
  TideStrings *strings;
  TideStyles *styles;
  TideSheetContext context;
  TideSheet *sheet;     /* that is open */
  guint64 n_text_bytes; /* of its text, so far */
};

static void
free_sheet (Sheet *sheet)
{
  g_free (sheet->name);
  g_free (sheet->relationship);
  g_free (sheet);
}

static void
free_relationship (Relationship *relationship)
{
  g_free (relationship->type);
  g_free (relationship->path);
  g_free (relationship);
}

static gboolean
set_too_many (GError **error)
{
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
               _ ("this workbook has more than %d sheets; save those with logs as CSV"),
               TIDE_MAX_MEMBERS);
  return FALSE;
}

/* ---- xl/workbook.xml ---- */

static gboolean
start_in_workbook_cb (gpointer data,
                      const char *name,
                      const char **names,
                      const char **values,
                      GError **error)
{
  TideWorkbook *workbook = data;
  if (strcmp (name, "workbookPr") == 0)
    workbook->context.is_1904 = tide_xml_is_true (tide_xml_attribute (names, values, "date1904"));
  if (strcmp (name, "sheet") != 0)
    return TRUE;
  if (workbook->sheets->len >= TIDE_MAX_MEMBERS)
    return set_too_many (error);
  const char *label = tide_xml_attribute (names, values, "name");
  const char *id = tide_xml_attribute (names, values, "id");
  Sheet *sheet = g_new0 (Sheet, 1);
  sheet->name = tide_name_clean (label ? label : "");
  sheet->relationship = g_strdup (id ? id : "");
  g_ptr_array_add (workbook->sheets, sheet);
  return TRUE;
}

/* ---- xl/_rels/workbook.xml.rels ---- */

/* "worksheets/sheet1.xml", "/xl/worksheets/sheet1.xml", "../xl/styles.xml" -> a path in the
 * archive. Transfer full. */
static char *
resolve_target (const char *target)
{
  if (*target == '/')
    return g_strdup (target + 1);
  if (g_str_has_prefix (target, "../"))
    return g_strdup (target + 3);
  return g_strconcat (BASE_PATH, target, NULL);
}

static gboolean
start_in_relationships_cb (gpointer data,
                           const char *name,
                           const char **names,
                           const char **values,
                           GError **error)
{
  TideWorkbook *workbook = data;
  const char *id = tide_xml_attribute (names, values, "Id");
  const char *type = tide_xml_attribute (names, values, "Type");
  const char *target = tide_xml_attribute (names, values, "Target");
  if (strcmp (name, "Relationship") != 0 || !id || !type || !target)
    return TRUE;
  if (g_hash_table_size (workbook->relationships) >= 2 * TIDE_MAX_MEMBERS)
    return set_too_many (error);
  const char *slash = strrchr (type, '/');
  Relationship *relationship = g_new0 (Relationship, 1);
  relationship->type = g_strdup (slash ? slash + 1 : type);
  relationship->path = resolve_target (target);
  g_hash_table_insert (workbook->relationships, g_strdup (id), relationship);
  return TRUE;
}

/* ---- Putting it together ---- */

static TideMember *
find_by_type (TideWorkbook *workbook, const char *type)
{
  GHashTableIter iter;
  Relationship *relationship;
  g_hash_table_iter_init (&iter, workbook->relationships);
  while (g_hash_table_iter_next (&iter, NULL, (gpointer *)&relationship))
    if (strcmp (relationship->type, type) == 0)
      return tide_archive_find (workbook->archive, relationship->path);
  return NULL;
}

/* Sheets find their parts; what is no sheet of cells goes. */
static void
resolve_sheets (TideWorkbook *workbook)
{
  for (guint i = 0; i < workbook->sheets->len;)
    {
      Sheet *sheet = g_ptr_array_index (workbook->sheets, i);
      Relationship *relationship =
          g_hash_table_lookup (workbook->relationships, sheet->relationship);
      if (relationship && strcmp (relationship->type, "worksheet") != 0)
        {
          g_ptr_array_remove_index (workbook->sheets, i);
          continue;
        }
      if (relationship)
        sheet->part = tide_archive_find (workbook->archive, relationship->path);
      g_ptr_array_add (workbook->names, sheet->name);
      i++;
    }
}

static gboolean
read_part (TideWorkbook *workbook,
           const char *path,
           const TideXmlHandlers *handlers,
           GError **error)
{
  TideMember *part = tide_archive_find (workbook->archive, path);
  if (part)
    return tide_xml_read_part (workbook->archive, part, handlers, workbook, error);
  g_set_error (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
               _ ("this workbook lacks its part %s; save it again as .xlsx, or as CSV"), path);
  return FALSE;
}

/* ".ods" and text documents of either family. */
static gboolean
check_has_sheets (TideArchive *archive, GError **error)
{
  if (tide_archive_find (archive, WORKBOOK_PATH))
    return TRUE;
  g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                       _ ("this is an office document, but no .xlsx workbook; save the sheet as "
                          ".xlsx or CSV"));
  return FALSE;
}

static gboolean
read_parts (TideWorkbook *workbook, GError **error)
{
  static const TideXmlHandlers workbook_handlers = { .start = start_in_workbook_cb };
  static const TideXmlHandlers relationships_handlers = { .start = start_in_relationships_cb };
  if (!check_has_sheets (workbook->archive, error)
      || !read_part (workbook, WORKBOOK_PATH, &workbook_handlers, error)
      || !read_part (workbook, RELATIONSHIPS_PATH, &relationships_handlers, error))
    return FALSE;
  resolve_sheets (workbook);
  if (workbook->sheets->len == 0)
    {
      g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                           _ ("this workbook has no sheet with cells"));
      return FALSE;
    }
  workbook->strings =
      tide_strings_read (workbook->archive, find_by_type (workbook, "sharedStrings"), error);
  if (!workbook->strings)
    return FALSE;
  workbook->styles = tide_styles_read (workbook->archive, find_by_type (workbook, "styles"), error);
  workbook->context.strings = workbook->strings;
  workbook->context.styles = workbook->styles;
  return workbook->styles != NULL;
}

/* ---- Public ---- */

gboolean
tide_workbook_is_one (TideArchive *archive)
{
  return tide_archive_find (archive, "[Content_Types].xml")
         || tide_archive_find (archive, WORKBOOK_PATH)
         || (tide_archive_find (archive, "mimetype") && tide_archive_find (archive, "content.xml"));
}

TideWorkbook *
tide_workbook_new (TideArchive *archive, GError **error)
{
  g_autoptr (TideWorkbook) workbook = g_new0 (TideWorkbook, 1);
  workbook->archive = archive;
  workbook->sheets = g_ptr_array_new_with_free_func ((GDestroyNotify)free_sheet);
  workbook->names = g_ptr_array_new ();
  workbook->relationships =
      g_hash_table_new_full (g_str_hash, g_str_equal, g_free, (GDestroyNotify)free_relationship);
  return read_parts (workbook, error) ? g_steal_pointer (&workbook) : NULL;
}

void
tide_workbook_free (TideWorkbook *workbook)
{
  g_clear_pointer (&workbook->sheet, tide_sheet_free);
  g_clear_pointer (&workbook->strings, tide_strings_free);
  g_clear_pointer (&workbook->styles, tide_styles_free);
  g_ptr_array_unref (workbook->names);
  g_ptr_array_unref (workbook->sheets);
  g_hash_table_unref (workbook->relationships);
  g_free (workbook);
}

GPtrArray *
tide_workbook_get_names (TideWorkbook *workbook)
{
  return workbook->names;
}

gboolean
tide_workbook_open (TideWorkbook *workbook, guint number, GError **error)
{
  g_return_val_if_fail (number < workbook->sheets->len, FALSE);
  Sheet *sheet = g_ptr_array_index (workbook->sheets, number);
  g_clear_pointer (&workbook->sheet, tide_sheet_free);
  if (!sheet->part)
    {
      g_set_error_literal (error, TIDE_UNPACK_ERROR, TIDE_UNPACK_ERROR_PACKED,
                           _ ("the workbook lacks this sheet's cells; save it again as .xlsx, or "
                              "as CSV"));
      return FALSE;
    }
  if (!tide_archive_open (workbook->archive, sheet->part, error))
    return FALSE;
  workbook->sheet = tide_sheet_new (&workbook->context);
  workbook->n_text_bytes = 0;
  return TRUE;
}

/* A long text that many cells share, a cell at the end of each row: the XML stays small, the text
 * does not. */
gboolean
tide_workbook_read (TideWorkbook *workbook, GString *text, gboolean *at_end, GError **error)
{
  char bytes[PIECE_BYTES];
  gsize length = text->len;
  gssize n = tide_archive_read (workbook->archive, bytes, sizeof bytes, error);
  *at_end = n == 0;
  if (n < 0)
    return FALSE;
  if (n == 0)
    return tide_sheet_finish (workbook->sheet, text, error);
  if (!tide_sheet_feed (workbook->sheet, bytes, (gsize)n, text, error))
    return FALSE;
  workbook->n_text_bytes += text->len - length;
  return tide_archive_bears_text (workbook->archive, workbook->n_text_bytes, error);
}

void
tide_workbook_tell (TideWorkbook *workbook, GPtrArray *complaints)
{
  guint64 row = 0;
  guint64 n = workbook->sheet ? tide_sheet_get_n_unworked (workbook->sheet, &row) : 0;
  if (n > 0)
    g_ptr_array_add (
        complaints,
        tide_complaint_new (row, NULL,
                            ngettext ("%" PRIu64 " cell holds a formula whose result was not "
                                      "stored; it is read as empty",
                                      "%" PRIu64 " cells hold formulas whose results were not "
                                      "stored; they are read as empty",
                                      n),
                            n));
}
