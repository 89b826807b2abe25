"""Permit and layout files with their versions, read as the domain knows them."""

from __future__ import annotations

from dataclasses import fields, is_dataclass, replace
from functools import lru_cache
from typing import Any

from django.db import transaction

from haulbook.custody.canonical import canonical, sha256_of
from haulbook.exchange.layouts import layout_of, packaged_layouts
from haulbook.exchange.permit_toml import permit_of
from haulbook.exchange.toml_keys import parse_toml
from haulbook.permit.layout import Layout
from haulbook.permit.model import Clause, Permit
from haulbook.station import clock
from haulbook.station.models import Confirmation, LayoutFile, PermitFile, StoredFile
from haulbook.station.store.reference import pack_of_station
from haulbook.taxa import load_pack


def store_permit(text: str, by: str, why: str = "", paper: StoredFile | None = None) -> PermitFile:
    """Keep a permit's file as its newest version; the same text again is no new version.

    Raises
    ------
    Refusal
        With everything that is off in the file.
    """
    permit = _read(text, pack_of_station().key)
    with transaction.atomic():
        last = PermitFile.objects.filter(no=permit.no).order_by("-number").first()
        digest = sha256_of(text)
        if last is not None and last.sha256 == digest:
            return last
        return PermitFile.objects.create(
            no=permit.no,
            number=last.number + 1 if last else 1,
            text=text,
            sha256=digest,
            at=clock.now(),
            by=by,
            why=why,
            paper=paper,
        )


def newest_files() -> list[PermitFile]:
    """Return the newest version of each permit's file, by number of the permit."""
    newest: dict[str, PermitFile] = {}
    for row in PermitFile.objects.order_by("no", "number"):
        newest[row.no] = row
    return list(newest.values())


def permits() -> tuple[Permit, ...]:
    """Return every permit as its newest file says it, with what people confirmed here: two queries."""
    files = newest_files()
    confirmed: dict[tuple[str, str, str], list[str]] = {}
    for row in Confirmation.objects.order_by("at"):
        confirmed.setdefault((row.no, row.clause, row.digest), []).append(row.by)
    pack = pack_of_station().key
    return tuple(_with_confirmations(_read(row.text, pack), confirmed) for row in files)


def permit_in(row: PermitFile) -> Permit:
    """Return the permit that one version of a file says."""
    return _read(row.text, pack_of_station().key)


def clause_digest(clause: Clause) -> str:
    """Return the digest of a clause as it stands, without who confirmed it or when the next version ends it."""
    return sha256_of(canonical(_plain(replace(clause, confirmed_by=(), effective_to=None))))


def _with_confirmations(permit: Permit, confirmed: dict[tuple[str, str, str], list[str]]) -> Permit:
    def of(clause: Clause) -> Clause:
        here = confirmed.get((permit.no, clause.id, clause_digest(clause)), ())
        return replace(clause, confirmed_by=tuple(dict.fromkeys((*clause.confirmed_by, *here))))

    return replace(permit, clauses=tuple(of(clause) for clause in permit.clauses))


def layouts() -> dict[str, Layout]:
    """Return the layouts that come with haulbook and the station's own by name; a name of its own stands first."""
    own: dict[str, Layout] = {}
    for row in LayoutFile.objects.order_by("name", "number"):
        own[row.name] = layout_of(parse_toml(row.text, f"{row.name}.toml"), f"{row.name}.toml")
    return {**packaged_layouts(), **own}


def _plain(value: Any) -> Any:
    """Return a clause as JSON writes it, sets in order: the same clause gives the same text everywhere."""
    if is_dataclass(value) and not isinstance(value, type):
        return {field.name: _plain(getattr(value, field.name)) for field in fields(value)}
    if isinstance(value, (set, frozenset)):
        return sorted(map(str, value))
    if isinstance(value, (list, tuple)):
        return [_plain(one) for one in value]
    return value if value is None or isinstance(value, (bool, int)) else str(value)


@lru_cache(maxsize=64)
def _read(text: str, pack: str) -> Permit:
    return permit_of(parse_toml(text, "permit.toml"), "permit.toml", load_pack(pack))
