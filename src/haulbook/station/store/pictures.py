"""Photos of animals: kept under the SHA-256 of their bytes, found by the lines of the book that name them."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import dataclass
from pathlib import Path

from haulbook.custody.book import Book
from haulbook.custody.entry import Entry
from haulbook.problems import Refusal
from haulbook.shore.picture import MEDIA_TYPE, MOST_BYTES, look_at_bytes, look_at_name
from haulbook.station import clock
from haulbook.station.models import EntryRow, StoredFile
from haulbook.station.store import book
from haulbook.station.store.writing import writing

KIND = "picture"
_MOST_IN = 500  # digests in one query: SQLite takes a limited number of words


@dataclass(frozen=True, slots=True)
class Photo:
    """A line that names a picture.

    Attributes
    ----------
    entry : Entry
        The line itself.
    of : Entry or None
        The line of the animal that it shows; None while that has not come in.
    here : bool
        Whether the picture has come in.
    strike : Entry or None
        What struck the line.
    """

    entry: Entry
    of: Entry | None
    here: bool
    strike: Entry | None

    @property
    def sha256(self) -> str:
        """Name of the picture."""
        return str(self.entry.body["sha256"])


def naming(sha256: str) -> Entry | None:
    """Return the first line of the book that names a picture."""
    rows = EntryRow.objects.filter(kind=KIND, line__contains=f'"{sha256}"').order_by("position")
    return next((entry for entry in book.entries_of(rows) if entry.body["sha256"] == sha256), None)


def keep(sha256: str, content: bytes) -> bool:
    """Keep a picture that a line names; the same bytes again are the same picture. Return whether it is new.

    Raises
    ------
    Refusal
        As ``shore.picture`` says: no line names it, or these are not the bytes that it names.
    """
    line = naming(sha256)
    look_at_name(sha256, named=line is not None)
    look_at_bytes(content, sha256)
    with writing():
        _, new = StoredFile.objects.get_or_create(
            sha256=sha256,
            defaults={
                "name": f"{sha256}.jpg",
                "media_type": MEDIA_TYPE,
                "size": len(content),
                "content": content,
                "at": clock.now(),
                "by": line.by if line else "",
            },
        )
    return new


def find(sha256: str) -> bytes | None:
    """Return a picture that has come in, where a line names it."""
    content = StoredFile.objects.filter(pk=sha256).values_list("content", flat=True).first()
    return bytes(content) if content is not None and naming(sha256) else None


def photos(own: Book, of: Entry | None = None) -> tuple[Photo, ...]:
    """Return the photos of a book's lines in order of time; of one line, and what it stands in place of, if named."""
    lines = [entry for entry in own.entries if entry.kind == KIND]
    if of is not None:
        shown = _stands_for(own, of.id)
        lines = [entry for entry in lines if entry.id == of.id or entry.body["of"] in shown]
    if not lines:
        return ()
    by_id = own.by_id()
    strikes = {key: entry for entry in own.entries if entry.kind == "strike" for key in entry.body["entries"]}
    come = here({entry.body["sha256"] for entry in lines})
    lines.sort(key=lambda entry: (entry.when.sort_key(), entry.device, entry.seq))
    return tuple(
        Photo(
            entry,
            next(iter(by_id.get(entry.body["of"], ())), None),
            entry.body["sha256"] in come,
            strikes.get(entry.id),
        )
        for entry in lines
    )


def here(digests: Collection[str]) -> frozenset[str]:
    """Return those of some pictures that have come in."""
    every = sorted(digests)
    return frozenset(
        digest
        for i in range(0, len(every), _MOST_IN)
        for digest in StoredFile.objects.filter(pk__in=every[i : i + _MOST_IN]).values_list("pk", flat=True)
    )


def every_named() -> frozenset[str]:
    """Return all pictures that lines of the book name."""
    return frozenset(
        entry.body["sha256"] for entry in book.entries_of(EntryRow.objects.filter(kind=KIND)) if entry.body
    )


def missing() -> frozenset[str]:
    """Return the pictures that lines name and that have not come in."""
    named = every_named()
    return named - here(named)


def take_in(folder: Path) -> tuple[int, tuple[str, ...]]:
    """Keep those pictures of a folder, each ``SHA256.jpg``, that lines name and that are not here.

    Returns
    -------
    new : int
    off : tuple of str
        What is wrong with those that were left out.
    """
    off = []
    new = 0
    for path in _files(folder):
        try:
            if path.stat().st_size > MOST_BYTES:
                raise Refusal(f"it has more than {MOST_BYTES:,} bytes")
            new += keep(path.stem, path.read_bytes())
        except OSError as error:
            off.append(f"{folder.name}/{path.name} was left out: it can't be read ({error.strerror})")
        except Refusal as refusal:
            off.append(f"{folder.name}/{path.name} was left out: {refusal.problems[0].message}")
    return new, tuple(off)


def _files(folder: Path) -> Iterator[Path]:
    for digest in sorted(missing()):
        path = folder / f"{digest}.jpg"
        if path.is_file():
            yield path


def _stands_for(own: Book, key: str) -> set[str]:
    """Return the id of a line and of those that were struck to put it in their place."""
    found = {key}
    strikes = [entry.body for entry in own.entries if entry.kind == "strike" and entry.body.get("instead")]
    before = 0
    while before != len(found):
        before = len(found)
        for body in strikes:
            if found & set(body["instead"]):
                found |= set(body["entries"])
    return found
