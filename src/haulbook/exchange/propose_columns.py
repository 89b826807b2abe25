"""Guess what each column of a table is: by its heading, borne out by its cells; else by its cells alone."""

from __future__ import annotations

import re
from dataclasses import dataclass, replace

from haulbook.exchange.headings import SYNONYMS, meaning_of, reduced, says
from haulbook.exchange.profile import Profile
from haulbook.exchange.propose_words import FATES
from haulbook.exchange.table import Table
from haulbook.gear import SET_TYPES
from haulbook.taxa import Pack
from haulbook.taxa.names import resolve

MOST_NAMES_TRIED = 120
"""Names of a column that are looked up to see whether it holds taxa."""

IGNORE, TAXON = "ignore", "taxon"

_SEVERAL = frozenset({"person", "remark", "scientific", TAXON, IGNORE})
_KEPT_THOUGH_BLANK = frozenset({"dead", "fate", "remark", "stage", "length", "n_unmeasured", "person"})


@dataclass(frozen=True, slots=True)
class Guess:
    """What a column seems to be, and why.

    ``word`` is a word of ``headings.SYNONYMS``, ``taxon`` for a taxon's own column, or ``ignore``.
    """

    heading: str
    word: str
    why: str
    unit: str | None = None
    set_no: str | None = None
    said: str = ""


@dataclass(frozen=True)
class Draft:
    """A table with what its columns seem to be."""

    table: Table
    profiles: dict[str, Profile]
    guesses: tuple[Guess, ...]
    header: int = 1

    def of(self, word: str) -> Guess | None:
        """Return the first column that seems to be ``word``."""
        return next((guess for guess in self.guesses if guess.word == word), None)

    def all_of(self, word: str) -> tuple[Guess, ...]:
        """Return every column that seems to be ``word``."""
        return tuple(guess for guess in self.guesses if guess.word == word)

    @property
    def words(self) -> frozenset[str]:
        """All words found."""
        return frozenset(guess.word for guess in self.guesses)

    def instead(self, heading: str, word: str, why: str) -> Draft:
        """Return the draft with one column read otherwise."""
        return replace(
            self,
            guesses=tuple(
                replace(guess, word=word, why=why) if guess.heading == heading else guess
                for guess in self.guesses
            ),
        )


def draft_of(table: Table, pack: Pack, header: int) -> Draft:
    """Return what the columns of a table seem to be."""
    profiles = {heading: Profile(column) for heading, column in table.columns.items()}
    guesses = [_by_heading(heading, profile) for heading, profile in profiles.items()]
    guesses = _one_each(guesses)
    draft = Draft(table, profiles, tuple(guesses), header)
    draft = _by_cells(draft, pack)
    return _wide(draft, pack)


def known_names(profile: Profile, pack: Pack) -> float:
    """Return the share of a column's distinct texts, of the first many, that are certain names."""
    tried = profile.values[:MOST_NAMES_TRIED]
    return sum(resolve(text, pack).certain for text in tried) / len(tried) if tried else 0.0


def _by_heading(heading: str, profile: Profile) -> Guess:
    meaning = meaning_of(heading)
    if profile.column.blank and (meaning is None or meaning.word not in _KEPT_THOUGH_BLANK):
        return Guess(heading, IGNORE, "nothing stands in it")
    if meaning is None:
        return Guess(heading, IGNORE, "")
    word = meaning.word
    if word == "oxygen":
        word = "oxygen_mg_l" if profile.within(0, 25) else "oxygen_percent"
    if word == "haul_no" and all(reduced(said).replace(" ", "_") in SET_TYPES for said in profile.values):
        return Guess(heading, "set_type", "its cells are geometries of a set", said=meaning.said)
    if not profile.column.blank and (trouble := _misfit(word, profile)):
        return Guess(heading, IGNORE, f"headed like {says(word)}, but {trouble}")
    why = f"a usual heading for {says(word)}"
    return Guess(heading, word, why, meaning.unit, meaning.set_no, meaning.said)


_BETWEEN = {
    "lat": (-90, 90), "lon": (-180, 180), "year": (1800, 2100), "month": (1, 12), "day": (1, 31),
    "temperature_c": (-3, 45), "salinity": (0, 60), "oxygen_mg_l": (0, 25), "oxygen_percent": (0, 400),
    "ph": (3, 11.5),
}  # fmt: skip
"""Between which all numbers of a column lie; wide, since a slip must not make a column unknown."""


def _misfit(word: str, profile: Profile) -> str | None:
    """Return why the cells of a column do not bear out its heading, or None."""
    if word in ("n", "n_unmeasured", "estimated") and profile.counts < 0.8:
        return "few of its cells are whole numbers"
    if word in ("length", "area", "depth") and profile.numeric < 0.8:
        return "few of its cells are numbers"
    if word in ("date", "time") and profile.share(lambda said: bool(re.search(r"\d", said))) < 0.8:
        return "few of its cells hold a number"
    if word in _BETWEEN and not profile.within(*_BETWEEN[word]):
        return "its numbers do not lie where they should"
    return None


def _one_each(guesses: list[Guess]) -> list[Guess]:
    """Keep one column a word: the one headed most plainly, the first of equals."""
    best: dict[tuple[str, str | None], Guess] = {}
    for guess in guesses:
        key = (guess.word, guess.set_no)
        if guess.word not in _SEVERAL and (key not in best or _plainness(guess) < _plainness(best[key])):
            best[key] = guess
    return [
        guess
        if guess.word in _SEVERAL or (first := best[guess.word, guess.set_no]) is guess
        else replace(guess, word=IGNORE, why=f"{first.heading!r} already is {says(guess.word)}")
        for guess in guesses
    ]


def _plainness(guess: Guess) -> int:
    return SYNONYMS[guess.word].index(guess.said) if guess.said in SYNONYMS.get(guess.word, ()) else 99


def _by_cells(draft: Draft, pack: Pack) -> Draft:
    """Look at the cells of the columns whose headings say nothing, for a date, a name, a number, a fate."""
    for guess in draft.guesses:
        if guess.word == IGNORE and not guess.why:
            draft = draft.instead(guess.heading, *_cells_say(draft, draft.profiles[guess.heading], pack))
    return draft


def _cells_say(draft: Draft, profile: Profile, pack: Pack) -> tuple[str, str]:
    """Return the word for a column by its cells, and why."""
    if _row_numbers(profile):
        return IGNORE, "holds row numbers"
    if not draft.words & {"date", "year"} and (found := _day_word(profile, draft.header)):
        return found, "all its cells are dates" if found == "date" else "its cells are years"
    if _could_hold_names(draft) and profile.counts < 0.2 and known_names(profile, pack) >= 0.3:
        return "name", "its cells are names of the pack"
    if draft.header == 0 and not draft.words & {"n", "estimated"} and profile.counts >= 0.9:
        return "n", "its cells are whole numbers and no years"
    if (
        "fate" not in draft.words
        and profile.values
        and all(reduced(said) in FATES for said in profile.values)
    ):
        return "fate", "all its cells say what became of the animals"
    return IGNORE, "not known; name it if it matters"


def _could_hold_names(draft: Draft) -> bool:
    """Return whether names are still looked for: animals are counted or measured, or no heading tells."""
    return "name" not in draft.words and (
        draft.header == 0 or bool(draft.words & {"n", "n_unmeasured", "estimated", "length"})
    )


def _day_word(profile: Profile, header: int) -> str | None:
    forms = set(profile.date_forms)
    if forms - {"yyyy", "yyyymmdd"}:
        return "date"
    return "year" if header == 0 and forms == {"yyyy"} and profile.within(1900, 2100) else None


def _row_numbers(profile: Profile) -> bool:
    rows = len(profile.column)
    first = profile.column.values[:3]
    return rows > 3 and len(profile.column.values) == rows and first in (("0", "1", "2"), ("1", "2", "3"))


def _wide(draft: Draft, pack: Pack) -> Draft:
    """See whether taxa stand side by side: several headings are certain names above whole numbers."""
    if "name" in draft.words:
        return draft
    taxa = [
        guess
        for guess in draft.guesses
        if guess.word == IGNORE and (match := resolve(spaced(guess.heading), pack)).certain and match.taxon
        and (draft.profiles[guess.heading].column.blank or draft.profiles[guess.heading].counts >= 0.8)
    ]  # fmt: skip
    if len(taxa) < 2:
        return draft
    for guess in taxa:
        draft = draft.instead(guess.heading, TAXON, "a name of the pack above numbers")
    for guess in (*draft.all_of("n"), *draft.all_of("estimated")):
        draft = draft.instead(
            guess.heading, IGNORE, "the taxa have columns of their own; this looks like their sum"
        )
    for guess in draft.all_of(IGNORE):
        near = resolve(spaced(guess.heading), pack).candidates
        if near and near[0].score >= 85 and draft.profiles[guess.heading].counts >= 0.8:
            why = f"above numbers, perhaps {near[0].scientific_name}; its name is asked on reading"
            draft = draft.instead(guess.heading, TAXON, why)
    return draft


def spaced(heading: str) -> str:
    """Return a heading as a name is written: ``Atlantic_silverside`` with its blank."""
    return heading.replace("_", " ").replace(".", " ").strip()
