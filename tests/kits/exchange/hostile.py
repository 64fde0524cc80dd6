"""Files that somebody might upload by mistake or on purpose, and the words each is refused with.

Each is made from a good workbook of one sheet: About is its first part, Cabins its second.
"""

import io
import struct
import zipfile
from collections.abc import Callable

from tests.kits.exchange.rows import some_sheets

MAIN = "http://schemas.openxmlformats.org/spreadsheetml/2006/main"
SHEET = "xl/worksheets/sheet2.xml"
DAMAGED = "not an .xlsx workbook, or it is damaged"
TOO_MANY = "more cells than can be read"
HEADS = "code", "name", "volume [m³]", "origin on"


def text_cell(place, text):
    return f'<c r="{place}" t="inlineStr"><is><t xml:space="preserve">{text}</t></is></c>'


def sheet(rows, before="", after=""):
    """The XML of a sheet Cabins with these rows below its heads."""
    heads = "".join(text_cell(f"{letter}1", head) for letter, head in zip("ABCD", HEADS, strict=True))
    return (
        f'<worksheet xmlns="{MAIN}">{before}<sheetData><row r="1">{heads}</row>{rows}</sheetData>{after}</worksheet>'
    ).encode()


def row(cells="", number=2, code="x1", attributes=""):
    name = text_cell(f"A{number}", code) + text_cell(f"B{number}", "n")
    return f'<row r="{number}"{attributes}>{name}{cells}</row>'


def repacked(changed=None, more=(), without=(), compression=zipfile.ZIP_DEFLATED):
    """A good workbook with parts changed, added or left out."""
    changed = changed or {}
    out = io.BytesIO()
    with (
        zipfile.ZipFile(io.BytesIO(some_sheets({"Cabins"}))) as old,
        zipfile.ZipFile(out, "w", compression) as new,
    ):
        for name in old.namelist():
            if name not in without:
                data = changed.get(name, old.read(name))
                new.writestr(name, data(old.read(name)) if callable(data) else data)
        for name, data in more:
            new.writestr(name, data)
    return out.getvalue()


def cabins(rows, before="", after=""):
    return repacked({SHEET: sheet(rows, before, after)})


def cell(xml, code="x1"):
    return cabins(row(xml, code=code))


def replaced(part, old, new):
    def change(data):
        assert old in data, part
        return data.replace(old, new)

    return repacked({part: change})


def lying(name, size):
    """A part that says in the directory to be small and unpacks to a lot."""
    content = bytearray(repacked(more=[(name, b" " * size)]))
    real = struct.pack("<L", size)
    assert content.count(real) >= 2
    return bytes(content.replace(real, struct.pack("<L", 1000)))


def flagged():
    """A part that says it is encrypted."""
    content = bytearray(some_sheets({"Cabins"}))
    for mark, offset in ((b"PK\x03\x04", 6), (b"PK\x01\x02", 8)):
        place = content.index(mark) + offset
        content[place] |= 1
    return bytes(content)


def renamed(old, new):
    """A member under another name of the same length, as only a hand-made archive has it."""
    return repacked(more=[(old, b"<x/>")]).replace(old.encode(), new.encode())


def zipped(members):
    out = io.BytesIO()
    with zipfile.ZipFile(out, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, data in members:
            archive.writestr(name, data)
    return out.getvalue()


def strings(xml):
    return repacked(more=[("xl/sharedStrings.xml", f'<sst xmlns="{MAIN}">{xml}</sst>'.encode())])


def styled(xml):
    return repacked({"xl/styles.xml": f'<styleSheet xmlns="{MAIN}">{xml}</styleSheet>'.encode()})


def dated(serial):
    """A cell in a date format that holds a number no date has."""
    style = (
        f'<styleSheet xmlns="{MAIN}"><fonts><font/></fonts><fills><fill><patternFill/></fill></fills>'
        "<borders><border/></borders>"
        '<cellStyleXfs><xf/></cellStyleXfs><cellXfs><xf/><xf numFmtId="14" applyNumberFormat="1"/></cellXfs>'
        "</styleSheet>"
    )
    content = sheet(row(f'<c r="D2" s="1"><v>{serial}</v></c>'))
    return repacked({"xl/styles.xml": style.encode(), SHEET: content})


def relation(kind, target, mode="External"):
    xml = (
        '<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships"><Relationship Id="r1" '
        f'Type="http://schemas.openxmlformats.org/officeDocument/2006/relationships/{kind}" Target="{target}" '
        f'TargetMode="{mode}"/></Relationships>'
    )
    return repacked(more=[("xl/worksheets/_rels/sheet2.xml.rels", xml.encode())])


def doctype(body, part="xl/styles.xml"):
    return repacked({part: f'<?xml version="1.0"?><!DOCTYPE a [{body}]><a>&b;</a>'.encode()})


PLAIN_STYLE = (
    "<fonts><font/></fonts><fills><fill><patternFill/></fill></fills><borders><border/></borders>"
    "<cellStyleXfs><xf/></cellStyleXfs>"
)


def formats(code, styles=1):
    """A workbook with one number format, and styles that use it."""
    used = '<xf numFmtId="200"/>' * styles
    made = f'<numFmts><numFmt numFmtId="200" formatCode="{code}"/></numFmts>{PLAIN_STYLE}'
    return styled(f"{made}<cellXfs><xf/>{used}</cellXfs>")


def named(names):
    """A workbook with these names of ranges: name and what it stands for."""
    told = "".join(f'<definedName name="{n}" localSheetId="0">{what}</definedName>' for n, what in names)
    return replaced("xl/workbook.xml", b"</sheets>", f"</sheets><definedNames>{told}</definedNames>".encode())


LAUGHS = '<!ENTITY b0 "ha">' + "".join(
    f'<!ENTITY b{n} "{("&b" + str(n - 1) + ";") * 10}">' for n in range(1, 10)
) + '<!ENTITY b "&b9;">'  # fmt: skip
SPACES = b" " * (40 * 1024**2)

# Name, how it is made, words of the refusal.
FILES: dict[str, tuple[Callable[[], bytes], str]] = {
    "nothing": (lambda: b"", DAMAGED),
    "a text with semicolons": (lambda: b"code;name\nx1;body\n", DAMAGED),
    "an old workbook": (lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + bytes(4096), "old .xls format"),
    "an encrypted workbook": (
        lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + "EncryptedPackage".encode("utf-16-le") * 99,
        "protected by a password",
    ),
    "an open document": (
        lambda: zipped(
            [("mimetype", "application/vnd.oasis.opendocument.spreadsheet"), ("content.xml", "<x/>")]
        ),
        DAMAGED,
    ),
    "a folder of workbooks": (lambda: zipped([("one.xlsx", "x"), ("two.xlsx", "x")]), DAMAGED),
    "a binary workbook": (
        lambda: zipped([("[Content_Types].xml", "<x/>"), ("xl/workbook.bin", "x")]),
        "binary .xlsb format",
    ),
    "another archive": (lambda: zipped([("readme.xml", "<x/>")]), DAMAGED),
    "the first half": (lambda: (full := some_sheets({"Cabins"}))[: len(full) // 2], DAMAGED),
    "without its last bytes": (lambda: some_sheets({"Cabins"})[:-30], DAMAGED),
    "an archive in the archive": (
        lambda: repacked(more=[("xl/more.zip", some_sheets({"Cabins"}))]),
        "other files",
    ),
    "a bomb": (lambda: repacked(more=[(f"xl/media/{n}.png", SPACES) for n in range(6)]), "more than 200 MB"),
    "a bomb in one part": (lambda: repacked({"xl/styles.xml": SPACES * 4}), DAMAGED),
    "a bomb that lies about its size": (lambda: lying("xl/drawings/big.xml", 210 * 1024**2), DAMAGED),
    "hundreds of parts": (
        lambda: repacked(more=[(f"xl/p{n}.xml", b"<x/>") for n in range(600)]),
        "more than 500 parts",
    ),
    "a part that climbs out": (lambda: repacked(more=[("../../evil.xml", b"<x/>")]), DAMAGED),
    "a part from the root": (lambda: repacked(more=[("/etc/evil.xml", b"<x/>")]), DAMAGED),
    "a part with a drive": (lambda: repacked(more=[("C:/evil.xml", b"<x/>")]), DAMAGED),
    "a part with backslashes": (lambda: renamed("xl/up/evil.xml", "xl\\..\\evil.xm"[:13] + "l"), DAMAGED),
    "a part twice": (lambda: renamed("xl/worksheets/sheet9.xml", SHEET), DAMAGED),
    "a part twice but for capitals": (lambda: repacked(more=[(SHEET.upper(), b"<x/>")]), DAMAGED),
    "an encrypted part": (flagged, DAMAGED),
    "a rare compression": (lambda: repacked(compression=zipfile.ZIP_BZIP2), DAMAGED),
    "a wrong content type": (
        lambda: replaced(
            "[Content_Types].xml", b"spreadsheetml.sheet.main+xml", b"wordprocessingml.main+xml"
        ),
        DAMAGED,
    ),
    "a macro content type": (
        lambda: replaced(
            "[Content_Types].xml",
            b"application/vnd.openxmlformats-officedocument.spreadsheetml.sheet.main+xml",
            b"application/vnd.ms-excel.sheet.macroEnabled.main+xml",
        ),
        "macros",
    ),
    "macros": (lambda: repacked(more=[("xl/vbaProject.bin", b"\x00")]), "macros"),
    "old macros": (lambda: repacked(more=[("xl/macrosheets/sheet1.xml", b"<x/>")]), "macros"),
    "links to workbooks": (lambda: repacked(more=[("xl/externalLinks/externalLink1.xml", b"<x/>")]), "links"),
    "a linked picture": (lambda: relation("image", "https://example.org/x.png"), "links"),
    "a link by its kind": (lambda: relation("externalLink", "x.xml", "Internal"), "links"),
    "data connections": (lambda: repacked(more=[("xl/connections.xml", b"<x/>")]), "connections"),
    "an embedded object": (
        lambda: repacked(more=[("xl/embeddings/oleObject1.bin", b"\xd0\xcf")]),
        "embedded",
    ),
    "an active control": (lambda: repacked(more=[("xl/activeX/activeX1.xml", b"<x/>")]), "active"),
    "a form control": (lambda: repacked(more=[("xl/ctrlProps/ctrlProp1.xml", b"<x/>")]), "active"),
    "a dialog sheet": (lambda: repacked(more=[("xl/dialogsheets/sheet1.xml", b"<x/>")]), "dialog"),
    "a chart sheet": (lambda: repacked(more=[("xl/chartsheets/sheet1.xml", b"<x/>")]), "chart"),
    "a document type": (lambda: doctype('<!ENTITY b "bbbb">'), DAMAGED),
    "a billion laughs": (lambda: doctype(LAUGHS, SHEET), DAMAGED),
    "an entity from a file": (lambda: doctype('<!ENTITY b SYSTEM "file:///etc/passwd">', SHEET), DAMAGED),
    "one huge shared text": (lambda: strings("<si><t>" + "x" * 150_000_000 + "</t></si>"), TOO_MANY),
    "a million shared texts": (lambda: strings("<si><t>x</t></si>" * 1_000_000), TOO_MANY),
    "a million runs of rich text": (
        lambda: strings("<si>" + "<r><t>x</t></r>" * 500_000 + "</si>"),
        TOO_MANY,
    ),
    "a huge attribute": (lambda: styled(f'<fonts x="{"x" * 50_000_000}"/>'), DAMAGED),
    "a huge comment": (lambda: styled("<!--" + "x" * 15_000_000 + "-->"), DAMAGED),
    "elements in elements": (lambda: styled("<a>" * 100_000 + "</a>" * 100_000), TOO_MANY),
    "thousands of names": (lambda: styled("".join(f"<a{n}/>" for n in range(100_000))), TOO_MANY),
    "a million styles": (
        lambda: styled("<cellXfs>" + "<xf/>" * 1_000_000 + "</cellXfs>"),
        "10,000 cell styles",
    ),
    "a million merged cells": (
        lambda: cabins("", after="<mergeCells>" + '<mergeCell ref="A1:B1"/>' * 1_000_000 + "</mergeCells>"),
        TOO_MANY,
    ),
    "a million columns in the dimension": (
        lambda: cabins(row(), before='<dimension ref="A1:BDWGN1"/>'),
        DAMAGED,
    ),
    "a million cells in a row": (lambda: cabins('<row r="2">' + "<c/>" * 1_000_000 + "</row>"), DAMAGED),
    "too many cells": (
        lambda: cabins(("<row>" + "<c><v>1</v></c>" * 150 + "</row>") * 12_000),
        TOO_MANY,
    ),
    "a row of nowhere": (lambda: cabins(row(number=2_000_000)), DAMAGED),
    "a row beyond the limit": (lambda: cabins(row(number=100_001)), "100,000 rows"),
    "a column beyond the limit": (lambda: cell('<c r="GZ2"><v>1</v></c>'), "200 columns"),
    "a row twice": (lambda: cabins(row() + row(code="x2")), DAMAGED),
    "a cell twice": (lambda: cell('<c r="C2"><v>1</v></c><c r="C2"><v>2</v></c>'), DAMAGED),
    "a cell in another row": (lambda: cell('<c r="C7"><v>1</v></c>'), DAMAGED),
    "two sheets of one name": (
        lambda: replaced("xl/workbook.xml", b'name="Lists"', b'name="CABINS"'),
        "Two sheets are named",
    ),
    "a sheet that is not there": (lambda: repacked(without=[SHEET]), DAMAGED),
    "a text that is not there": (lambda: cell('<c r="C2" t="s"><v>7</v></c>'), DAMAGED),
    "a number that is none": (lambda: cell('<c r="C2"><v>NaN</v></c>'), DAMAGED),
    "a number of 5,000 digits": (lambda: cell(f'<c r="C2"><v>{"9" * 5000}</v></c>'), DAMAGED),
    "a number format of brackets": (lambda: formats("[" * 200_000), "more than 255 characters"),
    "a number format of hours": (lambda: formats("[h" * 100_000), "more than 255 characters"),
    "a number format of one letter too many": (lambda: formats("0" * 256), "more than 255 characters"),
    "a number format for a rule alone": (
        lambda: styled(f'<dxfs><dxf><numFmt numFmtId="200" formatCode="{"[" * 200_000}"/></dxf></dxfs>'),
        "more than 255 characters",
    ),
    "thousands of styles of the longest format": (lambda: formats("[" * 255, 20_000), "10,000 cell styles"),
    "thousands of names of ranges": (
        lambda: named((f"n{n}", "Cabins!$A$1") for n in range(40_000)),
        "names of ranges",
    ),
    "a print area of quotes": (lambda: named([("_xlnm.Print_Area", "'" * 200_000)]), "names of ranges"),
    "print areas of quotes": (
        lambda: named((f"_xlnm.Print_Area{n}", "'" * 1_000) for n in range(200)),
        "names of ranges",
    ),
    "print titles without end": (
        lambda: named([("_xlnm.Print_Titles", "$1:$2," * 300_000)]),
        "names of ranges",
    ),
    "formulas without end": (
        lambda: cabins(
            "".join(
                row(f'<c r="C{n}"><f t="shared" ref="C{n}" si="{n}">{"(" * 8000}</f><v>2</v></c>', n, f"x{n}")
                for n in range(2, 900)
            )
        ),
        "more formulas",
    ),
    "a million validations": (
        lambda: cabins(
            row(),
            after="<dataValidations>" + '<dataValidation sqref="A1"/>' * 1_000_000 + "</dataValidations>",
        ),
        TOO_MANY,
    ),
    "a validation of a million places": (
        lambda: cabins(
            row(),
            after=f'<dataValidations><dataValidation sqref="{"A1:B2 " * 1_000_000}"/></dataValidations>',
        ),
        DAMAGED,
    ),
    "a million comments": (
        lambda: repacked(
            more=[
                (
                    "xl/comments1.xml",
                    f'<comments xmlns="{MAIN}">{"<comment/>" * 1_000_000}</comments>'.encode(),
                )
            ]
        ),
        TOO_MANY,
    ),
    "extensions in extensions": (
        lambda: cabins(row(), after="<extLst>" * 2_000 + "</extLst>" * 2_000),
        TOO_MANY,
    ),
    "a control character": (lambda: cell(text_cell("C2", "\x01")), DAMAGED),
}

# Name, how it is made, the place it is refused at (sheet, row, column), words of the refusal.
CELLS: dict[str, tuple[Callable[[], bytes], tuple[str, int | None, str], str]] = {
    "a formula": (lambda: cell('<c r="C2"><f>1+1</f><v>2</v></c>'), ("Cabins", 2, "C"), "Formulas"),
    "a command in a formula": (
        lambda: cell("<c r=\"C2\"><f>cmd|'/c calc'!A0</f></c>"), ("Cabins", 2, "C"), "Formulas"),
    "a shared formula": (
        lambda: cabins(row('<c r="C2"><f t="shared" ref="C2:C3" si="0">1+1</f><v>2</v></c>')
                       + row('<c r="C3"><f t="shared" si="0"/><v>2</v></c>', 3, "x2")),
        ("Cabins", 3, "C"), "Formulas"),
    "an array formula": (
        lambda: cell('<c r="C2"><f t="array" ref="C2">1+1</f><v>2</v></c>'), ("Cabins", 2, "C"), "Formulas"),
    "a data table": (
        lambda: cell('<c r="C2"><f t="dataTable" ref="C2" dt2D="0" dtr="0" r1="A1"/><v>2</v></c>'),
        ("Cabins", 2, "C"), "Formulas"),
    "infinity": (lambda: cell('<c r="C2"><v>1e400</v></c>'), ("Cabins", 2, "C"), "finite"),
    "a number of 400 digits": (lambda: cell(f'<c r="C2"><v>{"9" * 400}</v></c>'), ("Cabins", 2, "C"), "too large"),
    "infinity as text": (lambda: cell(text_cell("C2", "inf")), ("Cabins", 2, "C"), "must be a number"),
    "a number as text": (lambda: cell(text_cell("C2", "2.4")), ("Cabins", 2, "C"), "must be a number"),
    "a command as text": (lambda: cell(text_cell("C2", "=cmd|' /C calc'!A0")), ("Cabins", 2, "C"), "must be a number"),
    "a command as a code": (lambda: cell("", code="=cmd"), ("Cabins", 2, "A"), "must start with a letter"),
    "yes in a number": (lambda: cell('<c r="C2" t="b"><v>1</v></c>'), ("Cabins", 2, "C"), "must be a number"),
    "an error value": (lambda: cell('<c r="C2" t="e"><v>#DIV/0!</v></c>'), ("Cabins", 2, "C"), "error"),
    "a number in a key": (
        lambda: cabins('<row r="2"><c r="A2"><v>7</v></c>' + text_cell("B2", "n") + "</row>"),
        ("Cabins", 2, "A"), "must be text"),
    "a date before there were dates": (lambda: dated(-5), ("Cabins", 2, "D"), "from 1900 on"),
    "a date after all dates": (lambda: dated(99_999_999), ("Cabins", 2, "D"), "error"),
    "a time of day": (lambda: dated(40_000.5), ("Cabins", 2, "D"), "time of day"),
    "a text of 40,000 letters": (
        lambda: cabins('<row r="2">' + text_cell("A2", "x1") + text_cell("B2", "n" * 40_000) + "</row>"),
        ("Cabins", 2, "B"), "40000 characters"),
    "a code turned round": (lambda: cell("", code="x\u202e1"), ("Cabins", 2, "A"), "can't be shown"),
    "an invisible space in a code": (lambda: cell("", code="x\u200b1"), ("Cabins", 2, "A"), "can't be shown"),
    "a control of the upper half": (lambda: cell("", code="x\u00851"), ("Cabins", 2, "A"), "can't be shown"),
    "a key twice but for capitals": (
        lambda: cabins(row() + row(number=3, code="X1")), ("Cabins", 3, "A"), "stands in row 2 already"),
    "merged cells": (
        lambda: cabins(row(), after='<mergeCells><mergeCell ref="B2:C3"/></mergeCells>'),
        ("Cabins", 2, "B"), "merged"),
    "a hidden row": (lambda: cabins(row(attributes=' hidden="1"')), ("Cabins", 2, ""), "hidden"),
    "hidden rows by default": (
        lambda: cabins(row(), before='<sheetFormatPr defaultRowHeight="15" zeroHeight="1"/>'),
        ("Cabins", 1, ""), "hidden"),
    "a hidden column": (
        lambda: cabins(row(), before='<cols><col min="3" max="4" hidden="1"/></cols>'),
        ("Cabins", None, "C"), "hidden"),
    "a hidden sheet": (
        lambda: replaced("xl/workbook.xml", b'name="Cabins" sheetId="2" state="visible"',
                         b'name="Cabins" sheetId="2" state="hidden"'),
        ("Cabins", None, ""), "hidden"),
    "a sheet hidden twice": (
        lambda: replaced("xl/workbook.xml", b'name="Cabins" sheetId="2" state="visible"',
                         b'name="Cabins" sheetId="2" state="veryHidden"'),
        ("Cabins", None, ""), "hidden"),
    "a sheet nobody knows": (
        lambda: replaced("xl/workbook.xml", b'name="Cabins"', b'name="Cabin"'), ("Cabin", None, ""), "no such sheet"),
    "a column nobody knows": (
        lambda: cabins('<row r="2">' + text_cell("A2", "x1") + text_cell("B2", "n") + text_cell("F2", "x") + "</row>"),
        ("Cabins", 2, "F"), "no head"),
}  # fmt: skip
