"""The station as open files: those that ``haulbook account``, ``plan``, ``kit`` and ``verify`` take."""

from __future__ import annotations

import os
import re
import shutil
from collections.abc import Collection
from dataclasses import dataclass
from pathlib import Path

from haulbook.custody.book import Book
from haulbook.exchange.bookfile import write_book
from haulbook.problems import Refusal
from haulbook.station.models import EntryRow, LayoutFile, PlanVersion, StoredFile
from haulbook.station.store import book, permits, pictures, plans, reference
from haulbook.station.store.sealed import Told, untold
from haulbook.station.store.snapshot import snapshot
from haulbook.station.store.toml_text import permit_text, plan_text, station_text


@dataclass(frozen=True, slots=True)
class Exported:
    """How many of each were written."""

    entries: int
    permits: int
    plans: int
    layouts: int
    files: int
    pictures: int


def export(folder: Path, told: Told = untold) -> Exported:
    """Write the station into a new folder: all of it, or nothing.

    ``book.jsonl``, ``station.toml``, ``permits/NO.toml``, ``plans/OUTING.toml``, ``layouts/NAME.toml`` (the newest
    version of each), ``files/SHA256`` with the ending of the name it came under,
    ``pictures/SHA256.jpg`` for photos that lines of the book name.

    Raises
    ------
    Refusal
        Where something stands in the folder already, or it can't be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        raise Refusal(f"something stands in {folder} already; name a new folder")
    part = folder.with_name(f".{folder.name}.{os.getpid()}.part")
    try:
        part.mkdir(parents=True, mode=0o700)
        with snapshot():
            done = _write(part, told)
        if folder.exists():
            folder.rmdir()
        part.replace(folder)
    except OSError as error:
        raise Refusal(f"{folder} could not be written ({error.strerror}); nothing was changed") from None
    finally:
        shutil.rmtree(part, ignore_errors=True)
    return done


def _write(folder: Path, told: Told) -> Exported:
    station = reference.station()
    named = pictures.every_named()
    (folder / "station.toml").write_text(station_text(station), encoding="utf-8")
    return Exported(
        entries=_book(folder / "book.jsonl", told),
        permits=_permits(_made(folder / "permits")),
        plans=_plans(_made(folder / "plans")),
        layouts=_layouts(_made(folder / "layouts")),
        files=_files(_made(folder / "files"), named),
        pictures=_pictures(_made(folder / "pictures"), named),
    )


def _made(folder: Path) -> Path:
    folder.mkdir()
    return folder


def _book(path: Path, told: Told) -> int:
    total = EntryRow.objects.count()
    told("writing the book", 0, total)
    whole: Book = book.whole_book()
    write_book(whole, path)
    told("writing the book", total, total)
    return len(whole.entries)


def _permits(folder: Path) -> int:
    texts = {row.no: row.text for row in permits.newest_files()}
    for permit in permits.permits():
        text = permit_text(texts[permit.no], permit)
        _toml(folder, permit.no).write_text(text, encoding="utf-8")
    return len(texts)


def _plans(folder: Path) -> int:
    rows: list[PlanVersion] = plans.newest()
    for row in rows:
        _toml(folder, row.outing).write_text(plan_text(plans.read(row)), encoding="utf-8")
    return len(rows)


def _layouts(folder: Path) -> int:
    newest = {row.name: row.text for row in LayoutFile.objects.order_by("name", "number")}
    for name, text in newest.items():
        _toml(folder, name).write_text(text, encoding="utf-8")
    return len(newest)


def _pictures(folder: Path, named: Collection[str]) -> int:
    come = sorted(pictures.here(named))
    for sha256 in come:
        content = StoredFile.objects.values_list("content", flat=True).get(pk=sha256)
        (folder / f"{sha256}.jpg").write_bytes(content)
    return len(come)


def _files(folder: Path, pictures: Collection[str]) -> int:
    n = 0
    for sha256, name in StoredFile.objects.order_by("sha256").values_list("sha256", "name"):
        if sha256 in pictures:
            continue
        ending = re.search(r"\.[A-Za-z0-9]{1,8}$", name)
        content = StoredFile.objects.values_list("content", flat=True).get(pk=sha256)
        (folder / f"{sha256}{ending[0] if ending else ''}").write_bytes(content)
        n += 1
    return n


def _toml(folder: Path, name: str) -> Path:
    """Return a file of that name, as far as every system takes it; two names never share one."""
    safe = re.sub(r"[^A-Za-z0-9._-]", "-", name).lstrip(".") or "-"
    path, n = folder / f"{safe}.toml", 1
    while path.exists():
        n += 1
        path = folder / f"{safe}-{n}.toml"
    return path
