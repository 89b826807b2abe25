"""The sections of the account page made ready for its template: sums, letters of remarks, first things."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from haulbook.custody.fates import Fate
from haulbook.publish import marks, words
from haulbook.publish.account_parts import AccountPage, BalanceLine, EstimateLine, HaulLine

MOST_COLUMNS = 9
"""The balance shows a column for each haul while hauls and fates together need no more than so many."""

MOST_CHARACTERS = 48
"""Beyond so many characters a row, the balance stands across both pages of the spread."""


@dataclass(slots=True)
class Remarks:
    """Remarks of one section, each once, tied to figures by a letter."""

    texts: dict[str, list[str]] = field(default_factory=dict)

    def letters(self, texts: Iterable[str], about: str = "") -> list[str]:
        """Return the letters of ``texts``, adding what is new; ``about`` is gathered in front of each."""
        found = []
        for text in texts:
            if about not in self.texts.setdefault(text, []):
                self.texts[text].append(about)
            found.append(words.letter(list(self.texts).index(text)))
        return found

    @property
    def lines(self) -> list[tuple[str, str, str]]:
        """Letter, what it is about, text."""
        return [
            (words.letter(i), _first([about for about in abouts if about]), text)
            for i, (text, abouts) in enumerate(self.texts.items())
        ]


def _first(abouts: list[str]) -> str:
    """Name up to four things; the letters in the table tie the rest."""
    more = len(abouts) - 4
    return words.listed(abouts) if more <= 0 else f"{', '.join(abouts[:4])} and {more} more"


def _animals(page: AccountPage) -> list[BalanceLine]:
    return [line for line in page.balance if line.unit == "individual"]


def _by_fate(lines: Iterable[BalanceLine]) -> dict[Fate, int]:
    """Return animals by fate in the order of the headings, fates nobody had left out."""
    lines = list(lines)
    sums = {fate: sum(line.by_fate.get(fate, 0) for line in lines) for fate in words.FATE_WORDS}
    return {fate: n for fate, n in sums.items() if n and fate is not Fate.UNACCOUNTED}


def sentence(page: AccountPage) -> str:
    """Return the account in a sentence."""
    lines = _animals(page)
    out = sum(line.out_of_sea for line in lines)
    outings = len({haul.outing for haul in page.hauls})
    start = f"{words.several(outings, 'outing')}, {words.several(len(page.hauls), 'haul')}"
    if not out:
        return f"{start}: no animal came out of the sea."
    taxa = len({line.name for line in lines if line.out_of_sea})
    fates = [f"{words.grouped(n)} {words.FATE_WORDS[fate]}" for fate, n in _by_fate(lines).items()]
    ended = f"; {words.listed(fates)}" if fates else ""
    return (
        f"{start}: {words.several(out, 'animal')} of {words.several(taxa, 'kind')} out of the sea, "
        f"{words.grouped(page.captured)} captured{ended}."
    )


def verdicts(page: AccountPage) -> list[dict[str, str]]:
    """Return what a reader must know first, each with a weight and the section that says more."""
    difference = sum(abs(line.difference) for line in page.balance)
    stops, nears = (
        len({(found.permit, found.clause) for found in page.findings if found.weight == weight})
        for weight in ("stop", "near")
    )
    unequal = sum(report.difference != 0 for report in page.reports)
    said = [
        (difference, "near", f"{words.several(difference, 'animal')} not accounted for", "balance"),
        (not difference, "", "The account balances: the difference is 0", "balance"),
        (stops, "stop", f"{words.several(stops, 'thing')} the permit does not allow", "permit"),
        (nears, "near", f"{words.several(nears, 'clause')} to look at", "permit"),
        (page.permits and not (stops or nears), "", "Nothing oversteps a clause", "permit"),
        (unequal, "stop", f"{words.several(unequal, 'report')} not adding up to captured", "reports"),
        (page.reports and not unequal, "", "The permit report adds up to captured", "reports"),
        (page.open, "near", f"{words.several(len(page.open), 'thing')} still open", "open"),
    ]
    return [{"weight": weight, "text": text, "to": to} for holds, weight, text, to in said if holds]


def totals(page: AccountPage) -> dict[str, Any]:
    """Return the account of all animals, down to its difference."""
    lines = _animals(page)
    out, accounted = sum(line.out_of_sea for line in lines), sum(line.accounted for line in lines)
    return {
        "out": out,
        "fates": [(words.FATE_WORDS[fate], n) for fate, n in _by_fate(lines).items()],
        "accounted": accounted,
        "difference": out - accounted,
    }


def balance(page: AccountPage) -> dict[str, Any]:
    """Return the rows of the balance: animals, then each other unit by itself, with the columns they need."""
    fates = list(_by_fate(page.balance))
    labels = [haul.label for haul in page.hauls]
    few = len(labels) + len(fates) <= MOST_COLUMNS
    columns = labels if few and any(line.by_haul for line in page.balance) else []
    remarks = Remarks()
    units = dict.fromkeys(["individual", *(line.unit for line in page.balance)])
    groups = []
    for unit in units:
        lines = [line for line in page.balance if line.unit == unit]
        if lines:
            groups.append(
                {
                    "unit": None if unit == "individual" else words.UNIT_WORDS.get(unit, unit),
                    "lines": [
                        (line, _by_haul(line, columns), _balance_letters(line, remarks)) for line in lines
                    ],
                    "out": sum(line.out_of_sea for line in lines),
                    "by_fate": {fate: sum(line.by_fate.get(fate, 0) for line in lines) for fate in fates},
                    "by_haul": [sum(line.by_haul.get(label) or 0 for line in lines) for label in columns],
                    "accounted": sum(line.accounted for line in lines),
                    "difference": sum(line.difference for line in lines),
                }
            )
    headings = [(fate, words.FATE_WORDS[fate]) for fate in fates]
    digits = max((len(words.grouped(line.out_of_sea)) for line in page.balance), default=0)
    broad = (len(columns) + len(fates)) * (digits + 2) > MOST_CHARACTERS
    return {"groups": groups, "fates": headings, "hauls": columns, "remarks": remarks.lines, "broad": broad}


def _by_haul(line: BalanceLine, columns: list[str]) -> list[str]:
    """Return a cell a haul: a number, a dot for not looked for, blank where nothing is to be said."""
    cells = []
    for label in columns:
        n = line.by_haul.get(label)
        cells.append("" if label not in line.by_haul else "·" if n is None else words.grouped(n))
    return cells


def _balance_letters(line: BalanceLine, remarks: Remarks) -> list[str]:
    texts = list(line.remarks)
    if line.name_open:
        texts.append("this name is as written and still open")
    if line.expanded:
        texts.append(
            f"{words.grouped(line.expanded)} of {words.grouped(line.out_of_sea)} expanded from a subsample"
        )
    if line.judged:
        texts.append(f"{words.grouped(line.judged)} of {words.grouped(line.out_of_sea)} judged by eye")
    return remarks.letters(texts, line.name)


def hauls(page: AccountPage) -> dict[str, Any]:
    """Return the haul rows gathered by outing."""
    remarks = Remarks()
    outings: dict[str, list[tuple[HaulLine, str | None, list[str]]]] = {}
    for haul in page.hauls:
        texts = list(haul.remarks)
        if haul.area is None:
            texts.append(haul.no_area or "no area, so no density")
        else:
            texts += haul.area.notes
        about = f"haul {haul.label}"
        row = (haul, words.clock(haul.landed) if haul.landed else None, remarks.letters(texts, about))
        outings.setdefault(haul.outing, []).append(row)
    return {
        "outings": [
            (_outing_heading(outing, [row[0] for row in rows]), rows) for outing, rows in outings.items()
        ],
        "remarks": remarks.lines,
        "area": sum(haul.area.m2 for haul in page.hauls if haul.area),
        "animals": sum(haul.animals for haul in page.hauls),
        "for_density": sum(haul.for_density for haul in page.hauls),
        "several_outings": len(outings) > 1,
    }


def _outing_heading(outing: str, hauls: list[HaulLine]) -> str:
    days = dict.fromkeys(_long_day(haul) for haul in hauls if haul.landed)
    sites = dict.fromkeys(haul.site for haul in hauls if haul.site)
    return ", ".join([outing, *days, *sites])


def _long_day(haul: HaulLine) -> str:
    if haul.landed is None:
        return ""
    first = haul.landed.first_day
    if first != haul.landed.last_day:
        return words.day_of(haul.landed)
    return f"{words.weekday(first)} {words.day(first)}"


def estimates(page: AccountPage) -> dict[str, Any]:
    """Return the estimates gathered by group of comparable hauls, each group on one axis."""
    remarks = Remarks()
    groups: dict[str, list[EstimateLine]] = {}
    for line in page.estimates:
        groups.setdefault(line.group, []).append(line)
    charts = []
    for group, lines in groups.items():
        axis = marks.axis_for([line.estimate for line in lines])
        by_taxon: dict[str, list[dict[str, Any]]] = {}
        for line in lines:
            row = {
                "line": line,
                "strip": marks.strip(line.estimate, axis),
                "letters": remarks.letters(line.estimate.warnings),
            }
            by_taxon.setdefault(line.taxon, []).append(row)
        left_out = dict.fromkeys((out.label, out.why) for line in lines for out in line.estimate.left_out)
        charts.append(
            {
                "group": group,
                "ticks": axis.ticks,
                "zero": axis.ZERO_AT,
                "taxa": by_taxon,
                "left_out": list(left_out),
            }
        )
    return {"charts": charts, "remarks": remarks.lines}
