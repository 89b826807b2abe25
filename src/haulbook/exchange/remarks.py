"""Fates hidden in remarks: proposed once per haul, taxon and remark, for a person to confirm; never decided.

One remark is often copied down a block of rows: "One capelin deceased" on 18 rows can be one animal or 18.
The catch sheet does not say, so the number is asked as well as the fate. Often the haul's own remark knows
("18 capelin deceased"): it is shown beside the question.
See ``docs/decisions/0006-remarks-are-proposed-not-parsed.md``.

Remarks name people. A proposal quotes the remark because the file belongs to who reads it; what goes into the
book is ``Said.meaning``, never the remark.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from haulbook.exchange.answers import Question


@dataclass(frozen=True, slots=True)
class Said:
    """What a remark says became of animals.

    Attributes
    ----------
    kind : str
        ``kept``, ``voucher``, ``died``: asked. ``escaped``, ``sampled``, ``eaten``, ``lost``, ``uncounted``:
        told beside the questions, since the row stays countable as it is.
    meaning : str
        In words without a name: fit for a book and for a report.
    fates : tuple of str
        Where the animals may have gone (places of the book), likeliest first.
    """

    kind: str
    meaning: str
    fates: tuple[str, ...]

    @property
    def asked(self) -> bool:
        """Whether the remark is a question of its own."""
        return self.kind in ("kept", "voucher", "died")


_VOUCHER = Said("voucher", "kept as a voucher specimen", ("killed-kept", "dead-kept"))
_DIED = Said("died", "found dead", ("dead-back", "dead-kept"))
_KEPT = Said("kept", "kept for somebody", ("killed-kept", "kept", "given"))
_NUMBERS = "one two three four five six seven eight nine ten eleven twelve".split()  # noqa: SIM905 (easier read)
_HOW_MANY = rf"(?:\d+|all|both|{'|'.join(_NUMBERS)})"

RULES: tuple[tuple[re.Pattern[str], Said], ...] = (
    (re.compile(r"\bvouchers?(?:ed)?\b", re.I), _VOUCHER),
    (re.compile(r"\b(?:deceased|dead|died|morts?|mortalit(?:y|ies)|doa)\b", re.I), _DIED),
    (re.compile(r"\b(?:kept|retained|collected|taken) (?:for|by|as)\b|^(?:kept|retained)\b", re.I), _KEPT),
    # "Two ... for <name>", and its slip "or <name>": a number first, a capitalised word last.
    (re.compile(rf"^(?i:{_HOW_MANY})\b.*\bf?or [A-Z][a-z]+\.?$"), _KEPT),
    (re.compile(r"\bescaped?\b|\bgot away\b", re.I), Said("escaped", "animals escaped", ("escaped", "back"))),
    (
        re.compile(r"\blavaged?\b|\bfin clip|\bbiopsy\b", re.I),
        Said("sampled", "animals were sampled and returned", ("back",)),
    ),
    (
        re.compile(r"\beat(?:ing|en)\b|\bate\b", re.I),
        Said("eaten", "one animal was eating another", ("dead-back",)),
    ),
    (re.compile(r"\blost\b", re.I), Said("lost", "animals were lost", ("lost",))),
    (
        re.compile(r"\b(?:threw|thrown) back\b|\breleased immediately\b|\bimmediate release\b", re.I),
        Said("uncounted", "more were released than were counted", ("back",)),
    ),
)
"""Words of the trade and what they say, looked for in this order; the first that is found counts.

Drawn from the remarks of the Kachemak 2018 and Hakai 2014-2018 sheets; "doa", "got away" and "thrown back"
are common practice, no source.
"""

_DENIED = re.compile(
    r"\b(?:no|not|none|0|without)\s+(?:\w+\s+)?(?:dead|died|morts?|mortalit|deceased|kept|vouchers?)", re.I
)


@dataclass(frozen=True, slots=True)
class Remarked:
    """One catch row with a remark: taxon and haul as written in the file, n None where no number stands."""

    file: str
    row: int
    haul: str
    taxon: str
    remark: str
    n: int | None


@dataclass(frozen=True, slots=True)
class Block:
    """All rows of one file with the same haul, taxon and remark.

    Attributes
    ----------
    key : str
        ``file|haul|taxon|remark``: what an answer names.
    rows : tuple of int
        As a spreadsheet counts them.
    animals : int
        Sum of the rows' numbers.
    said : Said
    beside : tuple of str
        Other remarks of the kind on the same haul and taxon: one can explain the other.
    haul_remark : str
        What the hauls file remarks on the haul: it often has the number.
    """

    key: str
    taxon: str
    remark: str
    rows: tuple[int, ...]
    animals: int
    said: Said
    beside: tuple[str, ...] = ()
    haul_remark: str = ""

    def question(self) -> Question:
        """Return the question to write: fate and number both open, readings in words above it."""
        ask = [f"{self._animals()}: {self.remark!r}", self._perhaps()]
        if self.beside:
            ask.append(f"The same haul and taxon also has {', '.join(map(repr, self.beside))}.")
        if self.haul_remark:
            ask.append(f"Remark of the haul: {self.haul_remark!r}.")
        return Question("fate", self.key, self.rows, "\n".join(ask), {"fate": "?", "n": "?"})

    @property
    def told(self) -> str:
        """Return the question without the remark's own words, which may name people."""
        return f"{self._animals()}: their remark says something of their fate. {self._perhaps()}"

    def _animals(self) -> str:
        rows = f"row {self.rows[0]}" if len(self.rows) == 1 else f"{len(self.rows)} rows"
        return f"{self.taxon}, {rows}, {self.animals} animal{'' if self.animals == 1 else 's'}"

    def _perhaps(self) -> str:
        fates = " or ".join(map(repr, self.said.fates))
        return f"Perhaps {self.said.meaning}: fate {fates}. {self._readings()}"

    def _readings(self) -> str:
        told = number_in(self.remark)
        if told is None:
            return f"How many of the {self.animals}? All others keep the sheet's fate."
        readings = [f"{told} if the remark speaks of all these rows together"]
        if len(self.rows) > 1:
            readings.append(f"{min(told * len(self.rows), self.animals)} if it speaks of each row")
        return f"n is {', '.join(readings)}; at most {self.animals}."


def said_in(remark: str) -> Said | None:
    """Return what a remark says became of animals, or None where it says nothing of the kind."""
    text = remark.strip()
    if not text or _DENIED.search(text):
        return None
    return next((said for pattern, said in RULES if pattern.search(text)), None)


def number_in(remark: str) -> int | None:
    """Return the number a remark opens with (``One``, ``14``), or None."""
    match = re.match(rf"(\d+|{'|'.join(_NUMBERS)})\b", remark.strip(), re.I)
    if match is None:
        return None
    word = match[1].casefold()
    return _NUMBERS.index(word) + 1 if word in _NUMBERS else int(word)


def blocks_of(rows: Iterable[Remarked], haul_remarks: Mapping[str, str] | None = None) -> tuple[Block, ...]:
    """Gather the rows whose remark tells of a fate: one block per file, haul, taxon and remark as written.

    Blocks come in the order of their first row; ``block.said.asked`` tells questions from what is only told.
    ``haul_remarks`` are the remarks of the hauls file by haul.
    """
    gathered: dict[tuple[str, str, str, str], list[Remarked]] = {}
    said_by_remark: dict[str, Said | None] = {}
    for row in rows:
        if row.remark not in said_by_remark:
            said_by_remark[row.remark] = said_in(row.remark)
        if said_by_remark[row.remark] is not None:
            gathered.setdefault((row.file, row.haul, row.taxon, row.remark), []).append(row)
    beside: dict[tuple[str, str, str], list[str]] = {}
    for file, haul, taxon, remark in gathered:
        beside.setdefault((file, haul, taxon), []).append(remark)
    return tuple(
        Block(
            key="|".join(key),
            taxon=key[2],
            remark=key[3],
            rows=tuple(row.row for row in found),
            animals=sum(row.n or 0 for row in found),
            said=said,
            beside=tuple(other for other in beside[key[:3]] if other != key[3]),
            haul_remark=(haul_remarks or {}).get(key[1], "").strip(),
        )
        for key, found in gathered.items()
        if (said := said_by_remark[key[3]]) is not None
    )
