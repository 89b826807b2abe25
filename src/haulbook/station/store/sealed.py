"""A sealed file: a zip of JSON Lines and blobs with a manifest, and at its very end the SHA-256 of all before it.

Any zip program opens it. Reading looks at every byte before anything of it is used.

    manifest.json       what is in it, with size and SHA-256 of each member; written last
    ...                 members
    zip comment         ``haulbook backup 1 sha256 `` and 64 digits over every byte before those
"""

from __future__ import annotations

import hashlib
import json
import os
import struct
import zipfile
import zlib
from collections.abc import Callable, Iterable, Iterator, Mapping
from contextlib import contextmanager
from pathlib import Path
from types import TracebackType
from typing import IO, Any

from haulbook.problems import Problem, Refusal

FORMAT = 1
MANIFEST = "manifest.json"
SEAL = f"haulbook backup {FORMAT} sha256 ".encode()
_DIGITS = 64
_CHUNK = 1 << 20
_MANIFEST_MOST = 64 << 20
_LINE_MOST = 64 << 20
_GROWTH_MOST = 300
"""Times a member may be larger than what it is packed into: texts of ours stay below 50."""
_GROWTH_FREE = 10 << 20
_NO_ZIP = (
    zipfile.BadZipFile,
    zlib.error,
    EOFError,
    NotImplementedError,
    RuntimeError,
    OSError,
    ValueError,
    struct.error,
)
"""What reading a zip raises that somebody changed."""
_TIME = (1980, 1, 1, 0, 0, 0)

Told = Callable[[str, int, int], None]
"""Told how far something long is: what is being done, how many are done, of how many."""


def untold(words: str, done: int, total: int) -> None:
    """Tell nobody."""


class Sealing:
    """Writes a sealed file: whole under its name, or not at all.

    Used in ``with``. Members are written one after the other, then ``seal`` with what the manifest says.
    """

    def __init__(self, path: Path) -> None:
        self.path = path
        self._part = path.with_name(f".{path.name}.{os.getpid()}.part")
        self._members: list[dict[str, Any]] = []

    def __enter__(self) -> Sealing:
        try:
            handle = os.open(
                self._part, os.O_RDWR | os.O_CREAT | os.O_TRUNC, 0o600
            )  # it holds password hashes
        except OSError as error:
            raise Refusal(f"{self.path} can't be written ({error.strerror}); name another file") from None
        self._file = os.fdopen(handle, "w+b")
        self._zip = zipfile.ZipFile(self._file, "w", zipfile.ZIP_DEFLATED)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._zip.fp = None  # where it was not sealed it must not write its end when it is forgotten
        self._file.close()
        self._part.unlink(missing_ok=True)
        if isinstance(error, OSError):
            raise Refusal(
                f"{self.path} could not be written ({error.strerror}); nothing was changed"
            ) from None

    def add(self, name: str, parts: Iterable[bytes], *, packed: bool = True) -> None:
        """Add a member from its parts; not ``packed`` where nobody knows how far it would shrink."""
        digest, size = hashlib.sha256(), 0
        info = _info(name)
        info.compress_type = zipfile.ZIP_DEFLATED if packed else zipfile.ZIP_STORED
        with self._zip.open(info, "w", force_zip64=True) as member:
            for part in parts:
                digest.update(part)
                size += len(part)
                member.write(part)
        self._members.append({"name": name, "size": size, "sha256": digest.hexdigest()})

    def seal(self, says: Mapping[str, Any]) -> None:
        """Add the manifest, seal the file and give it its name."""
        manifest = {"haulbook": "backup", "format": FORMAT, **says, "members": self._members}
        self._zip.writestr(_info(MANIFEST), json.dumps(manifest, ensure_ascii=False, indent=1) + "\n")
        self._zip.comment = SEAL + b"0" * _DIGITS
        self._zip.close()
        length = self._file.tell()
        self._file.seek(length - _DIGITS)
        self._file.write(_digest(self._file, length - _DIGITS))
        self._file.flush()
        os.fsync(self._file.fileno())
        self._part.replace(self.path)


class Sealed:
    """A sealed file that was looked at: every byte is what was written. Made by :func:`opened`."""

    def __init__(self, file: zipfile.ZipFile, manifest: dict[str, Any], path: Path) -> None:
        self._zip = file
        self.manifest = manifest
        self.path = path

    def names(self, folder: str) -> list[str]:
        """Return the members in a folder, without the folder."""
        found = [one["name"] for one in self.manifest["members"]]
        return sorted(name.removeprefix(f"{folder}/") for name in found if name.startswith(f"{folder}/"))

    def lines(self, name: str) -> Iterator[bytes]:
        """Return the lines of a member, without their ends."""
        with self._zip.open(name) as member:
            while line := member.readline(_LINE_MOST):
                if not line.endswith(b"\n"):
                    raise off(self.path, f"a line of {name} has no end")
                yield line[:-1]

    def objects(self, name: str) -> Iterator[Any]:
        """Return the JSON of each line of a member."""
        for line in self.lines(name):
            try:
                yield json.loads(line)
            except (ValueError, RecursionError):
                raise off(self.path, f"a line of {name} is no JSON") from None

    def content(self, name: str) -> bytes:
        """Return all of a member."""
        return self._zip.read(name)


@contextmanager
def opened(path: Path, told: Told = untold) -> Iterator[Sealed]:
    """Open a sealed file and look at every byte of it.

    Raises
    ------
    Refusal
        Where it is no sealed file, of another format, or not what was once written.
    """
    try:
        file = path.open("rb")
    except FileNotFoundError:
        raise Refusal(f"there is no file {path}") from None
    except OSError as error:
        raise Refusal(f"{path} can't be read ({error.strerror})") from None
    with file:
        _look_at_seal(file, path, told)
        try:
            packed = zipfile.ZipFile(file)
            manifest = _manifest(packed, path)
            _look_at_members(packed, manifest, path, told)
        except _NO_ZIP as error:
            raise off(path, f"it does not unpack ({error})") from None
        with packed:
            yield Sealed(packed, manifest, path)


def off(path: Path, words: str) -> Refusal:
    """Return the refusal of a file that is not what was written."""
    said = f"this is not the backup that was written: {words}; take another copy of it. Nothing was changed"
    return Refusal(Problem("refused", said, file=path.name))


def _info(name: str) -> zipfile.ZipInfo:
    made = zipfile.ZipInfo(name, _TIME)
    made.compress_type = zipfile.ZIP_DEFLATED
    made.external_attr = 0o600 << 16
    return made


def _digest(file: IO[bytes], most: int, told: Told = untold) -> bytes:
    """Return the SHA-256 of the first bytes of a file, as hexadecimal digits."""
    file.seek(0)
    digest, done = hashlib.sha256(), 0
    while done < most:
        part = file.read(min(_CHUNK, most - done))
        if not part:
            break
        digest.update(part)
        done += len(part)
        told("looking at every byte", done, most)
    return digest.hexdigest().encode()


def _look_at_seal(file: IO[bytes], path: Path, told: Told) -> None:
    length = file.seek(0, os.SEEK_END)
    end = len(SEAL) + _DIGITS
    file.seek(max(0, length - end))
    tail = file.read(end)
    if not tail.startswith(SEAL):
        said = f"this is no backup of format {FORMAT}, or its end is missing; take another copy. Nothing was changed"
        raise Refusal(Problem("refused", said, file=path.name))
    if _digest(file, length - _DIGITS, told) != tail[len(SEAL) :]:
        raise off(path, "its bytes changed since")


def _manifest(packed: zipfile.ZipFile, path: Path) -> dict[str, Any]:
    names = packed.namelist()
    if MANIFEST not in names:
        raise off(path, "it has no manifest")
    if packed.getinfo(MANIFEST).file_size > _MANIFEST_MOST:
        raise off(path, "its manifest is too long to be one")
    try:
        manifest = json.loads(packed.read(MANIFEST))
        said = {one["name"]: one["size"] for one in manifest["members"]}
        kind = (manifest["haulbook"], manifest["format"])
    except (ValueError, RecursionError, KeyError, TypeError):
        raise off(path, "its manifest can't be read") from None
    if kind != ("backup", FORMAT):
        raise Refusal(Problem("refused", f"this is no backup of format {FORMAT}", file=path.name))
    if sorted(names) != sorted([*said, MANIFEST]):
        raise off(path, "it holds other members than its manifest says")
    for one in packed.infolist():
        if one.file_size > _GROWTH_MOST * one.compress_size + _GROWTH_FREE:
            raise off(path, f"{one.filename} would grow {one.file_size // max(1, one.compress_size)}-fold")
        if one.file_size != said.get(one.filename, one.file_size):
            raise off(path, f"{one.filename} is of another size")
    if sum(one.compress_size for one in packed.infolist()) > path.stat().st_size:
        raise off(path, "its members lie over one another")
    return dict(manifest)


def _look_at_members(packed: zipfile.ZipFile, manifest: Mapping[str, Any], path: Path, told: Told) -> None:
    total = sum(one["size"] for one in manifest["members"])
    done = 0
    for one in manifest["members"]:
        digest = hashlib.sha256()
        with packed.open(one["name"]) as member:
            while part := member.read(_CHUNK):
                digest.update(part)
                done += len(part)
                told("looking at what is in it", done, total)
        if digest.hexdigest() != one["sha256"]:
            raise off(path, f"{one['name']} is not as its manifest says")
