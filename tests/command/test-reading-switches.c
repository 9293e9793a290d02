/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Every key of a reading rule has its switch; what a switch prints for a shell, a shell gives back.
 */
#include "command/reading-switches.h"

#include <string.h>

static void
test_every_key (void)
{
  g_auto (TideReadingSwitches) switches = { 0 };
  g_autoptr (GOptionContext) context = g_option_context_new (NULL);
  GOptionGroup *group = tide_reading_switches_make_group (&switches);
  g_autofree char *help = NULL;

  g_option_context_add_group (context, group);
  help = g_option_context_get_help (context, FALSE, NULL);
  for (const char *const *key = tide_reading_rule_get_keys (); *key != NULL; key++)
    {
      g_autofree char *option = g_strdup_printf (" --%s=", *key);

      g_test_message ("%s", *key);
      g_assert_nonnull (strstr (help, option));
    }
  g_assert_nonnull (strstr (help, " --rule="));
}

/* A switch given again is said anew, but for columns, which add up. */
static void
test_taken (void)
{
  char *words[] = {
    (char *)"tide",     (char *)"--column", (char *)"v=3:mV",    (char *)"--decimal", (char *)".",
    (char *)"--column", (char *)"a=4",      (char *)"--decimal", (char *)",",         NULL
  };
  char **argv = words;
  int argc = G_N_ELEMENTS (words) - 1;
  g_auto (TideReadingSwitches) switches = { 0 };
  g_autoptr (GOptionContext) context = g_option_context_new (NULL);
  g_autoptr (GError) error = NULL;

  g_assert_false (tide_reading_switches_are_given (&switches));
  g_option_context_add_group (context, tide_reading_switches_make_group (&switches));
  g_option_context_parse (context, &argc, &argv, &error);
  g_assert_no_error (error);
  g_assert_true (tide_reading_switches_are_given (&switches));
  g_assert_cmpint (tide_reading_switches_take (&switches, "import"), ==, TIDE_GO_ON);
  g_auto (GStrv) columns = tide_reading_rule_get (switches.stated, "column");
  g_auto (GStrv) decimals = tide_reading_rule_get (switches.stated, "decimal");
  g_assert_cmpuint (g_strv_length (columns), ==, 2);
  g_assert_cmpuint (g_strv_length (decimals), ==, 1);
  g_assert_cmpstr (decimals[0], ==, ",");
  g_autoptr (TideReadingRule) rule =
      tide_reading_switches_make_rule (&switches, "no library is looked for", &error);
  g_assert_no_error (error);
  g_assert_true (tide_reading_rule_equal (rule, switches.stated));
}

static void
test_shell (void)
{
  static const char *const texts[] = {
    "%d.%m.%Y %H:%M:%S",
    ",",
    "",
    "v=3:mV",
    "a=\"Strom 'A'\":mA",
    "$HOME `ls` \\",
    "*",
    "Größe",
    "-",
    "~/x",
    "#",
  };

  for (guint i = 0; i < G_N_ELEMENTS (texts); i++)
    {
      g_autofree char *text = tide_reading_switch_to_text ("column", texts[i]);
      g_auto (GStrv) argv = NULL;
      int argc;

      g_test_message ("%s", text);
      g_assert_true (g_shell_parse_argv (text, &argc, &argv, NULL));
      g_assert_cmpint (argc, ==, 2);
      g_assert_cmpstr (argv[0], ==, "--column");
      g_assert_cmpstr (argv[1], ==, texts[i]);
    }
}

static void
test_hints (void)
{
  static const struct
  {
    TideReadingError code;
    const char *message;
  } cases[] = {
    { TIDE_READING_ERROR_BROKEN, "why; --broken accept imports the rest" },
    { TIDE_READING_ERROR_NO_TIME,
      "why; --column t=1 says which column it is, --time how it is written, "
      "--every 1 the seconds from row to row" },
    { TIDE_READING_ERROR_NO_TABLE,
      "why; --column v=2 --column a=3, or --column w=2, say which columns they are, "
      "and --header 0 that none is named" },
    { TIDE_READING_ERROR_AMBIGUOUS, "why" }, /* nothing is known of the answers */
    { TIDE_READING_ERROR_EMPTY, "why" },
  };

  for (guint i = 0; i < G_N_ELEMENTS (cases); i++)
    {
      g_autoptr (GError) error = g_error_new (TIDE_READING_ERROR, (int)cases[i].code, "why");

      tide_reading_error_hint (error, NULL);
      g_assert_cmpstr (error->message, ==, cases[i].message);
    }
  g_autoptr (GError) other = g_error_new (G_IO_ERROR, G_IO_ERROR_NOT_FOUND, "why");
  tide_reading_error_hint (other, NULL);
  g_assert_cmpstr (other->message, ==, "why");
}

int
main (int argc, char **argv)
{
  g_test_init (&argc, &argv, NULL);
  g_test_add_func ("/command/reading-switches/every-key", test_every_key);
  g_test_add_func ("/command/reading-switches/taken", test_taken);
  g_test_add_func ("/command/reading-switches/shell", test_shell);
  g_test_add_func ("/command/reading-switches/hints", test_hints);
  return g_test_run ();
}
