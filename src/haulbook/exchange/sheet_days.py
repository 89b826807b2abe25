"""The day of each row, read from one column in its form or from columns of year, month and day."""

from __future__ import annotations

from haulbook.exchange.cells import is_missing
from haulbook.exchange.coding import Coded, combine, merged
from haulbook.exchange.date_forms import EXAMPLES, date_forms_of, date_text, day_of, order_is_ambiguous
from haulbook.exchange.findings import Findings
from haulbook.exchange.joins import places_by_code
from haulbook.exchange.sheet_map import FileMap
from haulbook.exchange.table import Column, Table
from haulbook.exchange.trouble import CellTrouble


def days_of(table: Table, part: FileMap, findings: Findings) -> Coded | None:
    """Return the day of each row, as ``2027-05-14`` (``2027`` where the sheet has only years) or "".

    None where the map names no date. A date that can't be read is refused row by row; one whose day and month
    could both come first is asked once for the file.
    """
    if part.date is None:
        return None
    columns = [table.columns[heading] for heading in part.date.columns]
    if len(columns) > 1:
        return _from_parts(columns, table, part, findings)
    column = columns[0]
    form = part.date.form or _form_of(column, table, part, findings)
    read = [_day(text, form, column, part) for text in column.values]
    findings.refuse_cells(read, column, table)
    return merged([text if isinstance(text, str) else "" for text in read], column.codes)


def _day(text: str, form: str | None, column: Column, part: FileMap) -> str | CellTrouble:
    if is_missing(text, part.missing) or form is None:
        return ""
    if text in column.dates:
        return date_text(text, "iso" if len(text) == 10 else "stamp")
    return date_text(text, form)


def _form_of(column: Column, table: Table, part: FileMap, findings: Findings) -> str | None:
    """Return the one form that fits all dates of the column; ask where several do, refuse where none does."""
    texts = [t for t in column.values if t not in column.dates and not is_missing(t, part.missing)]
    forms = date_forms_of(texts) if texts else ("iso",)
    if not forms:
        findings.tell(
            "refused",
            f"its dates have no form in common, as {texts[0]!r}; say form in the map",
            table,
            column=column.heading,
        )
        return None
    if not order_is_ambiguous(forms):
        return forms[0]
    key = f"{table.label}|{column.heading}"
    ask = (
        f"Dates as {texts[0]!r}: does the month or the day come first? Every date of the file can be read both ways. "
        f"Answer with the form: {' or '.join(f'{form!r} (as {EXAMPLES[form]})' for form in forms)}."
    )
    answer = findings.ask("date-order", key, table.rows[:1].tolist(), ask, table, column.heading, takes=forms)
    return str(answer) if answer else None


def _from_parts(columns: list[Column], table: Table, part: FileMap, findings: Findings) -> Coded:
    first, codes = combine([c.codes for c in columns], [len(c.values) for c in columns])
    read = [_day_of_parts([column[row].strip() for column in columns], part) for row in first.tolist()]
    troubles = {i: day.message for i, day in enumerate(read) if isinstance(day, CellTrouble)}
    for i, at in places_by_code(codes, troubles).items():
        findings.tell_rows("refused", troubles[i], table, at, columns[0].heading)
    return merged([day if isinstance(day, str) else "" for day in read], codes)


def _day_of_parts(cells: list[str], part: FileMap) -> str | CellTrouble:
    if any(is_missing(cell, part.missing) for cell in cells):
        return ""
    if not all(cell.isdecimal() for cell in cells) or len(cells[0]) != 4:
        return CellTrouble(f"{' '.join(cells)!r} is no year of four digits, month and day in numbers")
    day = day_of(int(cells[0]), int(cells[1]), int(cells[2]) if len(cells) == 3 else 1)
    if isinstance(day, CellTrouble):
        return day
    return day.isoformat() if len(cells) == 3 else f"{day:%Y-%m}"
