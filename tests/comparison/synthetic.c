/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Charges as steps: every mark and every energy can be written down by hand. */
#include "synthetic.h"

const Charge charge_a = { 60, 20, 1800, 900, 1, FALSE };
const Charge charge_b = { 200, 15, 2400, 900, 1, FALSE };
const Charge charge_c = { 100, 20, 1800, 900, 1, FALSE };
const Charge charge_unsettled = { 30, 18, 1500, 0, 0, FALSE };
const Charge charge_idle = { 1200, 0, 0, 0, 0, FALSE };

struct _Witness
{
  TideComparison *comparison;
  GString *heard;
};

double
charge_power_w (const Charge *charge, double t_s)
{
  if (t_s < charge->lead_s)
    return IDLE_W;
  return t_s < charge->lead_s + charge->plateau_s ? charge->plateau_w : charge->standing_w;
}

double
charge_energy_wh (const Charge *charge, double from_s, double to_s)
{
  double sum = 0;

  for (double t = from_s; t < to_s; t++)
    sum += (charge_power_w (charge, t) + charge_power_w (charge, t + 1)) / 2;
  return sum / 3600;
}

TideRecording *
make_recording (gsize n,
                const double *t,
                const double *power,
                const double *voltage,
                const double *current,
                const char *file)
{
  const double *columns[TIDE_N_QUANTITIES] = { NULL };
  const TideProvenance provenance = { .file = file };
  g_autoptr (GPtrArray) complaints = tide_complaints_new ();
  g_autoptr (GError) error = NULL;
  TideRecording *recording;

  columns[TIDE_QUANTITY_TIME] = t;
  columns[TIDE_QUANTITY_POWER] = power;
  columns[TIDE_QUANTITY_VOLTAGE] = voltage;
  columns[TIDE_QUANTITY_CURRENT] = current;
  recording = tide_recording_restore (n, columns, TRUE, &provenance, 1, complaints, &error);
  g_assert_no_error (error);
  return recording;
}

TideRecording *
make_charge (const Charge *charge)
{
  gsize n = (gsize)(charge->lead_s + charge->plateau_s + charge->tail_s) + 1;
  g_autofree double *t = g_new (double, n), *p = g_new (double, n);
  g_autofree double *v = g_new (double, n), *a = g_new (double, n);

  for (gsize i = 0; i < n; i++)
    {
      t[i] = i;
      p[i] = charge_power_w (charge, i);
      v[i] = SUPPLY_V;
      a[i] = p[i] / SUPPLY_V;
    }
  return make_recording (n, t, p, charge->power_only ? NULL : v, charge->power_only ? NULL : a,
                         NULL);
}

TideConditions *
make_conditions (const char *name, const char *device)
{
  TideConditions *conditions = tide_conditions_new ();

  tide_conditions_set (conditions, TIDE_CONDITION_NAME, name);
  tide_conditions_set (conditions, TIDE_CONDITION_DEVICE, device);
  return conditions;
}

void
add_charge (TideComparison *comparison, gint64 id, const char *name, const Charge *charge)
{
  g_autoptr (TideRecording) recording = make_charge (charge);
  g_autoptr (TideConditions) conditions = make_conditions (name, "Survey tablet");
  g_autoptr (GError) error = NULL;

  tide_comparison_add (comparison, id, conditions, recording, NULL,
                       tide_comparison_get_free_slot (comparison), &error);
  g_assert_no_error (error);
}

static void
items_changed_cb (GListModel *model, guint position, guint removed, guint added, Witness *witness)
{
  g_string_append_printf (witness->heard, "%s+%u:%u:%u", witness->heard->len > 0 ? " " : "",
                          position, removed, added);
}

static void
notify_cb (GObject *object, GParamSpec *pspec, Witness *witness)
{
  g_string_append_printf (witness->heard, "%s%s", witness->heard->len > 0 ? " " : "", pspec->name);
}

static void
changed_cb (TideComparison *comparison, Witness *witness)
{
  g_string_append (witness->heard, witness->heard->len > 0 ? " !" : "!");
}

Witness *
witness_new (TideComparison *comparison)
{
  Witness *witness = g_new0 (Witness, 1);

  witness->comparison = g_object_ref (comparison);
  witness->heard = g_string_new (NULL);
  g_signal_connect (comparison, "items-changed", G_CALLBACK (items_changed_cb), witness);
  g_signal_connect (comparison, "notify", G_CALLBACK (notify_cb), witness);
  g_signal_connect (comparison, "changed", G_CALLBACK (changed_cb), witness);
  return witness;
}

char *
witness_take (Witness *witness)
{
  char *heard = g_strdup (witness->heard->str);

  g_string_truncate (witness->heard, 0);
  return heard;
}

void
witness_free (Witness *witness)
{
  g_signal_handlers_disconnect_by_data (witness->comparison, witness);
  g_object_unref (witness->comparison);
  g_string_free (witness->heard, TRUE);
  g_free (witness);
}
