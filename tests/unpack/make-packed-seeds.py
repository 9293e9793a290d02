#!/usr/bin/python3
# SPDX-License-Identifier: GPL-3.0-or-later
"""Writes small packed files as seeds for fuzz-reading: make-packed-seeds.py FOLDER

Archives are written both deflated and stored; in stored ones a fuzzer's change of a byte is a change of the log.
"""
import gzip
import sys
import zipfile
from pathlib import Path

LOG = "time_s,voltage_V,current_A\n" + "".join(f"{i},5.0,{i / 10}\n" for i in range(20))
TYPE = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
WORKBOOK = {
    "[Content_Types].xml": "<Types/>",
    "xl/workbook.xml": '<workbook><workbookPr date1904="0"/><sheets><sheet name="A" r:id="a"/>'
                       '<sheet name="B" r:id="a"/></sheets></workbook>',
    "xl/_rels/workbook.xml.rels": f'<Relationships><Relationship Id="a" Type="{TYPE}/worksheet" Target="a.xml"/>'
                                  f'<Relationship Id="t" Type="{TYPE}/styles" Target="t.xml"/>'
                                  f'<Relationship Id="s" Type="{TYPE}/sharedStrings" Target="s.xml"/></Relationships>',
    "xl/s.xml": "<sst><si><t>Date</t></si><si><r><t>Voltage (V)</t></r><rPh><t>x</t></rPh></si>"
                "<si><t>Current_x0020_(A)</t></si></sst>",
    "xl/t.xml": '<styleSheet><numFmts><numFmt numFmtId="164" formatCode="dd.mm.yyyy hh:mm:ss"/></numFmts>'
                '<cellXfs><xf/><xf numFmtId="164"/><xf numFmtId="46"/></cellXfs></styleSheet>',
    "xl/a.xml": '<worksheet><sheetData><row r="2"><c r="A2" t="s"><v>0</v></c><c r="B2" t="s"><v>1</v></c>'
                '<c r="C2" t="s"><v>2</v></c><c r="E2" t="inlineStr"><is><t>Note</t></is></c></row>' + "".join(
                    f'<row r="{i + 3}"><c r="A{i + 3}" s="1"><v>{46085 + i / 86400!r}</v></c><c><v>5</v></c>'
                    f'<c><f>1+1</f><v>{i / 10}</v></c><c t="b"><v>1</v></c></row>' for i in range(5)) +
                "</sheetData></worksheet>",
}


def pack(path, files, compression):
    with zipfile.ZipFile(path, "w", compression) as archive:
        for name, content in files.items():
            archive.writestr(name, content)


def main():
    folder = Path(sys.argv[1])
    (folder / "log.csv.gz").write_bytes(gzip.compress(LOG.encode()))
    (folder / "two.csv.gz").write_bytes(gzip.compress(LOG[:60].encode()) + gzip.compress(LOG[60:].encode()) + bytes(9))
    for compression, word in ((zipfile.ZIP_STORED, "stored"), (zipfile.ZIP_DEFLATED, "deflated")):
        pack(folder / f"{word}.zip", {"a/log.csv": LOG, "b/log.csv": LOG[:100], "read me.txt": "A note"}, compression)
        pack(folder / f"{word}.xlsx", WORKBOOK, compression)


main()
