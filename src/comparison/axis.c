/* SPDX-License-Identifier: GPL-3.0-or-later */
/* The table of what may stand on the x axis. Ids are those of the command line and never change. */
#include "comparison/comparison.h"

#include <glib/gi18n-lib.h>

static const struct
{
  const char *id, *name;
} axes[TIDE_N_AXES] = {
  { "time", N_ ("Time") },
  { "energy", N_ ("Energy delivered") },
  { "share", N_ ("Share of the energy") },
};

const char *
tide_axis_get_id (TideAxis axis)
{
  g_return_val_if_fail ((guint)axis < TIDE_N_AXES, NULL);
  return axes[axis].id;
}

const char *
tide_axis_get_name (TideAxis axis)
{
  g_return_val_if_fail ((guint)axis < TIDE_N_AXES, NULL);
  return _ (axes[axis].name);
}

gboolean
tide_axis_from_id (const char *id, TideAxis *axis)
{
  for (guint i = 0; i < TIDE_N_AXES; i++)
    if (g_strcmp0 (id, axes[i].id) == 0)
      {
        *axis = i;
        return TRUE;
      }
  return FALSE;
}
