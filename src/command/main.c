/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The `tide` program: a table of verbs. Everything else is in the verbs' files. */
#include "config.h"

#include <errno.h>
#include <fcntl.h>
#include <glib/gi18n-lib.h>
#include <locale.h>
#include <stdio.h>
#include <string.h>

#include "command/arguments.h"
#include "command/tables.h"
#include "command/verbs.h"

static const struct
{
  const char *name;
  int (*run) (int argc, char **argv);
  const char *summary;
} verbs[] = {
  { "import", tide_verb_import, N_ ("put exports of a meter into the library") },
  { "follow", tide_verb_follow, N_ ("follow a log that is still being written") },
  { "runs", tide_verb_runs, N_ ("list the library") },
  { "rules", tide_verb_rules, N_ ("list and keep the rules by which exports are read") },
  { "measure", tide_verb_measure, N_ ("print the numbers of each run") },
  { "compare", tide_verb_compare, N_ ("hold runs against a reference run") },
  { "draw", tide_verb_draw, N_ ("draw runs over each other into a PNG, SVG or PDF") },
  { "demo", tide_verb_demo, N_ ("put simulated runs into the library") },
};

/* A descriptor that the caller closed would be given to the next file that is opened, and what
 * is printed would go into it. Opened the wrong way round, so that printing fails as it should. */
static void
fill_closed_streams (void)
{
  const int flags[] = { O_WRONLY, O_RDONLY, O_RDONLY };
  for (int fd = 0; fd < (int)G_N_ELEMENTS (flags); fd++)
    if (fcntl (fd, F_GETFD) < 0 && errno == EBADF && open ("/dev/null", flags[fd]) != fd)
      g_error ("cannot open /dev/null");
}

static void
set_language (void)
{
  const char *folder = g_getenv ("TIDEMARK_LOCALEDIR");
  setlocale (LC_ALL, "");
  bindtextdomain (GETTEXT_PACKAGE, folder != NULL ? folder : TIDE_LOCALEDIR);
  bind_textdomain_codeset (GETTEXT_PACKAGE, "UTF-8");
}

static int
print_help (void)
{
  g_autoptr (TideTextTable) table = tide_text_table_new ("lll");
  for (guint i = 0; i < G_N_ELEMENTS (verbs); i++)
    {
      tide_text_table_add (table, "");
      tide_text_table_add (table, verbs[i].name);
      tide_text_table_add (table, _ (verbs[i].summary));
    }
  g_autofree char *lines = tide_text_table_to_text (table, 0);
  printf ("%s\n\n%s\n%s\n", _ ("Usage: tide VERB [OPTION…] [WORD…]"), lines,
          _ ("“tide VERB --help” tells a verb's options, “tide --version” the version.\n"
             "New here? “tide demo”, then “tide runs” and “tide compare 1 2”."));
  return TIDE_EXIT_DONE;
}

static int
tell_verbs (const char *given)
{
  GString *names = g_string_new (NULL);
  for (guint i = 0; i < G_N_ELEMENTS (verbs); i++)
    g_string_append_printf (names, "%s%s", i > 0 ? ", " : "", verbs[i].name);
  g_autofree char *list = g_string_free (names, FALSE);
  if (given == NULL)
    tide_remark (_ ("say what to do: %s (see “tide --help”)"), list);
  else
    tide_remark (_ ("%s is none of %s (see “tide --help”)"), given, list);
  return TIDE_EXIT_WRONG_USE;
}

static int
run_verb (int argc, char **argv)
{
  if (argc < 2)
    return tell_verbs (NULL);
  if (strcmp (argv[1], "--help") == 0 || strcmp (argv[1], "-h") == 0)
    return print_help ();
  if (strcmp (argv[1], "--version") == 0)
    return printf ("tide %s\n", TIDE_VERSION) < 0 ? TIDE_EXIT_FAILED : TIDE_EXIT_DONE;
  for (guint i = 0; i < G_N_ELEMENTS (verbs); i++)
    if (strcmp (argv[1], verbs[i].name) == 0)
      return verbs[i].run (argc - 1, argv + 1);
  return tell_verbs (argv[1]);
}

/* What was printed is done only when it arrived: a full disk under stdout is a failure. */
static int
finish_output (int status)
{
  if (fflush (stdout) == 0 && !ferror (stdout))
    return status;
  tide_remark (_ ("the output could not be written: %s"), g_strerror (errno));
  return status == TIDE_EXIT_WRONG_USE ? status : TIDE_EXIT_FAILED;
}

int
main (int argc, char **argv)
{
  fill_closed_streams ();
  set_language ();
  return finish_output (run_verb (argc, argv));
}
