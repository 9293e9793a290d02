/* SPDX-License-Identifier: GPL-3.0-or-later */
/* See import-questions.h. A question is known again by its answers. */
#include "window/import-questions.h"

#include <glib/gi18n-lib.h>
#include <inttypes.h>

#include "intake/statements.h"

typedef struct
{
  char *id;
  GtkWidget *widget;  /* borrowed from the tree */
  GtkLabel *sentence; /* likewise */
  GPtrArray *buttons; /* GtkCheckButton, likewise, one an answer */
  GStrv keys, texts;
  gboolean is_open;
} Card;

struct _TideImportQuestions
{
  GtkBox parent;

  GPtrArray *cards; /* Card */
  gboolean updating;
};

G_DEFINE_FINAL_TYPE (TideImportQuestions, tide_import_questions, GTK_TYPE_BOX)

enum
{
  SIGNAL_ANSWERED,
  SIGNAL_WITHDRAWN,
  SIGNAL_PLACE,
  N_SIGNALS
};
static guint signals[N_SIGNALS];

/* Cards */

static void
free_card (gpointer data)
{
  Card *card = data;

  g_free (card->id);
  g_ptr_array_unref (card->buttons);
  g_strfreev (card->keys);
  g_strfreev (card->texts);
  g_free (card);
}

static char *
make_id (const TideQuestion *question)
{
  GString *id = g_string_new (question->column);

  for (guint a = 0; a < question->answers->len; a++)
    {
      const TideAnswer *answer = question->answers->pdata[a];

      g_string_append_printf (id, "\n%s=%s", answer->key, answer->text);
    }
  return g_string_free (id, FALSE);
}

static Card *
find_card (TideImportQuestions *self, const char *id)
{
  for (guint i = 0; i < self->cards->len; i++)
    if (g_str_equal (((Card *)self->cards->pdata[i])->id, id))
      return self->cards->pdata[i];
  return NULL;
}

static Card *
find_card_of (TideImportQuestions *self, GtkCheckButton *button, guint *answer)
{
  for (guint i = 0; i < self->cards->len; i++)
    {
      Card *card = self->cards->pdata[i];

      if (g_ptr_array_find (card->buttons, button, answer))
        return card;
    }
  return NULL;
}

/* Callbacks */

static void
toggled_cb (GtkCheckButton *button, TideImportQuestions *self)
{
  guint answer;
  Card *card = find_card_of (self, button, &answer);

  if (self->updating || card == NULL)
    return;
  if (!gtk_check_button_get_active (button))
    {
      /* the one that takes its place in the group speaks for itself; what nothing replaces is taken
       * back */
      g_signal_emit (self, signals[SIGNAL_WITHDRAWN], 0, card->keys[answer], card->texts[answer]);
      return;
    }
  g_signal_emit (self, signals[SIGNAL_ANSWERED], 0, card->keys[answer], card->texts[answer]);
}

static void
place_cb (GtkButton *button, TideImportQuestions *self)
{
  guint64 *row = g_object_get_data (G_OBJECT (button), "row");

  g_signal_emit (self, signals[SIGNAL_PLACE], 0, *row);
}

/* Making a card */

static GtkWidget *
make_label (const char *text, const char *css_class)
{
  GtkWidget *label = gtk_label_new (text);

  gtk_label_set_wrap (GTK_LABEL (label), TRUE);
  gtk_label_set_wrap_mode (GTK_LABEL (label), PANGO_WRAP_WORD_CHAR);
  gtk_label_set_xalign (GTK_LABEL (label), 0);
  gtk_widget_set_hexpand (label, TRUE);
  if (css_class != NULL)
    gtk_widget_add_css_class (label, css_class);
  return label;
}

/* What is asked stands alone here: it begins like a sentence. */
static char *
dup_sentence (const char *text)
{
  g_autofree char *first = g_utf8_strup (text, g_utf8_next_char (text) - text);

  return g_strconcat (first, g_utf8_next_char (text), NULL);
}

static GtkWidget *
make_place_button (TideImportQuestions *self, const TideQuestion *question)
{
  g_autofree char *text = g_strdup_printf (_ ("Row %" PRIu64), question->row);
  GtkWidget *button = gtk_button_new_with_label (text);

  g_object_set_data_full (G_OBJECT (button), "row",
                          g_memdup2 (&question->row, sizeof question->row), g_free);
  gtk_widget_add_css_class (button, "flat");
  gtk_widget_set_valign (button, GTK_ALIGN_START);
  gtk_widget_set_tooltip_text (button, _ ("Show this row in the table"));
  g_signal_connect (button, "clicked", G_CALLBACK (place_cb), self);
  return button;
}

static void
add_answer (TideImportQuestions *self, Card *card, const TideAnswer *answer)
{
  GtkWidget *button = gtk_check_button_new ();

  gtk_check_button_set_child (GTK_CHECK_BUTTON (button), make_label (answer->meaning, NULL));
  gtk_accessible_update_property (GTK_ACCESSIBLE (button), GTK_ACCESSIBLE_PROPERTY_LABEL,
                                  answer->meaning, -1);
  if (card->buttons->len > 0)
    gtk_check_button_set_group (GTK_CHECK_BUTTON (button), card->buttons->pdata[0]);
  g_ptr_array_add (card->buttons, button);
  g_signal_connect (button, "toggled", G_CALLBACK (toggled_cb), self);
  gtk_box_append (GTK_BOX (card->widget), button);
}

static Card *
add_card (TideImportQuestions *self, const TideQuestion *question, char *id)
{
  Card *card = g_new0 (Card, 1);
  g_autoptr (GStrvBuilder) keys = g_strv_builder_new (), texts = g_strv_builder_new ();
  GtkWidget *top = gtk_box_new (GTK_ORIENTATION_HORIZONTAL, 6);
  g_autofree char *sentence = dup_sentence (question->text);

  card->id = id;
  card->buttons = g_ptr_array_new ();
  card->widget = gtk_box_new (GTK_ORIENTATION_VERTICAL, 6);
  card->sentence = GTK_LABEL (make_label (sentence, "heading"));
  gtk_box_append (GTK_BOX (top), GTK_WIDGET (card->sentence));
  if (question->row > 0)
    gtk_box_append (GTK_BOX (top), make_place_button (self, question));
  gtk_box_append (GTK_BOX (card->widget), top);
  for (guint a = 0; a < question->answers->len; a++)
    {
      const TideAnswer *answer = question->answers->pdata[a];

      g_strv_builder_add (keys, answer->key);
      g_strv_builder_add (texts, answer->text);
      add_answer (self, card, answer);
    }
  card->keys = g_strv_builder_end (keys);
  card->texts = g_strv_builder_end (texts);
  gtk_widget_add_css_class (card->widget, "card");
  gtk_widget_add_css_class (card->widget, "question");
  gtk_box_append (GTK_BOX (self), card->widget);
  g_ptr_array_add (self->cards, card);
  return card;
}

/* What the rule says is marked; a doubt that nothing is said of is read by its first answer. */
static gboolean
mark_answers (Card *card, const TideReadingRule *rule, gboolean is_asked)
{
  gboolean answered = FALSE;

  for (guint a = 0; a < card->buttons->len; a++)
    {
      gboolean made = tide_statement_is_made (rule, card->keys[a], card->texts[a]);

      gtk_check_button_set_active (card->buttons->pdata[a], made);
      answered = answered || made;
    }
  if (!answered && is_asked && !card->is_open)
    gtk_check_button_set_active (card->buttons->pdata[0], TRUE);
  return answered;
}

/* Overrides */

static void
tide_import_questions_finalize (GObject *object)
{
  g_ptr_array_unref (TIDE_IMPORT_QUESTIONS (object)->cards);
  G_OBJECT_CLASS (tide_import_questions_parent_class)->finalize (object);
}

static void
tide_import_questions_class_init (TideImportQuestionsClass *klass)
{
  GType type = G_TYPE_FROM_CLASS (klass);

  G_OBJECT_CLASS (klass)->finalize = tide_import_questions_finalize;
  signals[SIGNAL_ANSWERED] = g_signal_new ("answered", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                           G_TYPE_NONE, 2, G_TYPE_STRING, G_TYPE_STRING);
  signals[SIGNAL_WITHDRAWN] = g_signal_new ("withdrawn", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL,
                                            NULL, G_TYPE_NONE, 2, G_TYPE_STRING, G_TYPE_STRING);
  signals[SIGNAL_PLACE] = g_signal_new ("place", type, G_SIGNAL_RUN_LAST, 0, NULL, NULL, NULL,
                                        G_TYPE_NONE, 1, G_TYPE_UINT64);
}

static void
tide_import_questions_init (TideImportQuestions *self)
{
  gtk_orientable_set_orientation (GTK_ORIENTABLE (self), GTK_ORIENTATION_VERTICAL);
  gtk_box_set_spacing (GTK_BOX (self), 12);
  self->cards = g_ptr_array_new_with_free_func (free_card);
}

/* Public */

void
tide_import_questions_update (TideImportQuestions *self,
                              GPtrArray *questions,
                              const TideReadingRule *rule)
{
  g_autoptr (GHashTable) asked = g_hash_table_new (NULL, NULL);

  self->updating = TRUE;
  for (guint i = 0; i < questions->len; i++)
    {
      const TideQuestion *question = questions->pdata[i];
      g_autofree char *id = make_id (question);
      g_autofree char *sentence = dup_sentence (question->text);
      Card *card = find_card (self, id);

      if (card == NULL)
        card = add_card (self, question, g_steal_pointer (&id));
      card->is_open = question->is_open;
      gtk_label_set_label (card->sentence, sentence);
      g_hash_table_add (asked, card);
    }
  for (guint i = self->cards->len; i > 0; i--)
    {
      Card *card = self->cards->pdata[i - 1];
      gboolean is_asked = g_hash_table_contains (asked, card);

      if (mark_answers (card, rule, is_asked) || is_asked)
        continue;
      gtk_box_remove (GTK_BOX (self), card->widget);
      g_ptr_array_remove_index (self->cards, i - 1);
    }
  self->updating = FALSE;
  gtk_widget_set_visible (GTK_WIDGET (self), self->cards->len > 0);
}

gboolean
tide_import_questions_focus_open (TideImportQuestions *self)
{
  for (guint i = 0; i < self->cards->len; i++)
    {
      Card *card = self->cards->pdata[i];

      if (card->is_open)
        return gtk_widget_grab_focus (card->buttons->pdata[0]);
    }
  return FALSE;
}
