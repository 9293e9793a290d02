/* SPDX-License-Identifier: GPL-3.0-or-later */
/* How the pane of numbers shows a difference and what stands against deciding it: a mark beside the
 * number, the words for it, and the legend of the marks.
 */
#pragma once

#include "comparison/comparison.h"

/* "−0.4 % ○": NULL where there is no difference. Transfer full. */
char *tide_verdicts_get_difference (const TideFinding *finding);
/* The verdict in words, with its reason or its margin. Transfer full. */
char *tide_verdicts_describe       (const TideFinding *finding);
/* What the marks stand for, and why some differences are undecided; NULL where none is shown. Transfer full. */
char *tide_verdicts_make_legend    (TideComparison *comparison);
