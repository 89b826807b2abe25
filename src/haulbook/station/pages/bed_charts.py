"""Catch per area as pictures: a strip for each kind and year, all of one net and set type on one axis."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from markupsafe import Markup

from haulbook.estimate import in_figures, in_words
from haulbook.office.densities import Density
from haulbook.office.say import said
from haulbook.publish import marks
from haulbook.taxa import Pack

MOST_TAXA = 12
"""Kinds in the picture before "all" is asked for: those caught in most hauls."""
MOST_YEARS = 5


@dataclass(frozen=True, slots=True)
class Row:
    """One line of the picture."""

    density: Density
    drawn: Markup
    figures: str
    words: str
    last: bool


@dataclass(frozen=True, slots=True)
class Chart:
    """Kinds that one net and set type caught, on one axis."""

    group: str
    ticks: list[tuple[float, str]]
    zero: float
    taxa: list[tuple[str, str, list[Row]]]


def most(some: Sequence[Density], every: bool = False) -> list[Density]:
    """Return the densities of the kinds caught in most hauls, or of all, in that order."""
    hauls: dict[str, int] = {}
    for one in some:
        hauls[one.taxon] = hauls.get(one.taxon, 0) + one.estimate.n_positive
    order = sorted(hauls, key=lambda taxon: (-hauls[taxon], taxon))
    place = {taxon: i for i, taxon in enumerate(order if every else order[:MOST_TAXA])}
    return sorted((one for one in some if one.taxon in place), key=lambda one: (place[one.taxon], one.period))


def charts_of(shown: Sequence[Density], years: Sequence[str], pack: Pack) -> list[Chart]:
    """Return the picture of some densities in some years."""
    shown = [one for one in shown if one.period in years]
    return [
        _chart([one for one in shown if one.group == group], years[-1], pack)
        for group in dict.fromkeys(one.group for one in shown)
    ]


def _chart(mine: Sequence[Density], last: str, pack: Pack) -> Chart:
    axis = marks.axis_for([one.estimate for one in mine])
    rows: dict[str, list[Row]] = {}
    for one in mine:
        drawn = marks.strip(one.estimate, axis)
        row = Row(one, drawn, in_figures(one.estimate), in_words(one.estimate), one.period == last)
        rows.setdefault(one.taxon, []).append(row)
    taxa = [(taxon, said(taxon, pack), lines) for taxon, lines in rows.items()]
    return Chart(mine[0].group.words, axis.ticks, axis.ZERO_AT, taxa)
