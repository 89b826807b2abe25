"""Files as they were handed in, with their map, answers and choices: what is kept while somebody goes through them."""

from __future__ import annotations

import hashlib
import tempfile
from collections.abc import Iterable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import tomlkit
from django.db import transaction
from django.http import Http404
from django.utils.translation import gettext as _

from haulbook.exchange.answers import Answer, read_answers
from haulbook.exchange.propose import propose
from haulbook.exchange.toml_keys import parse_toml
from haulbook.office.proposed_map import Seen, map_of
from haulbook.problems import Problem, Refusal
from haulbook.station import clock
from haulbook.station.models import BringIn, StoredFile
from haulbook.taxa import Pack

KINDS = {
    ".csv": "text/csv", ".tsv": "text/tab-separated-values", ".txt": "text/plain", ".xls": "application/vnd.ms-excel",
    ".xlsx": "application/vnd.openxmlformats-officedocument.spreadsheetml.sheet",
    ".xlsm": "application/vnd.ms-excel.sheet.macroEnabled.12", ".ods": "application/vnd.oasis.opendocument.spreadsheet",
}  # fmt: skip
"""Files that can hold tally sheets, by how their names end."""
MOST_FILES, MOST_BYTES = 20, 40_000_000
"""Handed in together: some 600 000 rows of a plain sheet. More belongs into several parts, season by season."""
MAP, ANSWERS = "the map", "the answers"
"""What map and answers are called in refusals."""


@dataclass(frozen=True, slots=True)
class HandedFile:
    """A file as a browser sent it."""

    name: str
    content: bytes


def hand_in(name: str, files: Sequence[HandedFile], pack: Pack, zone: str | None, by: str) -> BringIn:
    """Keep files that belong together, with a map as it is proposed.

    Raises
    ------
    Refusal
        With everything that is off: names, sizes, files that can't be read as tables.
    """
    _refuse_files(files)
    with _folder((file.name, file.content) for file in files) as folder:
        paths = [folder / file.name for file in files]
        proposal = propose(paths, None, zone)
        fits = proposal.pack
        if fits != pack.key:
            proposal = propose(paths, pack.key, zone)
    content, seen = map_of(proposal)
    with transaction.atomic():
        return BringIn.objects.create(
            name=name or ", ".join(file.name for file in files)[:200],
            at=clock.now(),
            by=by,
            files=[{"name": file.name, "sha256": _store(file, by)} for file in files],
            map=map_text(content),
            choices={
                "seen": seen.as_json(),
                "notes": [problem.as_json() for problem in proposal.asked if problem.column != "pack"],
                "fits": fits or "",
            },
        )


def _refuse_files(files: Sequence[HandedFile]) -> None:
    problems: list[Problem] = []
    names = [file.name for file in files]
    if not files:
        problems.append(Problem("refused", _("Choose at least one file.")))
    if len(files) > MOST_FILES:
        told = _("{n} files are too many at once; hand in up to {most} that belong together.")
        problems.append(Problem("refused", told.format(n=len(files), most=MOST_FILES)))
    for file in files:
        if names.count(file.name) > 1:
            problems.append(Problem("refused", _("Two files have this name; give each its own."), file.name))
        if Path(file.name).suffix.lower() not in KINDS:
            told = _("This is no tally sheet that can be read: CSV, TSV, XLSX, XLS or ODS can.")
            if file.name.endswith(".jsonl"):
                told = _("This is a book, not a sheet: bring it in with haulbook station import.")
            problems.append(Problem("refused", told, file.name))
    if sum(len(file.content) for file in files) > MOST_BYTES:
        told = _("Together the files are larger than {most} MB; hand them in in parts, season by season.")
        problems.append(Problem("refused", told.format(most=MOST_BYTES // 1_000_000)))
    if problems:
        raise Refusal(dict.fromkeys(problems))


def _store(file: HandedFile, by: str) -> str:
    digest = hashlib.sha256(file.content).hexdigest()
    StoredFile.objects.get_or_create(
        sha256=digest,
        defaults={
            "name": file.name,
            "media_type": KINDS[Path(file.name).suffix.lower()],
            "size": len(file.content),
            "content": file.content,
            "at": clock.now(),
            "by": by,
        },
    )
    return digest


def bring_in_of(pk: int) -> BringIn:
    """Return what was handed in under a number.

    Raises
    ------
    Http404
        There is none.
    """
    row = BringIn.objects.filter(pk=pk).first()
    if row is None:
        raise Http404(_("Nothing was handed in under number {pk}.").format(pk=pk))
    return row


@contextmanager
def materials(row: BringIn) -> Iterator[tuple[list[Path], Path, tuple[Answer, ...]]]:
    """Lay out files, map and answers in a passing folder, as the verbs take them."""
    names = [file["name"] for file in row.files]
    digests = [file["sha256"] for file in row.files]
    stored = {one.sha256: bytes(one.content) for one in StoredFile.objects.filter(sha256__in=digests)}
    with _folder((name, stored[digest]) for name, digest in zip(names, digests, strict=True)) as folder:
        beside = folder / "beside"
        beside.mkdir()
        map_file = beside / MAP
        map_file.write_text(row.map, encoding="utf-8", newline="\n")
        yield [folder / name for name in names], map_file, answers_of(row)


@contextmanager
def _folder(files: Iterable[tuple[str, bytes]]) -> Iterator[Path]:
    with tempfile.TemporaryDirectory(prefix="haulbook-") as made:
        for name, content in files:
            (Path(made) / name).write_bytes(content)
        yield Path(made)


def answers_of(row: BringIn) -> tuple[Answer, ...]:
    """Return the answers given so far."""
    if not row.answers:
        return ()
    with tempfile.TemporaryDirectory(prefix="haulbook-") as made:
        file = Path(made) / ANSWERS
        file.write_text(row.answers, encoding="utf-8", newline="\n")
        return read_answers(file)


def answers_text(answers: Iterable[Answer]) -> str:
    """Return answers as the text of an answers file."""
    tables = [
        {"about": one.about, "key": one.key, "rows": list(one.rows), "to": one.to}
        for one in answers
        if not one.open
    ]
    return tomlkit.dumps({"answer": tables}) if tables else ""


def map_content(row: BringIn) -> dict[str, Any]:
    """Return the content of the map."""
    return parse_toml(row.map, MAP)


def map_text(content: Mapping[str, Any]) -> str:
    """Return a map's content as the text of its file."""
    return tomlkit.dumps(content)


def seen_of(row: BringIn) -> Seen:
    """Return what the proposal saw in the files."""
    return Seen(**row.choices["seen"])


def change(row: BringIn, **values: Any) -> BringIn:
    """Change something of what was handed in, as long as it is not being entered.

    Parameters
    ----------
    values
        ``map`` or ``answers`` as text; any other key is one of ``choices``.

    Raises
    ------
    Refusal
        It is in the book, or on its way there.
    """
    with transaction.atomic():
        now = BringIn.objects.select_for_update().get(pk=row.pk)
        if now.entered_at is not None or now.progress:
            raise Refusal(_("This is in the book already, or on its way: what was read stays as it was."))
        for key, value in values.items():
            if key in ("map", "answers"):
                setattr(now, key, value)
            else:
                now.choices = {**now.choices, key: value}
        now.at = clock.now()
        now.save(update_fields=["map", "answers", "choices", "at"])
        return now
