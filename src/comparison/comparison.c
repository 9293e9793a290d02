/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The type and its properties. The list of runs is changed in runs.c; what can be derived is in
 * view.c and curves.c; what belongs to one run and is kept is in compared-run.c.
 *
 * Setters have one shape: guard, leave if equal, store, forget what depended on it, notify,
 * "changed". All of it happens on one thread, the one that draws; a measurement made on another
 * may be handed in. The work of a change is done when somebody asks for what changed.
 */
#include "comparison/comparison-private.h"

#include <math.h>

#define DEFAULT_MARGIN_PERCENT 3

static void list_model_iface_init (GListModelInterface *iface);

G_DEFINE_FINAL_TYPE_WITH_CODE (TideComparison,
                               tide_comparison,
                               G_TYPE_OBJECT,
                               G_IMPLEMENT_INTERFACE (G_TYPE_LIST_MODEL, list_model_iface_init))

static GParamSpec *properties[TIDE_N_PROPS];
static guint changed_signal;

/* Helpers */

static void
drop_differences (TideComparison *self)
{
  for (guint i = 0; i < self->runs->len; i++)
    tide_compared_run_drop_difference (g_ptr_array_index (self->runs, i));
}

/* Overrides */

static GType
tide_comparison_get_item_type (GListModel *model)
{
  return TIDE_TYPE_COMPARED_RUN;
}

static guint
tide_comparison_get_n_items (GListModel *model)
{
  return TIDE_COMPARISON (model)->runs->len;
}

static gpointer
tide_comparison_get_item (GListModel *model, guint position)
{
  TideComparedRun *run = tide_comparison_get_run (TIDE_COMPARISON (model), position);

  return run != NULL ? g_object_ref (run) : NULL;
}

static void
list_model_iface_init (GListModelInterface *iface)
{
  iface->get_item_type = tide_comparison_get_item_type;
  iface->get_n_items = tide_comparison_get_n_items;
  iface->get_item = tide_comparison_get_item;
}

static void
tide_comparison_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  TideComparison *self = TIDE_COMPARISON (object);

  switch ((TideComparisonProp)id)
    {
    case TIDE_PROP_REFERENCE:
      g_value_set_uint (value, self->reference);
      break;
    case TIDE_PROP_ALIGNMENT:
      g_value_set_uint (value, self->alignment);
      break;
    case TIDE_PROP_Y:
      g_value_set_uint (value, self->y);
      break;
    case TIDE_PROP_X:
      g_value_set_uint (value, self->x);
      break;
    case TIDE_PROP_VIEW_START:
      g_value_set_double (value, self->view_start);
      break;
    case TIDE_PROP_VIEW_END:
      g_value_set_double (value, self->view_end);
      break;
    case TIDE_PROP_CURSOR:
      g_value_set_double (value, self->cursor);
      break;
    case TIDE_PROP_MARGIN:
      g_value_set_double (value, self->margin);
      break;
    case TIDE_PROP_TITLE:
      g_value_set_string (value, self->title);
      break;
    case TIDE_PROP_SHOW_STRIP:
      g_value_set_boolean (value, self->show_strip);
      break;
    case TIDE_PROP_0:
    case TIDE_N_PROPS:
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
tide_comparison_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  TideComparison *self = TIDE_COMPARISON (object);

  switch ((TideComparisonProp)id)
    {
    case TIDE_PROP_REFERENCE:
      tide_comparison_set_reference (self, g_value_get_uint (value));
      break;
    case TIDE_PROP_ALIGNMENT:
      tide_comparison_set_alignment (self, g_value_get_uint (value));
      break;
    case TIDE_PROP_Y:
      tide_comparison_set_y (self, g_value_get_uint (value));
      break;
    case TIDE_PROP_X:
      tide_comparison_set_x (self, g_value_get_uint (value));
      break;
    case TIDE_PROP_MARGIN:
      tide_comparison_set_margin (self, g_value_get_double (value));
      break;
    case TIDE_PROP_TITLE:
      tide_comparison_set_title (self, g_value_get_string (value));
      break;
    case TIDE_PROP_SHOW_STRIP:
      tide_comparison_set_show_strip (self, g_value_get_boolean (value));
      break;
    case TIDE_PROP_0:
    case TIDE_PROP_VIEW_START:
    case TIDE_PROP_VIEW_END:
    case TIDE_PROP_CURSOR:
    case TIDE_N_PROPS:
    default:
      G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
    }
}

static void
tide_comparison_finalize (GObject *object)
{
  TideComparison *self = TIDE_COMPARISON (object);

  g_ptr_array_unref (self->runs);
  g_free (self->title);
  G_OBJECT_CLASS (tide_comparison_parent_class)->finalize (object);
}

static void
install_properties (GObjectClass *object_class)
{
  const GParamFlags readable = G_PARAM_READABLE | G_PARAM_STATIC_STRINGS;
  const GParamFlags flags = G_PARAM_READWRITE | G_PARAM_EXPLICIT_NOTIFY | G_PARAM_STATIC_STRINGS;

  properties[TIDE_PROP_REFERENCE] =
      g_param_spec_uint ("reference", NULL, NULL, 0, G_MAXUINT, 0, flags);
  properties[TIDE_PROP_ALIGNMENT] =
      g_param_spec_uint ("alignment", NULL, NULL, 0, TIDE_N_ALIGNMENTS - 1, TIDE_ALIGN_BEGIN,
                         flags);
  properties[TIDE_PROP_Y] = g_param_spec_uint ("y", NULL, NULL, TIDE_QUANTITY_VOLTAGE,
                                               TIDE_QUANTITY_ENERGY, TIDE_QUANTITY_POWER, flags);
  properties[TIDE_PROP_X] =
      g_param_spec_uint ("x", NULL, NULL, 0, TIDE_N_AXES - 1, TIDE_AXIS_TIME, flags);
  /* NaN stands for none, which no GParamSpec lets in: read only, the default of NaN unsaid. */
  properties[TIDE_PROP_VIEW_START] =
      g_param_spec_double ("view-start", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0, readable);
  properties[TIDE_PROP_VIEW_END] =
      g_param_spec_double ("view-end", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0, readable);
  properties[TIDE_PROP_CURSOR] =
      g_param_spec_double ("cursor", NULL, NULL, -G_MAXDOUBLE, G_MAXDOUBLE, 0, readable);
  properties[TIDE_PROP_MARGIN] =
      g_param_spec_double ("margin", NULL, NULL, 0, TIDE_MOST_MARGIN_PERCENT,
                           DEFAULT_MARGIN_PERCENT, flags);
  properties[TIDE_PROP_TITLE] = g_param_spec_string ("title", NULL, NULL, NULL, flags);
  properties[TIDE_PROP_SHOW_STRIP] = g_param_spec_boolean ("show-strip", NULL, NULL, TRUE, flags);
  g_object_class_install_properties (object_class, TIDE_N_PROPS, properties);
}

static void
tide_comparison_class_init (TideComparisonClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);

  object_class->get_property = tide_comparison_get_property;
  object_class->set_property = tide_comparison_set_property;
  object_class->finalize = tide_comparison_finalize;
  install_properties (object_class);

  changed_signal = g_signal_new ("changed", TIDE_TYPE_COMPARISON, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                 NULL, G_TYPE_NONE, 0);
}

static void
tide_comparison_init (TideComparison *self)
{
  self->runs = g_ptr_array_new_with_free_func (g_object_unref);
  self->alignment = TIDE_ALIGN_BEGIN;
  self->y = TIDE_QUANTITY_POWER;
  self->x = TIDE_AXIS_TIME;
  self->view_start = self->view_end = self->cursor = NAN;
  self->margin = DEFAULT_MARGIN_PERCENT;
  self->show_strip = TRUE;
}

/* Inside the room */

void
tide_comparison_notify (TideComparison *self, TideComparisonProp prop)
{
  g_object_notify_by_pspec (G_OBJECT (self), properties[prop]);
}

void
tide_comparison_emit_changed (TideComparison *self)
{
  g_signal_emit (self, changed_signal, 0);
}

gboolean
tide_comparison_store_title (TideComparison *self, const char *title)
{
  if (title != NULL && *title == '\0')
    title = NULL;
  if (g_strcmp0 (self->title, title) == 0)
    return FALSE;
  g_free (self->title);
  self->title = g_strdup (title);
  tide_comparison_notify (self, TIDE_PROP_TITLE);
  return TRUE;
}

/* Public */

TideComparison *
tide_comparison_new (void)
{
  return g_object_new (TIDE_TYPE_COMPARISON, NULL);
}

guint
tide_comparison_get_reference (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), 0);
  return self->reference;
}

void
tide_comparison_set_reference (TideComparison *self, guint position)
{
  TideComparedRun *run;
  double moved_x;

  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail (position < self->runs->len || position == self->reference);

  if (position == self->reference)
    return;
  run = g_ptr_array_index (self->runs, position);
  moved_x = tide_comparison_move_reference (self, run, tide_comparison_note_shift (self, position));
  tide_comparison_notify (self, TIDE_PROP_REFERENCE);
  tide_comparison_refit_view (self, moved_x);
  tide_comparison_emit_changed (self);
}

TideAlignment
tide_comparison_get_alignment (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), TIDE_ALIGN_BEGIN);
  return self->alignment;
}

void
tide_comparison_set_alignment (TideComparison *self, TideAlignment alignment)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail ((guint)alignment < TIDE_N_ALIGNMENTS);

  if (self->alignment == alignment)
    return;
  self->alignment = alignment;
  tide_comparison_drop_places (self);
  tide_comparison_notify (self, TIDE_PROP_ALIGNMENT);
  tide_comparison_reset_view (self);
  tide_comparison_emit_changed (self);
}

TideQuantity
tide_comparison_get_y (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), TIDE_QUANTITY_POWER);
  return self->y;
}

void
tide_comparison_set_y (TideComparison *self, TideQuantity y)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail (y >= TIDE_QUANTITY_VOLTAGE && y <= TIDE_QUANTITY_ENERGY);

  if (self->y == y)
    return;
  self->y = y;
  drop_differences (self);
  tide_comparison_notify (self, TIDE_PROP_Y);
  tide_comparison_emit_changed (self);
}

TideAxis
tide_comparison_get_x (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), TIDE_AXIS_TIME);
  return self->x;
}

void
tide_comparison_set_x (TideComparison *self, TideAxis x)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail ((guint)x < TIDE_N_AXES);

  if (self->x == x)
    return;
  self->x = x;
  drop_differences (self);
  tide_comparison_notify (self, TIDE_PROP_X);
  tide_comparison_reset_view (self);
  tide_comparison_emit_changed (self);
}

double
tide_comparison_get_margin (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NAN);
  return self->margin;
}

void
tide_comparison_set_margin (TideComparison *self, double percent)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));
  g_return_if_fail (percent >= 0 && percent <= TIDE_MOST_MARGIN_PERCENT);

  if (tide_is_same_value (self->margin, percent))
    return;
  self->margin = percent;
  tide_comparison_notify (self, TIDE_PROP_MARGIN);
  tide_comparison_emit_changed (self);
}

const char *
tide_comparison_get_title (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), NULL);
  return self->title;
}

void
tide_comparison_set_title (TideComparison *self, const char *title)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));

  if (tide_comparison_store_title (self, title))
    tide_comparison_emit_changed (self);
}

gboolean
tide_comparison_get_show_strip (TideComparison *self)
{
  g_return_val_if_fail (TIDE_IS_COMPARISON (self), FALSE);
  return self->show_strip;
}

void
tide_comparison_set_show_strip (TideComparison *self, gboolean show)
{
  g_return_if_fail (TIDE_IS_COMPARISON (self));

  show = !!show;
  if (self->show_strip == show)
    return;
  self->show_strip = show;
  tide_comparison_notify (self, TIDE_PROP_SHOW_STRIP);
  tide_comparison_emit_changed (self);
}
