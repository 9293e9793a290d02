#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""What SciPy makes of the columns a test wrote: an oracle from outside the project.

Reads a file of lines "t y", prints "trapezoid X", "middle X" (the integral between the quarter
points, ends interpolated), then a line "running X" and a line "median X" for each sample: the
running integral and the running median over MEDIAN samples (ndimage, ends left to the caller).
Exit 77 when SciPy is not there.
"""
import sys

try:
    import numpy
    from scipy import integrate, ndimage
except ImportError:
    sys.exit(77)

t, y = numpy.loadtxt(sys.argv[1], unpack=True)
width = int(sys.argv[2])

print("trapezoid %.17g" % integrate.trapezoid(y, t))
span = t[-1] - t[0]
start, end = t[0] + span / 4, t[0] + 3 * span / 4
inside = (t > start) & (t < end)
cut = numpy.concatenate(([start], t[inside], [end]))
print("middle %.17g" % integrate.trapezoid(numpy.interp(cut, t, y), cut))
for value in integrate.cumulative_trapezoid(y, t, initial=0):
    print("running %.17g" % value)
for value in ndimage.median_filter(y, size=width, mode="nearest"):
    print("median %.17g" % value)
