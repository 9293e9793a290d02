/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Inside of the library room: how the list keeps its entries up to date. */
#pragma once

#include "library/library.h"

/* Takes info. The entry asks library (not referenced) for its sketch. */
TideEntry *tide_entry_new        (TideLibrary *library, TideRunInfo *info);
/* Takes info, which is of the same run; notifies what differs. */
void       tide_entry_update     (TideEntry *entry, TideRunInfo *info);
/* By device, then by number: the order of the list. */
int        tide_run_info_compare (const TideRunInfo *a, const TideRunInfo *b);
