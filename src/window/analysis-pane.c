/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The pane of numbers, built afresh from the table in analysis-rows.c whenever the compared runs,
 * the reference or the margin change (not when the view is panned). The quantities' names stay in
 * place at the left while the columns of the runs scroll sideways. A click on a number copies it.
 */
#include "window/analysis-pane.h"

#include <adwaita.h>
#include <glib/gi18n-lib.h>
#include <math.h>

#include "chart/palette.h"
#include "window/analysis-rows.h"
#include "window/verdicts.h"
#include "window/wheel.h"

/* Wider column heads would push the third run out of a pane of usual width. One or two runs share
 * the room of three. */
#define NAME_CHARS 8
#define ROOM_RUNS  3
#define NAME_LINES 3
/* Remarks on one run; the command line tells the rest. */
#define MOST_REMARKS 5

struct _TideAnalysisPane
{
  GtkWidget parent;

  /* owned */
  TideComparison *comparison;
  GSignalGroup *signals;
  char *shown;      /* what the columns were built from; see describe_columns() */
  guint rebuild_id; /* idle source, 0: none is due */

  /* children */
  GtkWidget *scroller; /* vertical, around everything but the legend */
  GtkWidget *legend;   /* of the verdicts' marks */
};

G_DEFINE_FINAL_TYPE (TideAnalysisPane, tide_analysis_pane, GTK_TYPE_WIDGET)

enum
{
  PROP_0,
  PROP_COMPARISON,
  N_PROPS
};
static GParamSpec *properties[N_PROPS];

enum
{
  SIGNAL_COPIED,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* Helpers: order of columns */

/* The reference first, then the others in their order. */
static guint
get_column_position (TideComparison *comparison, guint column)
{
  guint reference = tide_comparison_get_reference (comparison);

  if (column == 0)
    return reference;
  return column <= reference ? column - 1 : column;
}

/* Everything that the columns show, in one string: equal strings need no new widgets. */
static char *
describe_columns (TideAnalysisPane *self)
{
  GString *text = g_string_new (
      adw_style_manager_get_dark (adw_style_manager_get_default ()) ? "dark" : "light");
  guint n = self->comparison ? tide_comparison_get_n_runs (self->comparison) : 0;

  for (guint column = 0; column < n; column++)
    {
      guint position = get_column_position (self->comparison, column);
      TideComparedRun *run = tide_comparison_get_run (self->comparison, position);
      const char *note = tide_comparison_get_alignment_note (self->comparison, position);

      g_string_append_printf (text, "\n%p %.17g %u %s %s",
                              (gconstpointer)tide_compared_run_get_measurement (run),
                              tide_compared_run_get_measurement (run)->energy_wh.value,
                              tide_compared_run_get_slot (run), tide_compared_run_get_name (run),
                              note ? note : "");
    }
  if (n > 0)
    g_string_append_printf (text, "\n%g", tide_comparison_get_margin (self->comparison));
  return g_string_free (text, FALSE);
}

/* Helpers: widgets */

static GtkWidget *
make_label (const char *text, float xalign, const char *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_xalign (GTK_LABEL (label), xalign);
  if (css_class)
    gtk_widget_add_css_class (label, css_class);
  return label;
}

static void
copy_cb (GtkButton *button, TideAnalysisPane *self)
{
  const char *text = g_object_get_data (G_OBJECT (button), "text");

  gdk_clipboard_set_text (gtk_widget_get_clipboard (GTK_WIDGET (self)), text);
  g_signal_emit (self, signals[SIGNAL_COPIED], 0, text);
}

static GtkWidget *
make_cell (TideAnalysisPane *self, const TideAnalysisRow *row, guint position)
{
  guint reference_position = tide_comparison_get_reference (self->comparison);
  TideComparedRun *run = tide_comparison_get_run (self->comparison, position);
  TideComparedRun *reference = tide_comparison_get_run (self->comparison, reference_position);
  const TideMeasurement *measurement = tide_compared_run_get_measurement (run);
  char *text = tide_analysis_row_to_text (row, measurement);
  g_autofree char *spoken = g_strdup_printf ("%s, %s: %s %s", tide_compared_run_get_name (run),
                                             _ (row->label), text, row->unit);
  g_autofree char *difference = NULL, *verdict = NULL;
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 0), *button = gtk_button_new ();

  gtk_box_append (GTK_BOX (box), make_label (text, 1, "numeric"));
  if (position != reference_position
      && tide_analysis_row_compares (row, tide_compared_run_get_measurement (reference),
                                     measurement))
    {
      TideFinding finding = tide_comparison_get_finding (self->comparison, position, row->compared);

      difference = tide_verdicts_get_difference (&finding);
      verdict = tide_verdicts_describe (&finding);
    }
  if (difference)
    {
      GtkWidget *label = make_label (difference, 1, "dim-label");

      gtk_widget_add_css_class (label, "caption");
      gtk_widget_add_css_class (label, "numeric");
      gtk_box_append (GTK_BOX (box), label);
      gtk_widget_set_tooltip_text (button, verdict);
    }
  gtk_button_set_child (GTK_BUTTON (button), box);
  gtk_widget_add_css_class (button, "flat");
  gtk_widget_add_css_class (button, "number");
  g_object_set_data_full (G_OBJECT (button), "text", text, g_free);
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL, spoken,
                                  -1);
  g_signal_connect (button, "clicked", G_CALLBACK (copy_cb), self);
  return button;
}

/* A long name on up to three lines, broken at its spaces: a label that wraps by itself has a height
 * that depends on its width, of which a size group knows nothing. */
static void
break_name (char *name, int most)
{
  char *line = name, *space = NULL;
  guint lines = 1;

  for (char *c = name; *c != '\0'; c = g_utf8_next_char (c))
    {
      char *end = g_utf8_next_char (c);

      if (*end != ' ' && *end != '\0')
        continue;
      if (space != NULL && lines < NAME_LINES && g_utf8_strlen (line, end - line) > most)
        {
          *space = '\n';
          line = space + 1;
          lines++;
        }
      space = end;
    }
}

static GtkWidget *
make_column_head (TideAnalysisPane *self, guint position)
{
  TideLook look = adw_style_manager_get_dark (adw_style_manager_get_default ()) ? TIDE_LOOK_DARK
                                                                                : TIDE_LOOK_LIGHT;
  TideComparedRun *run = tide_comparison_get_run (self->comparison, position);
  TideColor color = tide_palette_get_series (look, tide_compared_run_get_slot (run));
  g_autofree char *name = g_markup_escape_text (tide_compared_run_get_name (run), -1);
  GtkWidget *label = make_label (NULL, 1, "caption-heading");
  guint n = tide_comparison_get_n_runs (self->comparison);
  int most = NAME_CHARS * ROOM_RUNS / (int)CLAMP (n, 1, ROOM_RUNS);

  break_name (name, most);
  g_autofree char *markup =
      g_strdup_printf ("<span foreground=\"#%02x%02x%02x\">■</span> %s",
                       (int)lround (color.red * 255), (int)lround (color.green * 255),
                       (int)lround (color.blue * 255), name);
  gtk_label_set_markup (GTK_LABEL (label), markup);
  gtk_label_set_ellipsize (GTK_LABEL (label), PANGO_ELLIPSIZE_END);
  gtk_label_set_width_chars (GTK_LABEL (label), most);
  gtk_label_set_max_width_chars (GTK_LABEL (label), most);
  gtk_label_set_justify (GTK_LABEL (label), GTK_JUSTIFY_RIGHT);
  gtk_widget_set_tooltip_text (label, tide_compared_run_get_name (run));
  gtk_widget_set_valign (label, GTK_ALIGN_END);
  return label;
}

/* Not wrapped: a size group knows nothing of heights that depend on a width. */
static GtkWidget *
make_row_label (const TideAnalysisRow *row)
{
  GtkWidget *label = make_label (_ (row->label), 0, "quantity");

  gtk_label_set_yalign (GTK_LABEL (label), 0);
  return label;
}

/* One line of the table: its label in the grid that stays, its cells in the grid that scrolls.
 * GTK's size group is not kept by its members, so the label keeps it. */
typedef struct
{
  GtkGrid *labels, *values;
  GtkSizeGroup *height;
  int line;
} Table;

static void
start_line (Table *table, GtkWidget *label)
{
  table->line++;
  table->height = gtk_size_group_new (GTK_SIZE_GROUP_VERTICAL);
  gtk_size_group_add_widget (table->height, label);
  g_object_set_data_full (G_OBJECT (label), "height", table->height, g_object_unref);
  gtk_grid_attach (table->labels, label, 0, table->line, 1, 1);
}

static void
put_cell (Table *table, GtkWidget *cell, guint column)
{
  gtk_size_group_add_widget (table->height, cell);
  gtk_grid_attach (table->values, cell, (int)column, table->line, 1, 1);
}

static void
fill_table (TideAnalysisPane *self, Table *table)
{
  guint n = tide_comparison_get_n_runs (self->comparison);

  start_line (table, make_label (n > 1 ? _ ("Reference first") : "", 0, "dim-label"));
  for (guint column = 0; column < n; column++)
    put_cell (table, make_column_head (self, get_column_position (self->comparison, column)),
              column);
  for (guint i = 0; i < tide_n_analysis_rows; i++)
    {
      const TideAnalysisRow *row = &tide_analysis_rows[i];

      if (row->group)
        {
          start_line (table, make_label (_ (row->group), 0, "group-heading"));
          put_cell (table, make_label ("", 0, NULL), 0);
        }
      start_line (table, make_row_label (row));
      for (guint column = 0; column < n; column++)
        put_cell (table, make_cell (self, row, get_column_position (self->comparison, column)),
                  column);
    }
}

/* name: NULL where the text says whom it is about. */
static void
add_note (GtkBox *box, const char *name, const char *text)
{
  g_autofree char *line = name != NULL ? g_strdup_printf ("%s: %s", name, text) : g_strdup (text);
  GtkWidget *label = make_label (line, 0, "dim-label");

  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_selectable (GTK_LABEL (label), TRUE);
  gtk_box_append (box, label);
}

static void
add_remarks (GtkBox *box, const char *name, GPtrArray *complaints)
{
  guint shown = MIN (complaints->len, MOST_REMARKS), more = complaints->len - shown;

  for (guint i = 0; i < shown; i++)
    {
      g_autofree char *text = tide_complaint_to_text (g_ptr_array_index (complaints, i));

      add_note (box, name, text);
    }
  if (more > 0)
    {
      g_autofree char *text =
          g_strdup_printf (ngettext ("%u more remark; “tide measure --json” tells all",
                                     "%u more remarks; “tide measure --json” tells all", more),
                           more);

      add_note (box, name, text);
    }
}

/* What a reader of the numbers must know: unsettled logs, other alignments, complaints. */
static GtkWidget *
make_notes (TideAnalysisPane *self)
{
  GtkWidget *box = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);

  for (guint i = 0; i < tide_comparison_get_n_runs (self->comparison); i++)
    {
      TideComparedRun *run = tide_comparison_get_run (self->comparison, i);
      const TideMeasurement *measurement = tide_compared_run_get_measurement (run);
      const char *name = tide_compared_run_get_name (run),
                 *note = tide_comparison_get_alignment_note (self->comparison, i);

      if (measurement->unsettled_reason)
        add_note (GTK_BOX (box), name, measurement->unsettled_reason);
      if (note)
        add_note (GTK_BOX (box), NULL, note);
      add_remarks (GTK_BOX (box), name, measurement->complaints);
    }
  gtk_widget_add_css_class (box, "notes");
  return box;
}

static GtkWidget *
make_content (TideAnalysisPane *self)
{
  GtkWidget *outer = gtk_box_new (GTK_ORIENTATION_VERTICAL, 12),
            *sides = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 0);
  GtkWidget *labels = gtk_grid_new (), *values = gtk_grid_new (),
            *sideways = gtk_scrolled_window_new ();

  fill_table (self, &(Table){ GTK_GRID (labels), GTK_GRID (values), NULL, -1 });
  gtk_grid_set_column_homogeneous (GTK_GRID (values), TRUE);
  gtk_widget_set_halign (values, GTK_ALIGN_END);
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (sideways), GTK_POLICY_AUTOMATIC,
                                  GTK_POLICY_NEVER);
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (sideways), values);
  gtk_widget_set_hexpand (sideways, TRUE);
  tide_pass_wheel_up (GTK_SCROLLED_WINDOW (sideways), GTK_SCROLLED_WINDOW (self->scroller));
  gtk_box_append (GTK_BOX (sides), labels);
  gtk_box_append (GTK_BOX (sides), sideways);
  gtk_box_append (GTK_BOX (outer), sides);
  gtk_box_append (GTK_BOX (outer), make_notes (self));
  gtk_widget_add_css_class (outer, "analysis");
  return outer;
}

static GtkWidget *
make_empty (void)
{
  GtkWidget *label =
      make_label (_ ("Tick runs in the library to read their numbers here."), 0.5f, "dim-label");

  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_justify (GTK_LABEL (label), GTK_JUSTIFY_CENTER);
  gtk_widget_set_valign (label, GTK_ALIGN_CENTER);
  gtk_widget_set_margin_start (label, 24);
  gtk_widget_set_margin_end (label, 24);
  return label;
}

static void
show_legend (TideAnalysisPane *self, gboolean any)
{
  g_autofree char *text = any ? tide_verdicts_make_legend (self->comparison) : NULL;

  gtk_label_set_label (GTK_LABEL (self->legend), text != NULL ? text : "");
  gtk_widget_set_visible (self->legend, text != NULL);
}

static void
rebuild (TideAnalysisPane *self)
{
  char *columns = describe_columns (self);
  gboolean empty = !self->comparison || tide_comparison_get_n_runs (self->comparison) == 0;
  double place;

  if (g_strcmp0 (columns, self->shown) == 0)
    {
      g_free (columns);
      return;
    }
  g_free (self->shown);
  self->shown = columns;
  place = gtk_adjustment_get_value (
      gtk_scrolled_window_get_vadjustment (GTK_SCROLLED_WINDOW (self->scroller)));
  gtk_scrolled_window_set_child (GTK_SCROLLED_WINDOW (self->scroller),
                                 empty ? make_empty () : make_content (self));
  show_legend (self, !empty);
  gtk_adjustment_set_value (gtk_scrolled_window_get_vadjustment (
                                GTK_SCROLLED_WINDOW (self->scroller)),
                            place);
}

/* Callbacks */

static gboolean
rebuild_cb (gpointer user_data)
{
  TideAnalysisPane *self = user_data;

  self->rebuild_id = 0;
  rebuild (self);
  return G_SOURCE_REMOVE;
}

/* Several changes in a row (ticking all runs) are answered once. */
static void
queue_rebuild (TideAnalysisPane *self)
{
  if (self->rebuild_id == 0)
    self->rebuild_id = g_idle_add (rebuild_cb, self);
}

/* Overrides */

static void
tide_analysis_pane_dispose (GObject *object)
{
  TideAnalysisPane *self = TIDE_ANALYSIS_PANE (object);

  g_clear_handle_id (&self->rebuild_id, g_source_remove);
  if (self->signals)
    g_signal_group_set_target (self->signals, NULL);
  g_clear_object (&self->signals);
  g_clear_object (&self->comparison);
  g_clear_pointer (&self->shown, g_free);
  g_clear_pointer (&self->scroller, gtk_widget_unparent);
  g_clear_pointer (&self->legend, gtk_widget_unparent);
  G_OBJECT_CLASS (tide_analysis_pane_parent_class)->dispose (object);
}

static void
tide_analysis_pane_get_property (GObject *object, guint id, GValue *value, GParamSpec *pspec)
{
  if (id == PROP_COMPARISON)
    g_value_set_object (value, TIDE_ANALYSIS_PANE (object)->comparison);
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
tide_analysis_pane_set_property (GObject *object, guint id, const GValue *value, GParamSpec *pspec)
{
  if (id == PROP_COMPARISON)
    tide_analysis_pane_set_comparison (TIDE_ANALYSIS_PANE (object), g_value_get_object (value));
  else
    G_OBJECT_WARN_INVALID_PROPERTY_ID (object, id, pspec);
}

static void
tide_analysis_pane_class_init (TideAnalysisPaneClass *klass)
{
  GObjectClass *object_class = G_OBJECT_CLASS (klass);
  GtkWidgetClass *widget_class = GTK_WIDGET_CLASS (klass);

  object_class->dispose = tide_analysis_pane_dispose;
  object_class->get_property = tide_analysis_pane_get_property;
  object_class->set_property = tide_analysis_pane_set_property;

  properties[PROP_COMPARISON] =
      g_param_spec_object ("comparison", NULL, NULL, TIDE_TYPE_COMPARISON,
                           G_PARAM_READWRITE | G_PARAM_EXPLICIT_NOTIFY | G_PARAM_STATIC_STRINGS);
  g_object_class_install_properties (object_class, N_PROPS, properties);
  signals[SIGNAL_COPIED] = g_signal_new ("copied", G_TYPE_FROM_CLASS (klass), G_SIGNAL_RUN_LAST, 0,
                                         NULL, NULL, NULL, G_TYPE_NONE, 1, G_TYPE_STRING);

  gtk_widget_class_set_css_name (widget_class, "analysispane");
  gtk_widget_class_set_layout_manager_type (widget_class, GTK_TYPE_BOX_LAYOUT);
}

static void
tide_analysis_pane_init (TideAnalysisPane *self)
{
  self->scroller = gtk_scrolled_window_new ();
  gtk_scrolled_window_set_policy (GTK_SCROLLED_WINDOW (self->scroller), GTK_POLICY_NEVER,
                                  GTK_POLICY_AUTOMATIC);
  gtk_widget_set_vexpand (self->scroller, TRUE);
  gtk_widget_set_parent (self->scroller, GTK_WIDGET (self));
  self->legend = make_label ("", 0, "dim-label");
  gtk_label_set_wrap (GTK_LABEL (self->legend), TRUE);
  gtk_widget_add_css_class (self->legend, "verdicts");
  gtk_widget_set_parent (self->legend, GTK_WIDGET (self));
  gtk_orientable_set_orientation (GTK_ORIENTABLE (
                                      gtk_widget_get_layout_manager (GTK_WIDGET (self))),
                                  GTK_ORIENTATION_VERTICAL);
  self->signals = g_signal_group_new (TIDE_TYPE_COMPARISON);
  g_signal_group_connect_swapped (self->signals, "changed", G_CALLBACK (queue_rebuild), self);
  g_signal_connect_object (adw_style_manager_get_default (), "notify::dark",
                           G_CALLBACK (queue_rebuild), self, G_CONNECT_SWAPPED);
  rebuild (self);
}

/* Public */

GtkWidget *
tide_analysis_pane_new (void)
{
  return g_object_new (TIDE_TYPE_ANALYSIS_PANE, NULL);
}

TideComparison *
tide_analysis_pane_get_comparison (TideAnalysisPane *self)
{
  g_return_val_if_fail (TIDE_IS_ANALYSIS_PANE (self), NULL);
  return self->comparison;
}

void
tide_analysis_pane_set_comparison (TideAnalysisPane *self, TideComparison *comparison)
{
  g_return_if_fail (TIDE_IS_ANALYSIS_PANE (self));
  if (!g_set_object (&self->comparison, comparison))
    return;
  g_signal_group_set_target (self->signals, comparison);
  queue_rebuild (self);
  g_object_notify_by_pspec (G_OBJECT (self), properties[PROP_COMPARISON]);
}
