"""A permit's file on its way in: looked at before it is kept, and what people confirmed carried over or asked anew."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

import tomlkit
from django.db import transaction
from django.utils.translation import gettext as _
from tomlkit.items import AoT, Array

from haulbook.exchange.permit_toml import permit_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.permit_changes import PermitChanges, asks_anew, permit_changes
from haulbook.permit.model import CONFIRMING, Clause, Permit
from haulbook.problems import Refusal
from haulbook.station import clock
from haulbook.station.models import Confirmation, PermitFile, StoredFile
from haulbook.station.store import permits
from haulbook.station.store.reference import pack_of_station


@dataclass(frozen=True, slots=True)
class Coming:
    """A file that is not kept yet.

    Attributes
    ----------
    text : str
        As it would be kept: without the confirmations of clauses that say something new.
    permit : Permit
    before : PermitFile or None
        The version before.
    changes : PermitChanges
    dropped : tuple of str
        Clauses whose ``confirmed_by`` was taken out.
    """

    text: str
    permit: Permit
    before: PermitFile | None
    changes: PermitChanges
    dropped: tuple[str, ...]


def look_at(text: str, name: str = "permit.toml") -> Coming:
    """Read a file and compare it with the version before.

    Raises
    ------
    Refusal
        With everything that is off in the file.
    """
    text = text.removeprefix("\ufeff").replace("\r\n", "\n")
    permit = permit_of(parse_toml(text, name), name, pack_of_station())
    before = PermitFile.objects.filter(no=permit.no).order_by("-number").first()
    old = permits.permit_in(before) if before else None
    dropped: tuple[str, ...] = ()
    if old is not None:
        text, dropped = _without_old_names(text, old, permit)
        permit = permit_of(parse_toml(text, name), name, pack_of_station())
    return Coming(text, permit, before, permit_changes(old, permit), dropped)


def keep(text: str, by: str, why: str = "", paper: StoredFile | None = None) -> PermitFile:
    """Keep a file as the next version of its permit; clauses that stand as they were stay confirmed."""
    coming = look_at(text)
    old = permits.permit_in(coming.before) if coming.before else None
    with transaction.atomic():
        row = permits.store_permit(coming.text, by, why, paper)
        if old is not None:
            _carry_over(old, coming.permit)
    return row


def confirm(no: str, clause: Clause, digest: str, by: str) -> int:
    """Write down that somebody compared a clause with the paper. Return how many people have.

    Raises
    ------
    Refusal
        They did before, or the clause changed while they looked.
    """
    if permits.clause_digest(clause) != digest:
        raise Refusal(_("The clause changed while you looked at it; compare it with the paper again."))
    if by in clause.confirmed_by:
        raise Refusal(
            _("You compared clause %(clause)s with the paper already; another person has to look too.")
            % {"clause": clause.id}
        )
    Confirmation.objects.get_or_create(
        no=no,
        clause=clause.id,
        digest=digest,
        by=by,
        defaults={"version": clause.version, "at": clock.now()},
    )
    return len({*clause.confirmed_by, by})


def confirmed(clause: Clause) -> bool:
    """Say whether enough people compared a clause with the paper."""
    return len(set(clause.confirmed_by)) >= CONFIRMING


def with_clause(text: str, clause: Mapping[str, Any]) -> str:
    """Return a permit's file with one more clause at its end; comments and order stay as they are."""
    document = tomlkit.parse(text)
    known = document.get("clause")
    if known is None:
        known = tomlkit.aot()
        document["clause"] = known
    if isinstance(known, AoT):
        table = tomlkit.table()
        table.update({key: _inline(value) for key, value in clause.items()})
        known.append(table)
    elif isinstance(known, Array):
        known.append(_inline(clause))
    else:
        raise Refusal(_("The clauses of this file stand in a form that can only be changed as a file."))
    return tomlkit.dumps(document)


def clause_text(text: str, clause: str, version: int) -> str:
    """Return one version of a clause as it was typed; empty where the file has none."""
    for table in tomlkit.parse(text).get("clause", ()):
        if (str(table.get("id")), int(table.get("version", 1))) == (clause, version):
            return str(table.as_string()).strip()
    return ""


def heading_text(heading: Mapping[str, Any]) -> str:
    """Return the beginning of a new permit's file."""
    document = tomlkit.document()
    document.update(heading)
    return tomlkit.dumps(document)


def _inline(value: Any) -> Any:
    if not isinstance(value, Mapping):
        return value
    table = tomlkit.inline_table()
    table.update({key: _inline(one) for key, one in value.items()})
    return table


def _without_old_names(text: str, old: Permit, new: Permit) -> tuple[str, tuple[str, ...]]:
    """Take ``confirmed_by`` out of the clauses that say something new: who looked, looked at the old words."""
    was = {(one.id, one.version): one for one in old.clauses}
    anew = {
        (one.id, one.version)
        for one in new.clauses
        if one.confirmed_by and asks_anew(was.get((one.id, one.version)), one)
    }
    if not anew:
        return text, ()
    document = tomlkit.parse(text)
    for clause in document["clause"]:
        if (str(clause["id"]), int(clause.get("version", 1))) in anew:
            clause.remove("confirmed_by")
    return tomlkit.dumps(document), tuple(sorted(clause for clause, _version in anew))


def _carry_over(old: Permit, new: Permit) -> None:
    was = {(one.id, one.version): one for one in old.clauses}
    for clause in new.clauses:
        before = was.get((clause.id, clause.version))
        if before is None or asks_anew(before, clause):
            continue
        digest, now = permits.clause_digest(before), permits.clause_digest(clause)
        if digest != now:
            Confirmation.objects.bulk_create(
                [
                    Confirmation(
                        no=new.no,
                        clause=clause.id,
                        version=clause.version,
                        digest=now,
                        by=row.by,
                        at=row.at,
                    )
                    for row in Confirmation.objects.filter(no=new.no, clause=clause.id, digest=digest)
                ],
                ignore_conflicts=True,
            )
