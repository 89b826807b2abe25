"""One place of a typed sheet becomes what it says, or a sentence that says why it can't be read.

Two typings agree where they say the same thing, however each of them wrote it: ``5:42`` and ``05:42``.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass
from datetime import time
from typing import Any

from haulbook.custody.bodies import GEOMETRY
from haulbook.custody.lines import estimate_of
from haulbook.exchange.cells import PRESENCE_WORDS, CellTrouble, parse_count, parse_number
from haulbook.exchange.headings import reduced
from haulbook.exchange.propose_words import STAGES
from haulbook.office.typed_sheet import ALL, BASIS, CLOCKS, FATES
from haulbook.taxa import Pack
from haulbook.taxa.names import resolve

PRESENT = "present"
"""What a number's place says of animals that were seen and not counted: neither 0 nor 1."""
LENGTH_TYPES = {
    "T": "total", "F": "fork", "S": "standard", "CW": "carapace width", "CL": "carapace length",
    "BL": "body length", "BD": "bell diameter", "SH": "shell height",
}  # fmt: skip
"""Letters of the sheet for what was measured. Common practice, no source."""

_CLOCK = re.compile(r"([01]?\d|2[0-3])[:.h]?([0-5]\d)")
_EYE = frozenset({"e", "eye", "by eye", "judged", "est", "est.", "estimated", "~"})
_SCOOPS = re.compile(r"(?:([a-z])\s+)?(\d+)\s*:\s*(\d+(?:[\s,;+]+\d+)*)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class How:
    """How the numbers of a line came about: ``counted``, ``judged`` by eye, or ``expanded`` from scoops.

    ``scoops`` is the subsample as the book holds it, None where none was taken.
    """

    basis: str
    scoops: dict[str, Any] | None = None

    @property
    def n(self) -> int:
        """The number that the counted scoops stand for."""
        return estimate_of(self.scoops) if self.scoops else 0


def read_clock(text: str) -> time | CellTrouble | None:
    """Read a clock time of the sheet: 05:42, 5:42, 0542; None for nothing."""
    if not text:
        return None
    match = _CLOCK.fullmatch(text)
    if match is None:
        return CellTrouble(f"{text!r} is no time of day; write it as 05:42")
    return time(int(match[1]), int(match[2]))


def read_number(text: str) -> int | str | CellTrouble | None:
    """Read a number of animals, ``PRESENT`` for a mark that they were seen, None for nothing."""
    if text.casefold().strip(". ") in PRESENCE_WORDS:
        return PRESENT
    return parse_count(text)


def read_measure(text: str) -> float | CellTrouble | None:
    """Read a measure with at most four decimals; None for nothing."""
    value = parse_number(text)
    return round(value, 4) if isinstance(value, float) else value


def read_length(text: str) -> float | CellTrouble | None:
    """Read a length or an area, above 0; None for nothing."""
    value = read_measure(text)
    if isinstance(value, float) and value <= 0:
        return CellTrouble(
            f"{text!r} is nothing that was measured; write a number above 0, or leave the place empty"
        )
    return value


def read_lengths(text: str) -> tuple[float, ...] | CellTrouble:
    """Read lengths in millimetres with blanks between; none for nothing."""
    found: list[float] = []
    for part in re.split(r"[;\s]+|,\s+", text.strip()) if text.strip() else ():
        if "," in part.strip(","):
            return CellTrouble(
                f"{part!r} can be two lengths or one with a decimal; put a blank between lengths"
            )
        value = read_measure(part.strip(","))
        if isinstance(value, CellTrouble):
            return value
        if value is None or value <= 0:
            return CellTrouble(f"{part!r} is no length; write millimetres above 0")
        found.append(value)
    return tuple(found)


def read_length_type(text: str) -> str | CellTrouble | None:
    """Read what was measured: a letter of ``LENGTH_TYPES`` or its words; None for nothing."""
    said = " ".join(text.casefold().split())
    if not said:
        return None
    for letter, words in LENGTH_TYPES.items():
        if said in (letter.casefold(), words, f"{words} length"):
            return words
    letters = ", ".join(f"{letter} {words}" for letter, words in LENGTH_TYPES.items())
    return CellTrouble(f"{text!r} says not what was measured; write one of {letters}")


def read_stage(text: str) -> str | CellTrouble | None:
    """Read a life stage; None for nothing, and for words that tell none (mixed, unknown)."""
    if not text.strip():
        return None
    stage = STAGES.get(reduced(text))
    if stage is None:
        return CellTrouble(f"{text!r} is no life stage; write larva, young, adult or egg mass")
    return stage or None


def read_how(text: str) -> How | CellTrouble:
    """Read how a line was counted: nothing, ``E`` by eye, or scoops as ``12: 52 47 51`` (of 12, three were counted)."""
    said = text.strip()
    if not said:
        return How("counted")
    if said.casefold() in _EYE:
        return How("judged")
    match = _SCOOPS.fullmatch(said)
    if match is None:
        return CellTrouble(
            f"{text!r} says not how it was counted; leave it out where each was counted, write E for by eye, "
            "or the scoops as 12: 52 47 51 (of 12 scoops, three counted)"
        )
    of, counted = int(match[2]), [int(n) for n in re.findall(r"\d+", match[3])]
    if of < len(counted):
        return CellTrouble(f"{text!r} counts {len(counted)} scoops of only {of}")
    scoops: dict[str, Any] = {"method": "scoops", "of": of, "counted": counted}
    return How("expanded", scoops | ({"batch": match[1].lower()} if match[1] else {}))


def read_condition(text: str) -> int | CellTrouble | None:
    """Read how the haul went: 1 2 3 4 5 or 9; None for nothing."""
    if not text:
        return None
    if text not in ("1", "2", "3", "4", "5", "9"):
        return CellTrouble(f"{text!r} is no condition of a haul; write 1, 2, 3, 4, 5 or 9")
    return int(text)


_READERS: dict[str, Callable[[str], Any]] = {
    **dict.fromkeys((*CLOCKS, "left_beach"), read_clock),
    **dict.fromkeys((*GEOMETRY, "area_m2", "depth_m", "temperature_c", "salinity"), read_measure),
    **dict.fromkeys(BASIS.values(), lambda text: text or "measured"),
    **dict.fromkeys((*FATES, ALL), read_number),
    "condition": read_condition,
    "stage": read_stage,
    "how": read_how,
    "length_type": read_length_type,
    "lengths_are": read_length_type,
    "lengths": read_lengths,
}


def meaning(place: str, text: str, pack: Pack) -> Any:
    """Return what a place says, the same for two ways of writing the same."""
    said = " ".join(text.split())
    if place == "name":
        match = resolve(said, pack)
        return (match.taxon, match.stage, match.doubt) if match.certain else said.casefold()
    read = _READERS[place](said) if place in _READERS else said.casefold()
    return said.casefold() if isinstance(read, CellTrouble) else read
