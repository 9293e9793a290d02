/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The library file: one SQLite database of runs, seen without a model or a main loop.
 *
 * A TideStore is one connection, to be used from one thread at a time; several stores may have
 * the same file open (WAL). All calls block. One import is one transaction: it is wholly there or
 * not at all. Samples are kept as lossless compressed blocks, one per channel and 65,536
 * samples; beside them stands a small overview (min and max) that a list can draw a sketch from
 * without touching the samples. Schema changes are numbered steps, each run once, in order.
 *
 * Removing a run only hides it, so that it can be brought back; tide_store_purge() really deletes
 * what was hidden before. Errors: TIDE_STORE_ERROR, one line that names the file and the reason.
 */
#pragma once

#include <gio/gio.h>

#include "recording/conditions.h"
#include "recording/recording.h"
#include "recording/sink.h"

typedef struct _TideStore TideStore;

/* What the list of runs needs of one: everything but the samples. A value type. */
typedef struct {
  gint64 id;               /* the library number a person can type; never given twice */
  TideConditions *conditions;
  char *file;              /* the export's base name; NULL when from none */
  char *sha256;            /* lower-case hex; NULL when from no file */
  guint part;              /* which recording of that file, from 1 */
  gint64 added_us;         /* when it was imported, microseconds since 1970 UTC */
  guint64 n_samples;
  double duration_s;
  double energy_wh;        /* over the whole recording, as handed in at import */
  guint slot;              /* colour slot, 0-based; what the person chose or was given */
} TideRunInfo;

TideRunInfo *tide_run_info_copy (const TideRunInfo *info);
void         tide_run_info_free (TideRunInfo *info);

/* $XDG_DATA_HOME/tidemark/library.db. Transfer full. */
char *tide_store_default_path (void);

/* Opens path, making it and its folders where missing and running the schema steps that are due.
 * A file of a newer schema, a file that is no library, a folder that cannot be written: errors. */
TideStore *tide_store_open (const char *path, GError **error);
void       tide_store_free (TideStore *store);
const char *tide_store_get_path (TideStore *store);

/* Stores one recording, over the way of an import; gives its number, 0 on error. energy_wh is what lists show beside it.
 * An empty name is replaced by the file's base name without extension, with " (2)", " (3)" ...
 * behind it where a run, hidden or not, has it already; a name given is taken as it is. The run gets
 * the first colour slot that no other run of its device has. With a cancellable the import can be
 * given up between blocks; nothing is left behind. */
gint64       tide_store_add (TideStore *store, TideRecording *recording, const TideConditions *conditions,
                             double energy_wh, GCancellable *cancellable, GError **error);

/* The run of exactly that name, not hidden: its number, the lowest where several have it; 0: none;
 * -1: error. n_matches (may be NULL) says how many have it. */
gint64       tide_store_find_name (TideStore *store, const char *name, guint *n_matches, GError **error);

/* GPtrArray of TideRunInfo, by device, then by number; hidden ones left out. One statement. */
GPtrArray   *tide_store_list (TideStore *store, GError **error);
TideRunInfo *tide_store_get  (TideStore *store, gint64 id, GError **error);
/* All samples of a run. */
TideRecording *tide_store_load (TideStore *store, gint64 id, GError **error);

/* What the reader had against a run's export, without its samples: GPtrArray of TideComplaint (transfer full). skipped_rows
 * may be NULL. */
GPtrArray     *tide_store_get_complaints (TideStore *store, gint64 id, guint64 *skipped_rows, GError **error);

/* The run's power as n_columns (min, max) pairs, each over an equal part of its time, from the
 * overview alone; a column in a gap repeats the pair before. GArray of TideRange
 * (recording/overview.h), transfer full. */
GArray *tide_store_load_sketch (TideStore *store, gint64 id, guint n_columns, GError **error);

gboolean tide_store_set_conditions (TideStore *store, gint64 id, const TideConditions *conditions, GError **error);
gboolean tide_store_set_slot       (TideStore *store, gint64 id, guint slot, GError **error);

/* Hides a run, brings it back. */
gboolean tide_store_remove  (TideStore *store, gint64 id, GError **error);
gboolean tide_store_restore (TideStore *store, gint64 id, GError **error);
/* Deletes for good every run hidden longer than older_than_s ago and gives pages back. */
gboolean tide_store_purge   (TideStore *store, double older_than_s, GError **error);

/* ---- Importing as it comes ---- */

/* One file on its way into the library: a sink for its recordings, in one transaction, so that all of it is there
 * or nothing. Between begin and end the store takes no other call. */
typedef struct _TideStoreImport TideStoreImport;

TideStoreImport *tide_store_import_begin    (TideStore *store, const TideConditions *conditions, GCancellable *cancellable,
                                             GError **error);
/* Borrowed. */
TideSink        *tide_store_import_get_sink (TideStoreImport *import);
/* All samples of a part as they are kept, in order. is_first: they are the first of the part, which begins anew when its end
 * brought a revision. */
typedef void   (*TideStoreWatch) (guint part, const TideColumns *samples, gboolean is_first, gpointer user_data);
void             tide_store_import_watch      (TideStoreImport *import, TideStoreWatch watch, gpointer user_data);
/* What lists show beside a part; not known (NaN) unless it is set before end. */
void             tide_store_import_set_energy (TideStoreImport *import, guint part, double energy_wh);
/* All recordings came. Where conditions state no date, each gets the one that its log's own clock tells; where they
 * state no name it is called what the file is called, else the name is numbered if there are several. One that the
 * library has from that very place of that very file (its part, where the place is not known) is not stored again,
 * unless replace: then the runs from that table are removed, and those that come in their place get their conditions;
 * but a date that was the old reading's clock becomes the new one's. Gives a GArray of TideStored in the order of
 * parts (transfer full), NULL on error. Frees import. */
GArray          *tide_store_import_end      (TideStoreImport *import, const char *file, const char *sha256, gboolean replace,
                                             GError **error);
/* Nothing is left behind. */
void             tide_store_import_abort    (TideStoreImport *import);

typedef struct {
  gint64 id;
  guint part;
  gboolean already_there;
} TideStored;

/* ---- Reading rules ---- */

/* A rule for files with a certain header, under a name of the person's. The library does not look inside
 * signature and text. A value type. */
typedef struct {
  gint64 id;
  char *name, *signature, *text;
  gint64 saved_us;
} TideStoredRule;

#define TIDE_MAX_RULE_NAME_BYTES 200
#define TIDE_MAX_RULE_TEXT_BYTES (64 * 1024)

void tide_stored_rule_free (TideStoredRule *rule);

/* GPtrArray of TideStoredRule, by name. */
GPtrArray      *tide_store_list_rules  (TideStore *store, GError **error);
/* The rule of that name, or (by_signature) the one saved last for that signature. *rule is NULL when there is none. */
gboolean        tide_store_find_rule   (TideStore *store, const char *word, gboolean by_signature, TideStoredRule **rule,
                                        GError **error);
/* Saves under name, in place of one of that name, which keeps its number. Gives the number, 0 on error. The signature may
 * not be empty. */
gint64          tide_store_save_rule   (TideStore *store, const char *name, const char *signature, const char *text,
                                        GError **error);
/* Not to the name of another rule. */
gboolean        tide_store_rename_rule (TideStore *store, gint64 id, const char *name, GError **error);
gboolean        tide_store_remove_rule (TideStore *store, gint64 id, GError **error);

typedef enum {
  TIDE_STORE_ERROR_OPEN,      /* cannot be opened or made */
  TIDE_STORE_ERROR_NOT_OURS,  /* an SQLite file, or another file, but no library of ours */
  TIDE_STORE_ERROR_TOO_NEW,   /* written by a newer version */
  TIDE_STORE_ERROR_READ_ONLY,
  TIDE_STORE_ERROR_FULL,      /* disk full */
  TIDE_STORE_ERROR_BUSY,      /* another program holds it */
  TIDE_STORE_ERROR_NO_RUN,    /* no run of that number */
  TIDE_STORE_ERROR_DAMAGED,   /* what is stored does not decode */
  TIDE_STORE_ERROR_RULE,      /* no rule of that number, or one that cannot be kept */
  TIDE_STORE_ERROR_FAILED,    /* any other SQLite error, its text in the message */
} TideStoreError;

#define TIDE_STORE_ERROR (tide_store_error_quark ())
GQuark tide_store_error_quark (void);

G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideStore, tide_store_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideRunInfo, tide_run_info_free)
G_DEFINE_AUTOPTR_CLEANUP_FUNC (TideStoredRule, tide_stored_rule_free)
