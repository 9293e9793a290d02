# SPDX-License-Identifier: GPL-3.0-or-later
"""Pictures: well formed by the formats' own tools, of the size asked for, the same bytes twice."""

import struct
import subprocess

import harness
from harness import case


def two_runs(scratch):
    scratch.write('a.csv', harness.charge(2.0))
    scratch.write('b.csv', harness.charge(1.8))
    return ['./a.csv', './b.csv']


def draw(scratch, name, *options):
    result = scratch.tide('draw', *two_runs(scratch), '-o', name, *options)
    assert result.stderr == '', result
    return (scratch.folder / name).read_bytes()


def accepts(scratch, *command):
    done = subprocess.run([harness.tool(command[0]), *command[1:]], cwd=scratch.folder, text=True,
                          stdin=subprocess.DEVNULL, capture_output=True, timeout=harness.TIMEOUT_S)
    assert done.returncode == 0, f'{command}: {done.stdout}{done.stderr}'
    return done.stdout


def png_size(data):
    assert data[:8] == b'\x89PNG\r\n\x1a\n' and data[12:16] == b'IHDR', data[:16]
    return struct.unpack('>II', data[16:24])


@case
def png_has_the_size_asked_for(scratch):
    assert png_size(draw(scratch, 'a.png', '--size', '800x450')) == (800, 450)
    assert png_size(draw(scratch, 'b.PNG')) == (1920, 1080)


@case
def png_by_pngcheck(scratch):
    draw(scratch, 'a.png', '--size', '800x450')
    accepts(scratch, 'pngcheck', 'a.png')


@case
def svg_begins_with_the_xml_declaration(scratch):
    assert draw(scratch, 'a.svg').startswith(b'<?xml version="1.0"')


@case
def svg_by_xmllint(scratch):
    draw(scratch, 'a.svg', '--title', 'Left & right <ports> "quoted"')
    accepts(scratch, 'xmllint', '--noout', '--nonet', 'a.svg')


@case
def svg_by_rsvg_convert(scratch):
    draw(scratch, 'a.svg', '--size', '640x360')
    accepts(scratch, 'rsvg-convert', 'a.svg', '-o', 'rendered.png')
    width, height = png_size((scratch.folder / 'rendered.png').read_bytes())
    assert abs(width / height - 640 / 360) < 0.01, (width, height)


@case
def pdf_by_pdfinfo(scratch):
    assert draw(scratch, 'a.pdf').startswith(b'%PDF-')
    assert 'Pages:           1' in accepts(scratch, 'pdfinfo', 'a.pdf')


@case
def the_same_bytes_twice(scratch):
    for ending in ('png', 'svg', 'pdf'):
        first = draw(scratch, f'first.{ending}', '--size', '800x450')
        second = draw(scratch, f'second.{ending}', '--size', '800x450')
        assert first == second, ending


@case
def every_choice_makes_its_own_picture(scratch):
    choices = [[], ['--look', 'dark'], ['--x', 'energy'], ['--x', 'share'], ['--y', 'voltage'],
               ['--y', 'current'], ['--y', 'energy'], ['--title', 'Another title'],
               ['--reference', './b.csv']]
    pictures = [draw(scratch, 'a.svg', '--size', '800x450', *choice) for choice in choices]
    assert len(set(pictures)) == len(choices), [len(picture) for picture in pictures]


@case
def one_run_is_enough(scratch):
    scratch.write('a.csv', harness.charge())
    scratch.tide('draw', './a.csv', '-o', 'a.png', '--size', '200x200')
    assert png_size((scratch.folder / 'a.png').read_bytes()) == (200, 200)


@case
def a_failure_leaves_the_old_picture(scratch):
    scratch.write('a.png', 'old')
    scratch.write('bad.csv', '')
    scratch.fails('draw', './bad.csv', '-o', 'a.png')
    assert (scratch.folder / 'a.png').read_text() == 'old'


@case
def a_run_that_cannot_be_aligned_is_told(scratch):
    scratch.write('a.csv', harness.charge())
    scratch.write('b.csv', harness.steady(600, 20, 2))
    result = scratch.tide('draw', './a.csv', './b.csv', '-o', 'a.svg', '--align', 'settle')
    assert len(result.stderr.splitlines()) == 1, result


raise SystemExit(harness.main())
