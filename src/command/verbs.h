/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The verbs of `tide`: one function each, one file each, listed in main.c's table.
 *
 * A verb gets its own arguments (argv[0] is the verb's name), prints its result to stdout and gives the exit status:
 * 0 done, 1 the work failed (one line on stderr), 2 wrong use (one line and a pointer to --help).
 */
#pragma once

int tide_verb_import  (int argc, char **argv);
int tide_verb_follow  (int argc, char **argv);
int tide_verb_runs    (int argc, char **argv);
int tide_verb_rules   (int argc, char **argv);
int tide_verb_measure (int argc, char **argv);
int tide_verb_compare (int argc, char **argv);
int tide_verb_draw    (int argc, char **argv);
int tide_verb_demo    (int argc, char **argv);
