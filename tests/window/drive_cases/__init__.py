# SPDX-License-Identifier: GPL-3.0-or-later
"""The cases of drive.py, a module for each thing that people do with the window."""
