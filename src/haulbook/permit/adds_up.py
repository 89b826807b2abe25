"""Refuses a layout whose parts can't be what was captured, before anybody sends a report with it.

It is tried on one animal of each fate, with and without what may happen later. Source: A3.
"""

from __future__ import annotations

from collections.abc import Iterator

from haulbook.custody.facts import Animals, Later
from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.permit.cells import counts, remarks
from haulbook.permit.fields import FIELDS, Row, Value
from haulbook.permit.layout import FATE_COLUMNS, REMARK, Layout, as_of_report, cell_values, holds
from haulbook.problems import Refusal


def trial_rows() -> Iterator[Row]:
    """Yield one row of one animal for each fate, and for each later event of one kept alive."""
    when = When("2027-05-14")
    for fate in Fate:
        yield _trial(Animals("trial/1", "trial", 1, fate, "net", when))
    for kind in ("died", "killed", "given", "back", "lost"):
        event = Later(kind, When("2027-05-16"), "trial")
        yield _trial(Animals("trial/1", "trial", 1, Fate.RETAINED_ALIVE, "tank", when, later=(event,)))


def why_not(layout: Layout) -> list[str]:
    """Return every reason to refuse a layout; empty when its parts add up."""
    reasons = [
        f"{header!r} is among the parts, and there is no such column"
        for header in (*layout.parts, *((layout.residual,) if layout.residual not in (None, REMARK) else ()))
        if header not in layout.headers
    ]
    if not layout.parts:
        reasons.append("names no parts: which columns together are what was captured?")
    if layout.residual in layout.parts:
        reasons.append(f"{layout.residual!r} is both a part and the residual")
    if reasons:
        return reasons
    for row in trial_rows():
        reasons += _judge(layout, as_of_report(layout, row))
    return list(dict.fromkeys(reasons))


def _judge(layout: Layout, row: Row) -> Iterator[str]:
    fate, captured = str(row["disposition_code"]), row["n_captured"]
    if not holds(layout, row, FATE_COLUMNS):
        if captured:
            yield f"the condition leaves out animals that were {fate}"
        return
    try:
        found = cell_values(layout, [row])
    except Refusal as refusal:
        yield from (problem.message for problem in refusal.problems)
        return
    counting = [header for header in layout.parts if found[header]]
    shown = [header for header in layout.parts if not isinstance(found[header], int)]
    if shown:
        yield f"{shown[0]!r} is a part and holds no count"
    elif len(counting) > 1:
        yield f"{' and '.join(map(repr, counting))} both count an animal that was {fate}"
    elif layout.residual != REMARK:
        yield from _sum(layout, found, captured, fate)


def _sum(layout: Layout, found: dict[str, Value], captured: Value, fate: str) -> Iterator[str]:
    columns = (*layout.parts, *((layout.residual,) if layout.residual else ()))
    together = sum(n for header in columns if isinstance(n := found[header], int))
    if together != captured:
        yield f"the parts show {together} of an animal that was {fate}, captured {captured}"


def _trial(animals: Animals) -> Row:
    row: dict[str, Value] = dict.fromkeys(FIELDS)
    row.update(
        haul_no="1",
        outing_id="trial",
        taxon_common="trial",
        unit="individual",
        flag="normal",
        disposition_code=animals.fate.value,
        disposition_place=animals.place,
        remark="; ".join(remarks(animals, None)) or None,
        **counts(animals, 1),
    )
    return row
