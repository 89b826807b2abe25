"""Formula cells whose value was never stored: they look empty to a reader that does not calculate.

A workbook written by a program holds such cells until a spreadsheet has opened and saved it. Reading them as
blank would lose counts without a word, so their formula is put in their place and refused as no number.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from pathlib import Path
from xml.etree.ElementTree import Element, iterparse
from zipfile import ZipFile

Formulas = dict[tuple[int, int], str]
"""Row and column, both from 0, to the formula with its equals sign."""

_MAIN = "{http://schemas.openxmlformats.org/spreadsheetml/2006/main}"  # ECMA-376, part 1, 18
_REL = "{http://schemas.openxmlformats.org/officeDocument/2006/relationships}"
_TABLE = "{urn:oasis:names:tc:opendocument:xmlns:table:1.0}"  # OASIS OpenDocument 1.2, part 1
_OFFICE = "{urn:oasis:names:tc:opendocument:xmlns:office:1.0}"


def formulas_without_value(path: Path) -> dict[str, Formulas]:
    """Return, for each sheet that has any, its formula cells without a stored value (XLSX, XLSM and ODS)."""
    suffix = path.suffix.lower()
    if suffix not in (".xlsx", ".xlsm", ".ods"):
        return {}
    with ZipFile(path) as parts:
        found = _in_ods(parts) if suffix == ".ods" else _in_xlsx(parts)
        return {sheet: formulas for sheet, formulas in found if formulas}


def _in_xlsx(parts: ZipFile) -> Iterator[tuple[str, Formulas]]:
    targets = {
        relation.get("Id"): relation.get("Target", "")
        for relation in _elements(parts, "xl/_rels/workbook.xml.rels")
        if relation.tag.endswith("}Relationship")
    }
    for sheet in _elements(parts, "xl/workbook.xml"):
        if sheet.tag == f"{_MAIN}sheet":
            target = targets.get(sheet.get(f"{_REL}id"), "")
            part = target.lstrip("/") if target.startswith("/") else f"xl/{target}"
            if part in parts.namelist() and b"<f" in parts.read(part):
                yield sheet.get("name", ""), dict(_cells_of_xlsx(parts, part))


def _cells_of_xlsx(parts: ZipFile, part: str) -> Iterator[tuple[tuple[int, int], str]]:
    for cell in _elements(parts, part):
        formula = cell.find(f"{_MAIN}f") if cell.tag == f"{_MAIN}c" else None
        if formula is not None and not cell.findtext(f"{_MAIN}v"):
            match = re.fullmatch(r"([A-Z]+)(\d+)", cell.get("r", ""))
            if match:
                yield (int(match[2]) - 1, _column_number(match[1])), f"={formula.text or ''}"


def _column_number(letters: str) -> int:
    number = 0
    for letter in letters:
        number = number * 26 + ord(letter) - 64
    return number - 1


def _in_ods(parts: ZipFile) -> Iterator[tuple[str, Formulas]]:
    for table in _elements(parts, "content.xml"):
        if table.tag == f"{_TABLE}table":
            yield table.get(f"{_TABLE}name", ""), dict(_cells_of_ods(table))


def _cells_of_ods(table: Element) -> Iterator[tuple[tuple[int, int], str]]:
    row = 0
    for line in table.iter(f"{_TABLE}table-row"):
        column = 0
        for cell in line:
            formula = cell.get(f"{_TABLE}formula")
            if formula and not cell.get(f"{_OFFICE}value-type"):
                yield (row, column), f"={formula.partition('=')[2]}"
            column += int(cell.get(f"{_TABLE}number-columns-repeated", "1"))
        row += int(line.get(f"{_TABLE}number-rows-repeated", "1"))


def _elements(parts: ZipFile, part: str) -> Iterator[Element]:
    with parts.open(part) as stream:
        for _, element in iterparse(stream):  # noqa: S314 (a file on the reader's own disk, limits of expat hold)
            yield element
