"""Workbooks that are made to harm whoever reads them; a few kilobytes each."""

from __future__ import annotations

import io
import zipfile

import openpyxl

SHEET, STRINGS = "xl/worksheets/sheet1.xml", "xl/sharedStrings.xml"
_NS = 'xmlns="http://schemas.openxmlformats.org/spreadsheetml/2006/main"'


def _with(name: str, content: str) -> bytes:
    """A sound workbook with one part of it exchanged."""
    sound, made = io.BytesIO(), io.BytesIO()
    book = openpyxl.Workbook()
    book.active.append(["item", "kind"])
    book.active.append(["1", "bag"])
    book.save(sound)
    with zipfile.ZipFile(sound) as old, zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
        for part in old.namelist():
            if part != name:
                new.writestr(part, old.read(part))
        new.writestr(name, content)
    return made.getvalue()


def _sheet(rows: str, head: str = "") -> bytes:
    return _with(SHEET, f"{head}<worksheet {_NS}><sheetData>{rows}</sheetData></worksheet>")


def _cell(place: str, text: str = "x") -> str:
    return f'<c r="{place}" t="inlineStr"><is><t>{text}</t></is></c>'


def far_row(number: int = 3_000_000_000) -> bytes:
    """A cell in a row that no sheet has; whoever fills the rows before it needs gigabytes."""
    first = f'<row r="1">{_cell("A1", "item")}{_cell("B1", "kind")}</row>'
    return _sheet(f'{first}<row r="{number}"><c r="A{number}" t="str"><v>x</v></c></row>')


def far_column(rows: int = 20_000) -> bytes:
    """Cells in column XFD, the last that a sheet has, in many rows."""
    return _sheet("".join(f'<row r="{n}">{_cell(f"XFD{n}")}</row>' for n in range(1, rows)))


def entities() -> bytes:
    """Entities that make a gigabyte of a kilobyte (CWE-776)."""
    said = ['<!ENTITY a "aaaaaaaaaa">']
    said += [
        f'<!ENTITY {b} "{f"&{a};" * 10}">' for a, b in zip("abcdefghi", "bcdefghij", strict=True)
    ]
    head = f'<?xml version="1.0"?><!DOCTYPE worksheet [{"".join(said)}]>'
    return _sheet(f'<row r="1">{_cell("A1", "&j;")}</row>', head)


def inflating(megabytes: int = 500) -> bytes:
    """A part that unpacks to half a gigabyte of blanks (CWE-409)."""
    return _sheet(" " * (megabytes * 1_000_000))


def long_strings(rows: int = 10_000) -> bytes:
    """One long text that every cell points to: small in the file, large in a table."""
    strings = f"<sst {_NS}><si><t>{'y' * 32_000}</t></si></sst>"
    line = "".join(f'<row r="{n}"><c r="A{n}" t="s"><v>0</v></c></row>' for n in range(1, rows))
    with zipfile.ZipFile(io.BytesIO(_sheet(line))) as old:
        made = io.BytesIO()
        with zipfile.ZipFile(made, "w", zipfile.ZIP_DEFLATED) as new:
            for part in old.namelist():
                text = old.read(part)
                if part == "[Content_Types].xml":
                    text = text.replace(b"</Types>", _STRINGS_TYPE + b"</Types>")
                new.writestr(part, text)
            new.writestr(STRINGS, strings)
    return made.getvalue()


_STRINGS_TYPE = (
    b'<Override PartName="/xl/sharedStrings.xml" ContentType="application/'
    b'vnd.openxmlformats-officedocument.spreadsheetml.sharedStrings+xml"/>'
)
