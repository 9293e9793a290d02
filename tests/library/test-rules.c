/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Reading rules in the library: saved, found, renamed, removed, and what is refused. */
#include "support.h"

#include <string.h>

#include "library/store-private.h"

static gint64
save (TideStore *store, const char *name, const char *signature, const char *text)
{
  g_autoptr (GError) error = NULL;
  gint64 id = tide_store_save_rule (store, name, signature, text, &error);

  g_assert_no_error (error);
  g_assert_cmpint (id, >, 0);
  return id;
}

static TideStoredRule *
find (TideStore *store, const char *word, gboolean by_signature)
{
  g_autoptr (GError) error = NULL;
  TideStoredRule *rule = NULL;

  g_assert_true (tide_store_find_rule (store, word, by_signature, &rule, &error));
  g_assert_no_error (error);
  return rule;
}

/* What the list holds, as "name=text name=text". */
static char *
list_text (TideStore *store)
{
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) list = tide_store_list_rules (store, &error);
  GString *text = g_string_new (NULL);

  g_assert_no_error (error);
  for (guint i = 0; i < list->len; i++)
    {
      const TideStoredRule *rule = g_ptr_array_index (list, i);

      g_string_append_printf (text, "%s%s=%s", i > 0 ? " " : "", rule->name, rule->text);
    }
  return g_string_free (text, FALSE);
}

static void
assert_list (TideStore *store, const char *expected)
{
  g_autofree char *text = list_text (store);

  g_assert_cmpstr (text, ==, expected);
}

/* --- Kept --- */

static void
test_kept (Place *place, gconstpointer unused)
{
  const gint64 before_us = g_get_real_time ();
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideStoredRule) rule = NULL;
  gint64 id;

  assert_list (store, "");
  id = save (store, "Größe 充電", "Zeit\x1fU\x1fI", "[rule]\ntime=%d.%m.%Y\n");
  g_clear_pointer (&store, tide_store_free);
  store = open_store (place->path);
  rule = find (store, "Größe 充電", FALSE);
  g_assert_nonnull (rule);
  g_assert_cmpint (rule->id, ==, id);
  g_assert_cmpstr (rule->name, ==, "Größe 充電");
  g_assert_cmpstr (rule->signature, ==, "Zeit\x1fU\x1fI");
  g_assert_cmpstr (rule->text, ==, "[rule]\ntime=%d.%m.%Y\n");
  g_assert_cmpint (rule->saved_us, >=, before_us);
  g_assert_cmpint (rule->saved_us, <=, g_get_real_time ());
}

static void
test_found (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  TideStoredRule *rule;

  g_assert_null (find (store, "none", FALSE));
  g_assert_null (find (store, "none", TRUE));
  save (store, "b", "head", "2");
  save (store, "a", "other", "1");
  save (store, "c", "head", "3");
  assert_list (store, "a=1 b=2 c=3");
  rule = find (store, "head", TRUE);
  g_assert_cmpstr (rule->name, ==, "c");
  tide_stored_rule_free (rule);
  /* The one saved last is that which was saved again. */
  save (store, "b", "head", "4");
  rule = find (store, "head", TRUE);
  g_assert_cmpstr (rule->name, ==, "b");
  tide_stored_rule_free (rule);
  /* Names are what they are: no pattern, no other case. */
  g_assert_null (find (store, "B", FALSE));
  g_assert_null (find (store, "%", FALSE));
  g_assert_null (find (store, "head", FALSE));
}

static void
test_saved_again (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  gint64 first = save (store, "mine", "head", "1");
  gint64 other = save (store, "yours", "head", "1");
  g_autoptr (TideStoredRule) rule = NULL;

  g_assert_cmpint (other, !=, first);
  g_assert_cmpint (save (store, "mine", "another head", "2"), ==, first);
  assert_list (store, "mine=2 yours=1");
  rule = find (store, "mine", FALSE);
  g_assert_cmpstr (rule->signature, ==, "another head");
}

static void
test_renamed (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  gint64 id = save (store, "old", "head", "1");
  g_autoptr (GError) error = NULL;

  save (store, "taken", "head", "2");
  g_assert_true (tide_store_rename_rule (store, id, "new", &error));
  g_assert_true (tide_store_rename_rule (store, id, "new", &error)); /* to itself */
  g_assert_no_error (error);
  assert_list (store, "new=1 taken=2");
  g_assert_false (tide_store_rename_rule (store, id, "taken", &error));
  assert_trouble (error, TIDE_STORE_ERROR_RULE, "taken", "nothing was changed");
  assert_list (store, "new=1 taken=2");
}

static void
test_removed (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  gint64 id = save (store, "old", "head", "1");
  g_autoptr (GError) error = NULL;

  g_assert_true (tide_store_remove_rule (store, id, &error));
  g_assert_no_error (error);
  assert_list (store, "");
  g_assert_false (tide_store_remove_rule (store, id, &error));
  assert_trouble (error, TIDE_STORE_ERROR_RULE, place->path, "there is no rule 1");
  g_clear_error (&error);
  g_assert_false (tide_store_rename_rule (store, id, "new", &error));
  assert_trouble (error, TIDE_STORE_ERROR_RULE, place->path, "there is no rule 1");
  /* A number is never given twice. */
  g_assert_cmpint (save (store, "new", "head", "1"), >, id);
}

/* --- Refused --- */

static char *
make_text (gsize length)
{
  char *text = g_malloc (length + 1);

  memset (text, 'x', length);
  text[length] = '\0';
  return text;
}

static void
test_bounds (Place *place, gconstpointer unused)
{
  g_autofree char *name = make_text (TIDE_MAX_RULE_NAME_BYTES);
  g_autofree char *long_name = make_text (TIDE_MAX_RULE_NAME_BYTES + 1);
  g_autofree char *text = make_text (TIDE_MAX_RULE_TEXT_BYTES);
  g_autofree char *long_text = make_text (TIDE_MAX_RULE_TEXT_BYTES + 1);
  const struct
  {
    const char *name, *signature, *text, *says;
  } cases[] = {
    { "", "head", "1", "needs a name" },        { long_name, "head", "1", "200 bytes and has 201" },
    { "\xff", "head", "1", "valid UTF-8" },     { "mine", "", "1", "mine: the file has no header" },
    { "mine", "head", long_text, "has 65537" },
  };
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideStoredRule) kept = NULL;
  gint64 id = save (store, name, "head", text);

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_cmpint (tide_store_save_rule (store, cases[i].name, cases[i].signature,
                                             cases[i].text, &error),
                       ==, 0);
      assert_trouble (error, TIDE_STORE_ERROR_RULE, cases[i].says, "nothing was changed");
    }
  for (guint i = 0; i < 3; i++)
    {
      g_autoptr (GError) error = NULL;

      g_assert_false (tide_store_rename_rule (store, id, cases[i].name, &error));
      assert_trouble (error, TIDE_STORE_ERROR_RULE, cases[i].says, "nothing was changed");
    }
  kept = find (store, name, FALSE);
  g_assert_nonnull (kept);
}

/* Every verb on a library whose rules someone took out says so in one line. */
static void
test_damaged (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  TideStoredRule *rule = NULL;

  g_assert_true (tide_store_run_sql (store, "DROP TABLE rule", NULL));
  for (int verb = 0; verb < 5; verb++)
    {
      g_autoptr (GError) error = NULL;

      switch (verb)
        {
        case 0:
          g_assert_null (tide_store_list_rules (store, &error));
          break;
        case 1:
          g_assert_false (tide_store_find_rule (store, "mine", FALSE, &rule, &error));
          g_assert_null (rule);
          break;
        case 2:
          g_assert_cmpint (tide_store_save_rule (store, "mine", "head", "1", &error), ==, 0);
          break;
        case 3:
          g_assert_false (tide_store_rename_rule (store, 1, "mine", &error));
          break;
        default:
          g_assert_false (tide_store_remove_rule (store, 1, &error));
        }
      assert_trouble (error, TIDE_STORE_ERROR_FAILED, place->path, "no such table: rule");
    }
}

/* A rule is saved while another connection reads the list. */
static void
test_two_connections (Place *place, gconstpointer unused)
{
  g_autoptr (TideStore) store = open_store (place->path);
  g_autoptr (TideStore) other = open_store (place->path);

  save (store, "mine", "head", "1");
  assert_list (other, "mine=1");
  save (other, "mine", "head", "2");
  assert_list (store, "mine=2");
}

#define ADD(path, function)                                                                        \
  g_test_add ("/library/rules/" path, Place, NULL, set_up_place, function, tear_down_place)

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  ADD ("kept", test_kept);
  ADD ("found", test_found);
  ADD ("saved-again", test_saved_again);
  ADD ("renamed", test_renamed);
  ADD ("removed", test_removed);
  ADD ("bounds", test_bounds);
  ADD ("damaged", test_damaged);
  ADD ("two-connections", test_two_connections);
  return g_test_run ();
}
