"""A station of your own from a table of constants, typed or pasted."""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field

from haulbook.problems import Problem, Refusal, unknown
from haulbook.tide.clock import position_of, zone_of
from haulbook.tide.constituents import NAMES
from haulbook.tide.station import Constant, Station, Vintage

MEAN_LEVEL = "Z0"
"""Row whose amplitude is mean sea level above mean lower low water."""

_ALIASES = {"RHO1": "RHO", "LDA2": "LAM2", "LAMBDA2": "LAM2", "M(SF)": "MSF", "M(M)": "MM", "M(F)": "MF"}
_NAME_HEADS = ("constituent", "name")
_METRES = {"amplitude_m": 1.0, "amplitude_ft": 0.3048}
_PHASE_HEADS = ("phase_deg", "phase_gmt", "phase_gmt_deg")
_ABOUT = re.compile(r"#\s*(station|name|zone|position|source|taken)\s*:\s*(.*?)\s*$", re.IGNORECASE)
_LARGEST_M = 10.0
_DAILY = ("M2", "S2", "N2", "K1", "O1")


@dataclass(slots=True)
class _Reading:
    """What has been read so far, and what is wrong with it."""

    file: str
    about: dict[str, str] = field(default_factory=dict)
    constants: dict[str, Constant] = field(default_factory=dict)
    mean_level_m: float | None = None
    problems: list[Problem] = field(default_factory=list)

    def refuse(self, message: str, row: int | None = None, column: str | None = None) -> None:
        self.problems.append(Problem("refused", message, file=self.file, row=row, column=column))


def own_station(text: str, file: str) -> Station:
    """Return the station that a table of constants describes.

    Parameters
    ----------
    text : str
        Lines ``# zone: America/New_York`` and ``# position: 41.46,-71.31``, optionally ``# station:``,
        ``# name:``, ``# source:`` and ``# taken:``; then a table with comma, semicolon or tab:
        ``constituent``, ``amplitude_m`` or ``amplitude_ft``, ``phase_deg`` (Greenwich). The row ``Z0`` has
        mean sea level above mean lower low water as its amplitude.
    file : str
        Its name, for messages; also the station's id where the text has none.

    Raises
    ------
    Refusal
        Every problem of the table together.
    """
    reading = _Reading(file)
    lines = text.lstrip("\ufeff").splitlines()
    table = [
        (row, line) for row, line in enumerate(lines, start=1) if line.strip() and not line.startswith("#")
    ]
    for line in lines:
        if said := _ABOUT.match(line):
            reading.about[said[1].casefold()] = said[2]
    if table:
        _read_table(reading, table)
    if not reading.constants:
        reading.refuse(
            "no constants found; write a table with the headings constituent,amplitude_m,phase_deg"
        )
    elif not any(one.amplitude_m for one in reading.constants.values() if one.name in _DAILY):
        reading.refuse(f"one of {', '.join(_DAILY)} has to be above 0: nothing else makes a tide of its own")
    if reading.mean_level_m is None:
        reading.refuse(
            "heights would have no datum: add a row Z0 with mean sea level above mean lower low water as its "
            "amplitude"
        )
    position = _position(reading)
    _check_zone(reading)
    if reading.problems:
        raise Refusal(reading.problems)
    about = reading.about
    return Station(
        id=about.get("station", file),
        name=about.get("name", ""),
        latitude=position[0],
        longitude=position[1],
        zone=about["zone"],
        constants=tuple(reading.constants.values()),
        mean_level_m=reading.mean_level_m,
        vintage=Vintage(about.get("source", f"your own table {file}"), about.get("taken", "a date not said")),
    )


def _read_table(reading: _Reading, table: Sequence[tuple[int, str]]) -> None:
    head = table[0][1]
    separator = max(",;\t", key=head.count)
    # Line by line, so that a quotation mark left open spoils its own row only.
    rows = [next(csv.reader([line], delimiter=separator)) for _, line in table]
    heads = [cell.strip().casefold() for cell in rows[0]]
    columns = _columns(reading, heads, table[0][0])
    if columns is None:
        return
    for (number, _), cells in zip(table[1:], rows[1:], strict=True):
        padded = cells + [""] * (len(heads) - len(cells))
        said = {what: padded[heads.index(column)].strip() for what, column in columns.items()}
        if separator != ",":
            said = {what: cell.replace(",", ".") for what, cell in said.items()}
        _read_row(reading, number, said, columns)


def _columns(reading: _Reading, heads: list[str], row: int) -> dict[str, str] | None:
    """The heading of each of the three columns, or None after saying what is missing."""
    wanted = (
        ("constituent", _NAME_HEADS, "no column constituent"),
        ("amplitude", tuple(_METRES), "no column amplitude_m or amplitude_ft: the unit has to be said"),
        ("phase", _PHASE_HEADS, "no column phase_deg (Greenwich; not the phase for local time)"),
    )
    columns = {}
    for what, known, message in wanted:
        found = [name for name in known if name in heads]
        if found:
            columns[what] = found[0]
        else:
            reading.refuse(message, row)
    return columns if len(columns) == len(wanted) else None


def _read_row(reading: _Reading, row: int, said: Mapping[str, str], columns: Mapping[str, str]) -> None:
    upper = said["constituent"].upper()
    name = _ALIASES.get(upper, upper)
    amplitude = _number(reading, said["amplitude"], row, columns["amplitude"])
    if amplitude is None:
        return
    metres = amplitude * _METRES[columns["amplitude"]]
    if name not in (MEAN_LEVEL, *NAMES):
        reading.refuse(unknown("constituent", said["constituent"], NAMES), row, columns["constituent"])
        return
    if name in reading.constants or (name == MEAN_LEVEL and reading.mean_level_m is not None):
        reading.refuse(f"{name} is there twice; keep one", row, columns["constituent"])
    if not 0 <= metres <= _LARGEST_M:
        what = "the mean level above mean lower low water" if name == MEAN_LEVEL else "an amplitude"
        reading.refuse(f"{what} lies between 0 and {_LARGEST_M:g} m", row, columns["amplitude"])
    if name == MEAN_LEVEL:
        reading.mean_level_m = metres
        return
    phase = _number(reading, said["phase"], row, columns["phase"])
    if phase is not None:
        reading.constants[name] = Constant(name, metres, phase % 360)


def _number(reading: _Reading, cell: str, row: int, column: str) -> float | None:
    try:
        value = float(cell)
    except ValueError:
        value = math.nan
    if math.isfinite(value):
        return value
    reading.refuse(f"{cell!r} is no number", row, column)
    return None


def _position(reading: _Reading) -> tuple[float, float]:
    try:
        return position_of(reading.about.get("position", ""))
    except Refusal:
        reading.refuse("no position; add a line as # position: 41.46,-71.31 (latitude, longitude)")
        return 0.0, 0.0


def _check_zone(reading: _Reading) -> None:
    if "zone" not in reading.about:
        reading.refuse("no time zone; add a line as # zone: America/New_York")
        return
    try:
        zone_of(reading.about["zone"])
    except Refusal as refusal:
        reading.refuse(str(refusal))
