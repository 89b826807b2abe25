"""The account as permits see it: which permit an animal is charged to, and which clause means it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from haulbook.custody.facts import Account, Animals, Haul
from haulbook.custody.when import When
from haulbook.permit.model import Clause, Period, Permit
from haulbook.permit.names import Names
from haulbook.permit.period import Key, clock, keys, span
from haulbook.permit.scope import Meant, Scoper


class Take:
    """Everything taken, with the permits that are relied on together.

    Parameters
    ----------
    account : Account
    permits : sequence of Permit
        All that hold at once: rule 3 charges an animal to every one in force.
    names : Names
        The taxon pack.
    purposes : mapping of outing to purpose
        For permits that split by it.

    Attributes
    ----------
    alike : mapping of (taxon, unit, name doubtful) to lines
        The account's animals with their place in it, so that a clause passes over taxa it does not mean.
    """

    def __init__(
        self,
        account: Account,
        permits: Sequence[Permit],
        names: Names,
        purposes: Mapping[str, str] | None = None,
    ) -> None:
        self.account = account
        self.permits = tuple(permits)
        self.names = names
        self.purposes = dict(purposes or {})
        self.scoper = Scoper(names, self.purposes)
        self.hauls: dict[str, Haul] = {haul.key: haul for haul in account.hauls}
        self.outings: dict[str, list[Haul]] = defaultdict(list)
        for haul in account.hauls:
            self.outings[haul.outing].append(haul)
        self.alike: dict[tuple[str, str, bool], list[tuple[int, Animals]]] = defaultdict(list)
        for line, animals in enumerate(account.animals):
            self.alike[animals.taxon, animals.unit, animals.doubt == "name"].append((line, animals))
        self._keys: dict[tuple[Period, str, str, str], tuple[Key, ...]] = {}
        self.worked_out: dict[Any, Any] = {}  # charges by clause version: whoever asks again gets the same
        self._others: dict[tuple[str, str], tuple[Clause, ...]] = {}
        self._held: dict[tuple[str, str, str], bool] = {}

    def with_account(self, account: Account) -> Take:
        """Return the same permits over another account."""
        return Take(account, self.permits, self.names, self.purposes)

    def haul_of(self, animals: Animals) -> Haul:
        """Return the haul these came from; a bare one where the book has no line about it."""
        return self.hauls.get(animals.haul) or Haul(animals.haul, animals.haul.rpartition("/")[0])

    def landing(self, animals: Animals) -> When:
        """Return the permit's clock: net on the beach, or the nearest thing that somebody noted."""
        return clock(self.haul_of(animals)) or animals.called

    def covered(self, haul: Haul, when: When) -> bool:
        """Whether one permit is in force at set and landing both (rule 17); ``when``: if neither is known."""
        moments = [moment for moment in (haul.started, haul.landed) if moment] or [when]
        return any(all(self.held(permit, haul, moment) for moment in moments) for permit in self.permits)

    def may_be_of(self, animals: Animals) -> tuple[Haul, ...]:
        """Return the hauls these can have come from: several only where it was assumed."""
        haul = self.haul_of(animals)
        if not animals.haul_assumed:
            return (haul,)
        return (haul, *(other for other in self.outings.get(haul.outing, ()) if other.key != haul.key))

    def held(self, permit: Permit, haul: Haul, when: When) -> bool:
        """Whether the permit is in force at the landing; a vague date gets the benefit of the count."""
        known = self._held.get((permit.no, haul.key, when.text))
        if known is None:
            known = any(permit.in_force(at) for at in span(when, permit.tz))
            self._held[permit.no, haul.key, when.text] = known
        return known

    def keys(self, permit: Permit, period: Period, haul: Haul, when: When) -> tuple[Key, ...]:
        """Return the periods that something of a haul can belong to."""
        asked = (period, permit.no, haul.key, when.text)
        if asked not in self._keys:
            self._keys[asked] = keys(period, permit, haul, self.outings.get(haul.outing, (haul,)), when)
        return self._keys[asked]

    def charged(self, permit: Permit, animals: Animals) -> bool:
        """Whether these are charged to this permit (rule 3)."""
        haul, landing = self.haul_of(animals), self.landing(animals)
        if not self.held(permit, haul, landing):
            return False
        if permit.charge_to is None:
            return True
        other = next((held for held in self.permits if held.no == permit.charge_to.permit), None)
        return other is None or not (self.held(other, haul, landing) and self._covers(other, animals))

    def meant(self, permit: Permit, clause: Clause, animals: Animals) -> Meant:
        """Return how surely a clause counts these, after other clauses took out what is theirs (rule 1)."""
        haul = self.haul_of(animals)
        answer = self.scoper.meant(clause.scope, animals, haul)
        if answer is Meant.NOT:
            return answer
        for other in self._instead(permit, clause.id):
            if not other.in_force(span(self.landing(animals), permit.tz)[0]):
                continue
            lifted = self.scoper.meant(other.scope, animals, haul)
            if lifted is Meant.CERTAINLY:
                return Meant.NOT
            if lifted is Meant.POSSIBLY:
                answer = Meant.POSSIBLY
        return answer

    def _instead(self, permit: Permit, clause_id: str) -> Iterable[Clause]:
        key = (permit.no, clause_id)
        if key not in self._others:
            self._others[key] = tuple(other for other in permit.clauses if clause_id in other.instead_of)
        return self._others[key]

    def _covers(self, permit: Permit, animals: Animals) -> bool:
        at = span(self.landing(animals), permit.tz)[0]
        haul = self.haul_of(animals)
        return any(
            clause.counts and self.scoper.meant(clause.scope, animals, haul) is Meant.CERTAINLY
            for clause in permit.ruling(at)
        )
