"""A backup file tells when any byte of it is not what was written."""

from __future__ import annotations

import hashlib
import json
import os
import zipfile
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.problems import Refusal
from haulbook.station.store.sealed import SEAL, Sealing, opened

LINES = [f'{{"n":{n},"words":"six cunner, two young flounder, kept"}}\n'.encode() for n in range(200)]
SAYS = {"station": "invented"}


def written(path: Path) -> Path:
    with Sealing(path) as sealing:
        sealing.add("book.jsonl", LINES)
        sealing.add("files/abc", [os.urandom(0), b"\x00\x01" * 500])
        sealing.seal(SAYS)
    return path


@pytest.fixture(scope="module")
def content(tmp_path_factory) -> bytes:
    return written(tmp_path_factory.mktemp("sealed") / "one.zip").read_bytes()


def refusal_of(path: Path) -> str:
    with pytest.raises(Refusal) as caught, opened(path):
        pass
    return str(caught.value)


def resealed(content: bytes) -> bytes:
    """Seal bytes that somebody else put together, as an attacker could."""
    end = len(SEAL) + 64
    body = content[:-end] + SEAL
    return body + hashlib.sha256(body).hexdigest().encode()


def test_what_is_sealed_reads_back(tmp_path):
    with opened(written(tmp_path / "a.zip")) as sealed:
        assert list(sealed.lines("book.jsonl")) == [line[:-1] for line in LINES]
        assert sealed.content("files/abc") == b"\x00\x01" * 500
        assert sealed.names("files") == ["abc"]
        assert sealed.manifest["station"] == "invented"
    assert (tmp_path / "a.zip").stat().st_mode & 0o077 == 0


def test_any_zip_program_opens_it(tmp_path):
    with zipfile.ZipFile(written(tmp_path / "a.zip")) as packed:
        assert packed.testzip() is None
        assert packed.read("book.jsonl") == b"".join(LINES)


def test_the_same_content_is_the_same_bytes(tmp_path):
    assert written(tmp_path / "a.zip").read_bytes() == written(tmp_path / "b.zip").read_bytes()


@settings(max_examples=150, deadline=None)
@given(st.data())
def test_one_changed_byte_anywhere_is_refused(content, tmp_path_factory, data):
    at = data.draw(st.integers(0, len(content) - 1), "position")
    to = data.draw(st.integers(1, 255), "change")
    path = tmp_path_factory.mktemp("flipped") / "a.zip"
    path.write_bytes(content[:at] + bytes([content[at] ^ to]) + content[at + 1 :])
    assert "a.zip" in refusal_of(path)


@settings(max_examples=60, deadline=None)
@given(st.data())
def test_one_changed_byte_is_refused_or_says_the_same_even_under_a_new_seal(content, tmp_path_factory, data):
    """Behind the seal every member still has its own SHA-256 in the manifest."""
    at = data.draw(st.integers(0, len(content) - len(SEAL) - 65), "position")
    path = tmp_path_factory.mktemp("flipped") / "a.zip"
    path.write_bytes(resealed(content[:at] + bytes([content[at] ^ 1]) + content[at + 1 :]))
    try:
        with opened(path) as sealed:
            assert list(sealed.lines("book.jsonl")) == [line[:-1] for line in LINES]
            assert sealed.content("files/abc") == b"\x00\x01" * 500
    except Refusal:
        pass


@pytest.mark.parametrize("left", [0, 1, 10, 88, 200, -1, -64, -100])
def test_a_file_that_was_cut_off_is_refused(content, tmp_path, left):
    path = tmp_path / "a.zip"
    path.write_bytes(content[:left])
    assert "no backup of format 1, or its end is missing" in refusal_of(path)


def test_bytes_added_at_the_end_are_refused(content, tmp_path):
    path = tmp_path / "a.zip"
    path.write_bytes(content + b"x")
    assert "its end is missing" in refusal_of(path)


def test_another_zip_and_no_zip_at_all_are_refused(tmp_path):
    with zipfile.ZipFile(tmp_path / "other.zip", "w") as other:
        other.writestr("a.txt", "a")
    (tmp_path / "words.txt").write_text(
        "no zip, but words enough to be as long as a seal is, and a little longer than that"
    )
    for name in ("other.zip", "words.txt"):
        assert "no backup of format 1" in refusal_of(tmp_path / name)
    assert "there is no file" in refusal_of(tmp_path / "missing.zip")
    assert "can't be read" in refusal_of(tmp_path)


def zip_of(path: Path, members: dict[str, bytes], manifest: object) -> Path:
    with zipfile.ZipFile(path, "w", zipfile.ZIP_DEFLATED) as packed:
        for name, content in members.items():
            packed.writestr(name, content)
        if manifest is not None:
            packed.writestr("manifest.json", json.dumps(manifest))
        packed.comment = SEAL + b"0" * 64
    path.write_bytes(resealed(path.read_bytes()))
    return path


def entry(name: str, content: bytes) -> dict[str, object]:
    return {"name": name, "size": len(content), "sha256": hashlib.sha256(content).hexdigest()}


@pytest.mark.parametrize(
    ("members", "manifest", "words"),
    [
        ({"a": b"a"}, None, "it has no manifest"),
        (
            {"a": b"a"},
            {"haulbook": "backup", "format": 2, "members": [entry("a", b"a")]},
            "no backup of format 1",
        ),
        (
            {"a": b"a"},
            {"haulbook": "backup", "format": 1, "members": []},
            "other members than its manifest says",
        ),
        ({"a": b"a"}, {"haulbook": "backup", "format": 1, "members": [entry("b", b"a")]}, "other members"),
        (
            {"a": b"a"},
            {"haulbook": "backup", "format": 1, "members": [entry("a", b"b")]},
            "not as its manifest says",
        ),
        ({"a": b"a"}, {"haulbook": "backup", "format": 1, "members": [entry("a", b"ab")]}, "of another size"),
        ({"a": b"a"}, {"haulbook": "backup", "format": 1, "members": [[]]}, "its manifest can't be read"),
        ({"a": b"a"}, [1], "its manifest can't be read"),
    ],
)
def test_a_sealed_zip_that_contradicts_its_manifest_is_refused(tmp_path, members, manifest, words):
    assert words in refusal_of(zip_of(tmp_path / "a.zip", members, manifest))


def test_a_zip_made_to_fill_the_disk_is_refused_before_it_is_unpacked(tmp_path):
    bomb = b"\x00" * (40 << 20)
    manifest = {"haulbook": "backup", "format": 1, "members": [entry("book.jsonl", bomb)]}
    path = zip_of(tmp_path / "a.zip", {"book.jsonl": bomb}, manifest)
    assert path.stat().st_size < 100_000
    assert "would grow" in refusal_of(path)


def test_members_that_lie_over_one_another_are_refused(tmp_path):
    """The trick by which a small zip speaks of one member many times."""
    content = b"x" * 50_000 + os.urandom(2_000)
    names = [f"m{n}" for n in range(40)]
    with zipfile.ZipFile(tmp_path / "a.zip", "w", zipfile.ZIP_DEFLATED) as packed:
        packed.writestr("m0", content)
        first = packed.getinfo("m0")
        for name in names[1:]:
            info = zipfile.ZipInfo(name)
            info.compress_type = zipfile.ZIP_DEFLATED
            info.header_offset, info.CRC = first.header_offset, first.CRC
            info.file_size, info.compress_size = first.file_size, first.compress_size
            packed.filelist.append(info)
            packed.NameToInfo[name] = info
        members = [entry(name, content) for name in names]
        packed.writestr("manifest.json", json.dumps({"haulbook": "backup", "format": 1, "members": members}))
        packed.comment = SEAL + b"0" * 64
    path = tmp_path / "a.zip"
    path.write_bytes(resealed(path.read_bytes()))
    assert "not the backup that was written" in refusal_of(path)


def test_a_write_that_fails_leaves_the_older_file(tmp_path):
    path = written(tmp_path / "a.zip")
    before = path.read_bytes()

    def fails() -> None:
        with Sealing(path) as sealing:
            sealing.add("book.jsonl", LINES)
            raise ZeroDivisionError

    with pytest.raises(ZeroDivisionError):
        fails()
    assert path.read_bytes() == before
    assert [one.name for one in tmp_path.iterdir()] == ["a.zip"]


def test_a_folder_that_can_not_be_written_to_is_refused_in_words(tmp_path):
    with pytest.raises(Refusal, match="can't be written"), Sealing(tmp_path / "nowhere" / "a.zip"):
        pass
