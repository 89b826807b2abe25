"""One haul's paper sheet as somebody typed it: texts in their places, nothing read out of them yet.

The grid on the screen and the printed sheet have the same places in the same order, so that an eye goes from one to the
other and finds its line.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any

from haulbook.custody.bodies import GEOMETRY
from haulbook.problems import Refusal

CLOCKS = ("started", "landed", "ended")
"""Net in the water; net on the beach, the permit's clock; last animal dealt with."""
BASIS = {letter: f"{letter}_basis" for letter in GEOMETRY}
"""Beside each length of the set: whether it was measured there or assumed."""
HEAD = (
    *CLOCKS, "site", "net", "set_type",
    *(place for letter in GEOMETRY for place in (letter, BASIS[letter])),
    "area_m2", "depth_m", "condition", "why", "temperature_c", "salinity", "instrument",
    "keep_place", "left_beach", "lengths_are", "none_of", "remark",
)  # fmt: skip
"""Places of the head of a sheet."""
NONE = "none:"
"""Begins the place of a ticked ``searched, none found``; a taxon's key follows."""

FATES = (
    "back", "kept", "dead-back", "dead-kept", "killed-kept", "killed-back", "back-in-net", "escaped", "given",
    "lost", "net",
)  # fmt: skip
"""Columns that a sheet can have for what became of animals: places of the book; ``kept`` is the keep bucket."""
USUAL = ("back", "kept", "dead-back", "dead-kept")
"""Those of the printed sheet."""
BEFORE, AFTER = ("name", "stage"), ("how", "length_type", "lengths", "remark")
"""Places of a line before and after the columns of numbers."""
ALL = "all"
"""Place of the sum over all columns, as the sheet has it."""
MOST_LINES, MOST_TEXT = 400, 1000


@dataclass(frozen=True, slots=True)
class TypedSheet:
    """One typing of one haul's sheet.

    Attributes
    ----------
    head : mapping of place to text
        Places of ``HEAD``, and ``none:`` with a taxon.
    columns : tuple of str
        Columns of numbers that the sheet has, among ``FATES``, in that order.
    lines : tuple of mapping of place to text
        As they stand on the sheet, blank ones included.
    sums : mapping of column to text
        The sheet's own sums; ``all`` for the one over everything.
    """

    head: Mapping[str, str] = field(default_factory=dict)
    columns: tuple[str, ...] = USUAL
    lines: tuple[Mapping[str, str], ...] = ()
    sums: Mapping[str, str] = field(default_factory=dict)

    @property
    def places(self) -> tuple[str, ...]:
        """Places of a line, in the order of the sheet."""
        return (*BEFORE, *self.columns, *AFTER)

    @property
    def blank(self) -> bool:
        """Whether nothing was typed at all."""
        return not (any(self.head.values()) or any(map(any_text, self.lines)) or any(self.sums.values()))

    def as_json(self) -> dict[str, Any]:
        """Return the sheet as it is stored: blanks left out, blank lines kept between others."""
        lines = [_full(line) for line in self.lines]
        while lines and not lines[-1]:
            lines.pop()
        return {
            "head": _full(self.head),
            "columns": list(self.columns),
            "lines": lines,
            "sums": _full(self.sums),
        }


def any_text(line: Mapping[str, str]) -> bool:
    """Say whether anything stands in a line."""
    return any(line.values())


def sheet_of_json(obj: Mapping[str, Any]) -> TypedSheet:
    """Return a sheet that was stored."""
    return typed_sheet(
        obj.get("head", {}), obj.get("columns", USUAL), obj.get("lines", ()), obj.get("sums", {})
    )


def typed_sheet(
    head: Mapping[str, str],
    columns: Iterable[str],
    lines: Iterable[Mapping[str, str]],
    sums: Mapping[str, str],
) -> TypedSheet:
    """Return the sheet that these texts make: outer blanks taken off, places that no sheet has left out.

    Raises
    ------
    Refusal
        More lines than a sheet can have, or a text of more than a thousand characters.
    """
    wanted = set(columns)
    ordered = tuple(fate for fate in FATES if fate in wanted)
    lines = [_tidy(line, (*BEFORE, *FATES, *AFTER)) for line in lines]
    if len(lines) > MOST_LINES:
        raise Refusal(
            f"a sheet takes {MOST_LINES} lines, and {len(lines)} were sent; type what is beyond as another haul's "
            "sheet, or bring it in as a file"
        )
    sheet = TypedSheet(
        head={place: text for place, text in _tidy(head).items() if place in HEAD or place.startswith(NONE)},
        columns=ordered or USUAL,
        lines=tuple(lines),
        sums=_tidy(sums, (*FATES, ALL)),
    )
    texts = (*sheet.head.values(), *sheet.sums.values(), *(text for line in lines for text in line.values()))
    if longest := max((text for text in texts if len(text) > MOST_TEXT), key=len, default=""):
        raise Refusal(
            f"a place takes {MOST_TEXT} characters; one has {len(longest)}, beginning {longest[:40]!r}"
        )
    return sheet


def _tidy(said: Mapping[str, str], known: Iterable[str] | None = None) -> dict[str, str]:
    places = said if known is None else [place for place in known if place in said]
    return {place: str(said[place]).strip() for place in places}


def _full(said: Mapping[str, str]) -> dict[str, str]:
    return {place: text for place, text in said.items() if text}
