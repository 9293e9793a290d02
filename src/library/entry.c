/* SPDX-License-Identifier: GPL-3.0-or-later */
/* One run in the list: what is shown of it, as properties that notify.
 *
 * An entry is the same object as long as its run is in the library. It holds no samples; its
 * sketch is read from the store on first use.
 */
#include "library/library-private.h"

#define N_SKETCH_COLUMNS 64

struct _TideEntry
{
  GObject parent_instance;

  GWeakRef library;
  TideRunInfo *info; /* owned */
  char *line;        /* owned, made of info's conditions */
  char *search_text; /* owned, likewise */
  GArray *sketch;    /* owned; NULL until asked for */
  gboolean sketch_failed;
};

G_DEFINE_FINAL_TYPE (TideEntry, tide_entry, G_TYPE_OBJECT)

enum
{
  PROP_0,
  PROP_ID,
  PROP_NAME,
  PROP_DEVICE,
  PROP_LINE,
  PROP_ENERGY_WH,
  PROP_SLOT,
  PROP_SEARCH_TEXT,
  N_PROPS
};

static GParamSpec *properties[N_PROPS];

static char *
make_search_text (const TideRunInfo *info)
{
  g_autoptr (GString) text = g_string_new (info->file);

  for (int field = 0; field < TIDE_N_CONDITIONS; field++)
    g_string_append_printf (text, "\n%s",
                            tide_conditions_get (info->conditions, (TideCondition)field));
  return g_utf8_casefold (text->str, -1);
}

static void
set_info (TideEntry *self, TideRunInfo *info)
{
  g_clear_pointer (&self->info, tide_run_info_free);
  g_clear_pointer (&self->line, g_free);
  g_clear_pointer (&self->search_text, g_free);
  self->info = info;
  self->line = tide_conditions_to_line (info->conditions);
  self->search_text = make_search_text (info);
}

static void
tide_entry_get_property (GObject *object, guint property_id, GValue *value, GParamSpec *pspec)
{
  TideEntry *self = TIDE_ENTRY (object);

  switch (property_id)
    {
    case PROP_ID:
      g_value_set_int64 (value, self->info->id);
      break;
    case PROP_NAME:
      g_value_set_string (value, tide_entry_get_name (self));
      break;
    case PROP_DEVICE:
      g_value_set_string (value, tide_entry_get_device (self));
      break;
    case PROP_LINE:
      g_value_set_string (value, self->line);
      break;
    case PROP_ENERGY_WH:
      g_value_set_double (value, self->info->energy_wh);
      break;
    case PROP_SLOT:
      g_value_set_uint (value, self->info->slot);
      break;
    case PROP_SEARCH_TEXT:
      g_value_set_string (value, self->search_text);
      break;
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, property_id, pspec);
    }
}

static void
tide_entry_finalize (GObject *object)
{
  TideEntry *self = TIDE_ENTRY (object);

  g_weak_ref_clear (&self->library);
  g_clear_pointer (&self->info, tide_run_info_free);
  g_clear_pointer (&self->line, g_free);
  g_clear_pointer (&self->search_text, g_free);
  g_clear_pointer (&self->sketch, g_array_unref);
  G_OBJECT_CLASS (tide_entry_parent_class)->finalize (object);
}

static void
tide_entry_class_init (TideEntryClass *klass)
{
  const GParamFlags flags = G_PARAM_READABLE | G_PARAM_EXPLICIT_NOTIFY | G_PARAM_STATIC_STRINGS;
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = tide_entry_get_property;
  object_class->finalize = tide_entry_finalize;

  properties[PROP_ID] = g_param_spec_int64 ("id", NULL, NULL, 0, G_MAXINT64, 0, flags);
  properties[PROP_NAME] = g_param_spec_string ("name", NULL, NULL, "", flags);
  properties[PROP_DEVICE] = g_param_spec_string ("device", NULL, NULL, "", flags);
  properties[PROP_LINE] = g_param_spec_string ("line", NULL, NULL, "", flags);
  properties[PROP_ENERGY_WH] =
      g_param_spec_double ("energy-wh", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0, flags);
  properties[PROP_SLOT] = g_param_spec_uint ("slot", NULL, NULL, 0, G_MAXUINT, 0, flags);
  properties[PROP_SEARCH_TEXT] = g_param_spec_string ("search-text", NULL, NULL, "", flags);
  g_object_class_install_properties (object_class, N_PROPS, properties);
}

static void
tide_entry_init (TideEntry *self)
{
  g_weak_ref_init (&self->library, NULL);
}

TideEntry *
tide_entry_new (TideLibrary *library, TideRunInfo *info)
{
  TideEntry *self = g_object_new (TIDE_TYPE_ENTRY, NULL);

  g_weak_ref_set (&self->library, library);
  set_info (self, info);
  return self;
}

static void
notify_if (TideEntry *self, gboolean differs, int property)
{
  if (differs)
    g_object_notify_by_pspec (G_OBJECT (self), properties[property]);
}

void
tide_entry_update (TideEntry *self, TideRunInfo *info)
{
  g_autoptr (TideRunInfo) before = g_steal_pointer (&self->info);
  g_autofree char *line = g_steal_pointer (&self->line);
  g_autofree char *search_text = g_steal_pointer (&self->search_text);

  g_return_if_fail (before->id == info->id);

  set_info (self, info);
  notify_if (self,
             g_strcmp0 (tide_conditions_get (before->conditions, TIDE_CONDITION_NAME),
                        tide_entry_get_name (self))
                 != 0,
             PROP_NAME);
  notify_if (self, tide_run_info_compare (before, self->info) != 0, PROP_DEVICE);
  notify_if (self, g_strcmp0 (line, self->line) != 0, PROP_LINE);
  notify_if (self, before->slot != self->info->slot, PROP_SLOT);
  notify_if (self, g_strcmp0 (search_text, self->search_text) != 0, PROP_SEARCH_TEXT);
}

int
tide_run_info_compare (const TideRunInfo *a, const TideRunInfo *b)
{
  /* Bytes, as the store orders them. */
  int order = strcmp (tide_conditions_get (a->conditions, TIDE_CONDITION_DEVICE),
                      tide_conditions_get (b->conditions, TIDE_CONDITION_DEVICE));

  return order != 0 ? order : (a->id > b->id) - (a->id < b->id);
}

const TideRunInfo *
tide_entry_get_info (TideEntry *self)
{
  g_return_val_if_fail (TIDE_IS_ENTRY (self), NULL);
  return self->info;
}

gint64
tide_entry_get_id (TideEntry *self)
{
  g_return_val_if_fail (TIDE_IS_ENTRY (self), 0);
  return self->info->id;
}

const char *
tide_entry_get_name (TideEntry *self)
{
  g_return_val_if_fail (TIDE_IS_ENTRY (self), NULL);
  return tide_conditions_get (self->info->conditions, TIDE_CONDITION_NAME);
}

const char *
tide_entry_get_device (TideEntry *self)
{
  g_return_val_if_fail (TIDE_IS_ENTRY (self), NULL);
  return tide_conditions_get (self->info->conditions, TIDE_CONDITION_DEVICE);
}

guint
tide_entry_get_slot (TideEntry *self)
{
  g_return_val_if_fail (TIDE_IS_ENTRY (self), 0);
  return self->info->slot;
}

GArray *
tide_entry_get_sketch (TideEntry *self)
{
  g_autoptr (TideLibrary) library = NULL;
  g_autoptr (GError) error = NULL;

  g_return_val_if_fail (TIDE_IS_ENTRY (self), NULL);

  library = g_weak_ref_get (&self->library);
  if (self->sketch != NULL || self->sketch_failed || library == NULL)
    return self->sketch;
  self->sketch = tide_store_load_sketch (tide_library_get_store (library), self->info->id,
                                         N_SKETCH_COLUMNS, &error);
  if (self->sketch == NULL)
    {
      /* Not asked again with every frame; whoever opens the run is told in full. */
      self->sketch_failed = TRUE;
      g_info ("no sketch: %s", error->message);
    }
  return self->sketch;
}
