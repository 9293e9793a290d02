/* SPDX-License-Identifier: GPL-3.0-or-later */
/* Fuzz entry of the reading room: any bytes are read or refused with one line. Built with
 * -Dfuzz=true and clang; run with a folder of seeds.
 */
#include <stdint.h>
#include <string.h>

#include "reading/reading.h"

int LLVMFuzzerTestOneInput (const uint8_t *data, size_t size);

int
LLVMFuzzerTestOneInput (const uint8_t *data, size_t size)
{
  g_autoptr (GBytes) bytes = g_bytes_new (data, size);
  g_autoptr (GError) error = NULL;
  g_autoptr (GPtrArray) runs = tide_read_bytes (bytes, "fuzz.csv", NULL, NULL, &error);
  g_assert_true ((runs == NULL) == (error != NULL));
  if (error)
    {
      g_assert_true (g_utf8_validate (error->message, -1, NULL));
      g_assert_null (strpbrk (error->message, "\r\n"));
    }
  return 0;
}
