"""What is left of each clause, reckoned as a phone does it: from the kit and the entries of its outing, nothing else.

    left = limit - before - n

``before`` stands in the kit: what had been counted in the clause's period outside this outing. ``n`` is counted
from all entries of the outing that the device knows, those of the kit included, by the rules of A4.3 (1, 3, 7, 9, 10)
over the taxon lists of the kit. Cases hold this and the page's own arithmetic to the same answers.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime
from fractions import Fraction

from haulbook.custody.book import Book
from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.fates import Basis, Fate
from haulbook.custody.ledger import account_of
from haulbook.permit.headroom import NEEDS_ALLOWANCE
from haulbook.permit.names import is_open
from haulbook.permit.scope import Meant
from haulbook.permit.status import FULL, status_of_percent
from haulbook.shore.kit import Kit
from haulbook.shore.shape import Clause, Sizes


@dataclass(frozen=True, slots=True)
class Counted:
    """Animals of the outing that count in a clause: surely, and those that may count on top."""

    n: int = 0
    possible: int = 0

    def __add__(self, other: Counted) -> Counted:
        return Counted(self.n + other.n, self.possible + other.possible)


@dataclass(frozen=True, slots=True)
class Standing:
    """One clause with everything that a device knows.

    Attributes
    ----------
    clause : Clause
    n, possible : int
        Counted in the clause's period, this outing included.
    of, of_possible : int
        Denominator of a percentage, counted in the same way; 0 for other clauses.
    """

    clause: Clause
    n: int
    possible: int
    of: int = 0
    of_possible: int = 0

    @property
    def left(self) -> int | None:
        """What may still be added; None without a number, and for a percentage that is not met."""
        return self._left(self.n, self.of)

    @property
    def left_at_worst(self) -> int | None:
        """The same if everything counts that may."""
        return self._left(self.n + self.possible, self.of)

    def _left(self, n: int, of: int) -> int | None:
        clause = self.clause
        if clause.percent is not None:
            status = status_of_percent(n, of, Fraction(clause.percent), clause.min_n)
            return 0 if status in FULL else None
        return None if clause.limit is None else max(0, clause.limit - n)


@dataclass(frozen=True, slots=True)
class Rules:
    """Clauses that hold together, and the names they are said in.

    Attributes
    ----------
    clauses : sequence of Clause
    charge_to : mapping of permit to permit
        Where a permit charges its animals to another, for what that one surely means.
    parents : mapping of taxon to taxon or None
        The name above each.
    """

    clauses: Sequence[Clause]
    charge_to: Mapping[str, str]
    parents: Mapping[str, str | None]

    def meant(self, clause: Clause, animals: Animals, haul: Haul) -> Meant:
        """Return how surely a clause means these, after other clauses took out what is theirs."""
        answer = self._scope(clause, animals, haul)
        for other in self.clauses if answer is not Meant.NOT else ():
            if other.permit == clause.permit and clause.id in other.instead_of:
                theirs = self._scope(other, animals, haul)
                if theirs is Meant.CERTAINLY:
                    return Meant.NOT
                answer = min(answer, Meant.POSSIBLY) if theirs is Meant.POSSIBLY else answer
        return answer

    def charged_elsewhere(self, clause: Clause, animals: Animals, haul: Haul) -> bool:
        """Say whether the clause's permit charges these to another one, which surely means them."""
        other = self.charge_to.get(clause.permit)
        return other is not None and any(
            one.permit == other and self._scope(one, animals, haul) is Meant.CERTAINLY for one in self.clauses
        )

    def count(self, clause: Clause, basis: Basis, account: Account, haul: str | None) -> Counted:
        """Return what the animals of an account add to a clause; ``haul`` for a clause that counts by haul."""
        hauls = {each.key: each for each in account.hauls}
        total = Counted()
        for animals in _sampled(account) if basis is Basis.SAMPLED else account.animals:
            came_in = hauls.get(animals.haul) or Haul(animals.haul, animals.haul.rpartition("/")[0])
            meant = min(
                self.meant(clause, animals, came_in),
                raised(clause, basis, animals, came_in),
                _in_period(clause, animals, haul, len(hauls)),
            )
            if meant is not Meant.NOT and not self.charged_elsewhere(clause, animals, came_in):
                total += Counted(animals.n, 0) if meant is Meant.CERTAINLY else Counted(0, animals.n)
        return total

    def _scope(self, clause: Clause, animals: Animals, haul: Haul) -> Meant:
        only = clause.only
        if animals.unit != clause.unit:
            return Meant.NOT
        return min(
            self._named(clause, animals),
            _listed(animals.stage, only.stage),
            _worded(animals.said or "", only.words),
            _listed(animals.origin, only.origin),
            _listed(animals.sex, only.sex),
            _sized(animals, only.size),
            _listed(haul.site, only.area),
            _listed(haul.net, only.gear),
            Meant.POSSIBLY if only.purpose else Meant.CERTAINLY,
        )

    def _named(self, clause: Clause, animals: Animals) -> Meant:
        taxon: str | None = animals.taxon
        if animals.doubt == "name" and animals.taxon in self.parents:
            taxon = self.parents[animals.taxon]
        if taxon is None or is_open(taxon) or taxon not in self.parents:
            return Meant.CERTAINLY if clause.unnamed == "certain" else Meant.POSSIBLY
        if taxon in clause.members:
            return Meant.CERTAINLY
        return Meant.POSSIBLY if taxon in clause.possible else Meant.NOT


def rules_of(kit: Kit) -> Rules:
    """Return the clauses of a kit, ready to count by."""
    charged = {one.permit: one.charge_to for one in kit.permits if one.charge_to}
    return Rules(kit.clauses, charged, {taxon.key: taxon.parent for taxon in kit.taxa})


def standings(kit: Kit, known: Book, haul: str | None = None) -> tuple[Standing, ...]:
    """Return where every clause of a kit stands.

    Parameters
    ----------
    kit : Kit
    known : Book
        Every entry of the outing that the device knows: those of the kit, its own, and those of others that came
        in since.
    haul : str or None
        The haul that is on, for clauses that count by haul: without one they stand as before any haul.
    """
    rules, account = rules_of(kit), account_of(known)
    return tuple(_standing(rules, clause, account, haul) for clause in kit.clauses)


def left_for(kit: Kit, known: Book, animals: Animals, basis: Basis) -> tuple[int | None, Meant]:
    """Return the least that is left for these animals and one basis, and how surely any clause allows it.

    None: no clause has a number. Only clauses that surely mean them enter; what nothing allows to be kept, killed or
    sampled has 0 left (A4.3 rules 2, 8 and 10).
    """
    rules, account = rules_of(kit), account_of(known)
    haul = next((one for one in account.hauls if one.key == animals.haul), Haul(animals.haul, kit.outing))
    least: int | None = None
    allowed = Meant.NOT
    for clause in kit.clauses:
        if clause.basis != basis:
            continue
        meant = rules.meant(clause, animals, haul)
        if clause.kind == "limit" and clause.limit != 0:
            allowed = max(allowed, meant)
        if meant is Meant.CERTAINLY and clause.limit is not None:
            room = max(0, clause.limit - _standing(rules, clause, account, haul.key).n)
            least = room if least is None else min(least, room)
    if basis in NEEDS_ALLOWANCE and allowed is Meant.NOT:
        return 0, allowed
    return least, allowed


def _standing(rules: Rules, clause: Clause, account: Account, haul: str | None) -> Standing:
    here = rules.count(clause, Basis(clause.basis), account, haul)
    of = rules.count(clause, Basis(clause.of), account, haul) if clause.of else Counted()
    return Standing(
        clause,
        clause.before + here.n,
        clause.before_possible + here.possible,
        clause.before_of + of.n,
        clause.before_of_possible + of.possible,
    )


def raised(clause: Clause, basis: Basis, animals: Animals, haul: Haul) -> Meant:
    """Return how surely an animal raises a basis: by its fate at the beach, or by what came later."""
    if basis is Basis.SAMPLED or basis in animals.bases:
        return Meant.CERTAINLY
    if basis is Basis.LETHAL and clause.retained_is_lethal and Basis.RETAINED in animals.bases:
        return Meant.CERTAINLY
    if basis in (Basis.KILLED, Basis.LETHAL) and any(event.kind == "killed" for event in animals.later):
        return Meant.CERTAINLY
    if basis not in (Basis.DIED, Basis.LETHAL):
        return Meant.NOT
    if animals.fate is Fate.FATE_UNKNOWN:
        return Meant.POSSIBLY
    landed = (haul.landed or haul.started or haul.ended or animals.called).sort_key()
    for event in animals.later:
        if event.kind in ("died", "lost") and _within(event.at.sort_key(), landed, clause.window_h):
            return Meant.CERTAINLY if event.kind == "died" else Meant.POSSIBLY
    return Meant.NOT


def _within(at: datetime, landed: datetime, hours: float) -> bool:
    return hours > 0 and (at - landed).total_seconds() <= hours * 3600


def _in_period(clause: Clause, animals: Animals, haul: str | None, hauls: int) -> Meant:
    """Return whether animals of the outing are in the period asked about: all are, unless it is one haul."""
    if clause.period != "haul":
        return Meant.CERTAINLY
    if haul is None:
        return Meant.NOT
    if animals.haul_assumed and hauls > 1:
        return Meant.POSSIBLY
    return Meant.CERTAINLY if animals.haul == haul else Meant.NOT


def _sampled(account: Account) -> Iterable[Animals]:
    """Yield the animals of which tissue was taken, as the lengths say, whatever their fate."""
    hauls = {haul.key: haul for haul in account.hauls}
    for taken in account.lengths:
        haul = hauls.get(taken.haul)
        when = (haul.landed or haul.started or haul.ended) if haul else None
        if taken.tissue and taken.mm and when:
            yield Animals(
                taken.haul, taken.taxon, len(taken.mm), Fate.UNACCOUNTED, "net", when,
                stage=taken.stage, sex=taken.sex,
            )  # fmt: skip


def _listed(value: str | None, wanted: tuple[str, ...]) -> Meant:
    if not wanted or value in wanted:
        return Meant.CERTAINLY
    return Meant.POSSIBLY if value is None else Meant.NOT


def _worded(said: str, words: tuple[str, ...]) -> Meant:
    heard = any(re.search(rf"\b{re.escape(word)}s?\b", said, re.IGNORECASE) for word in words)
    return Meant.CERTAINLY if heard or not words else Meant.POSSIBLY


def _sized(animals: Animals, sizes: Sizes | None) -> Meant:
    if sizes is None:
        return Meant.CERTAINLY
    if animals.length_mm is None or (sizes.type and animals.length_type != sizes.type):
        return Meant.POSSIBLY
    long_enough = sizes.min_mm is None or sizes.min_mm <= animals.length_mm
    short_enough = sizes.max_mm is None or animals.length_mm < sizes.max_mm
    return Meant.CERTAINLY if long_enough and short_enough else Meant.NOT
