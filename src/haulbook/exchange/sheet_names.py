"""Names as written become taxa of the pack where they are certain; the others stay open and are asked."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from haulbook.exchange.answers import Answer, Question
from haulbook.exchange.code_list import CodeList
from haulbook.exchange.joins import OWN
from haulbook.exchange.reading import Reading
from haulbook.exchange.sheet_catch import NO_NAME, State
from haulbook.problems import Problem, Refusal
from haulbook.taxa import Pack
from haulbook.taxa.names import Candidate, resolve


@dataclass(frozen=True, slots=True)
class Named:
    """What a name as written stands for.

    Attributes
    ----------
    taxon : str
        Key of the pack, or ``?`` and the name as written while it is open.
    stage : str or None
        Life stage that the name itself says.
    doubt : bool
        Whether the name carries a mark of doubt.
    candidates : tuple of Candidate
        Of an open name, the likeliest first.
    """

    taxon: str
    stage: str | None = None
    doubt: bool = False
    candidates: tuple[Candidate, ...] = ()

    @property
    def open(self) -> bool:
        """Whether somebody still has to say which taxon it is."""
        return self.taxon.startswith("?")


class Names:
    """Looks every name up once.

    Parameters
    ----------
    codes : CodeList
        What codes stand for.
    pack : Pack
    answers : iterable of Answer
        Those about names are used; the others are passed over.

    Raises
    ------
    Refusal
        Where an answer names no taxon of the pack.
    """

    def __init__(self, codes: CodeList, pack: Pack, answers: Iterable[Answer] = ()) -> None:
        self._codes, self._pack = codes, pack
        self._found: dict[str, Named] = {}
        for answer in answers:
            if answer.about == "name" and not answer.open:
                self._found[answer.key] = self._answered(answer)

    def of(self, written: str) -> Named:
        """Return what a name as written stands for."""
        found = self._found.get(written)
        if found is None:
            found = self._found[written] = self._look_up(written)
        return found

    def _answered(self, answer: Answer) -> Named:
        own = resolve(answer.key, self._pack)
        if answer.to == OWN:
            return Named(f"?{' '.join(answer.key.split())}", own.stage, own.doubt)
        match = resolve(str(answer.to), self._pack)
        if match.taxon is None:
            near = f"; perhaps {match.candidates[0].taxon!r}" if match.candidates else ""
            message = f"{answer.key!r}: there is no taxon {answer.to!r} in the pack {self._pack.key}{near}"
            raise Refusal(Problem("refused", message))
        return Named(match.taxon, match.stage or own.stage, own.doubt)

    def _look_up(self, written: str) -> Named:
        """Take the lowest of the taxa that the name, and what its code stands for, are certain to mean."""
        stands_open = f"?{' '.join(written.split())}"
        if written == NO_NAME:
            return Named(stands_open)
        matches = [resolve(name, self._pack) for name in self._codes.names_of(written)]
        stage = next((match.stage for match in matches if match.stage), None)
        doubt = any(match.doubt for match in matches)
        certain = [match.taxon for match in matches if match.certain and match.taxon is not None]
        for taxon in certain:
            if all(self._pack.is_within(taxon, other) for other in certain):
                return Named(taxon, stage, doubt)
        candidates = dict.fromkeys(candidate for match in matches for candidate in match.candidates)
        return Named(stands_open, stage, doubt, tuple(candidates))


def name_questions(reading: Reading, pack: Pack, answers: Iterable[Answer] = ()) -> tuple[Question, ...]:
    """Return one question for each name of the sheets that is no certain taxon of the pack.

    Names that the reading itself asks about (codes in no list) are left to it.
    """
    answers = tuple(answers)
    names = Names(reading.codes, pack, answers)
    kept = {answer.key for answer in answers if answer.about == "name" and answer.to == OWN}
    asked = {question.key for question in reading.questions if question.about == "name"}
    rows: dict[str, list[int]] = {}
    for catch in reading.catches:
        wanted = {
            code
            for code, name in enumerate(catch.name.values)
            if name not in {NO_NAME, *asked, *kept} and names.of(name).open
        }
        for i, code in enumerate(catch.name.codes.tolist()) if wanted else ():
            if code in wanted and catch.state[i] <= State.PRESENT:
                rows.setdefault(catch.name.values[code], []).append(catch.row(i))
    return tuple(_question(name, found, names.of(name), pack) for name, found in rows.items())


def _question(name: str, rows: list[int], named: Named, pack: Pack) -> Question:
    likely = ", ".join(f"{c.taxon!r} ({c.scientific_name})" for c in named.candidates[:4])
    ask = (
        f"{name!r} on {len(rows)} rows: which taxon of the pack {pack.key} is it?\n"
        f"{f'Perhaps {likely}. ' if likely else ''}"
        f"Answer with a key of the pack, or {OWN!r} where it is to stay as written. "
        "Until then it counts as a taxon of its own."
    )
    return Question("name", name, tuple(rows), ask)
