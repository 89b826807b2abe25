"""What a station looks at before it keeps a photo. The bytes are invented; they begin as ITU-T T.81, annex B says."""

from __future__ import annotations

from hashlib import sha256

import pytest

from haulbook.problems import Refusal
from haulbook.shore.openapi import openapi
from haulbook.shore.picture import MOST_BYTES, TooLarge, Unnamed, look_at_bytes, look_at_name, look_at_size

JPEG = b"\xff\xd8\xff\xe0" + bytes(range(256))
DIGEST = sha256(JPEG).hexdigest()


def test_the_picture_that_a_line_names_passes():
    look_at_name(DIGEST, named=True)
    look_at_bytes(JPEG, DIGEST)


def test_a_picture_without_its_line_waits():
    with pytest.raises(Unnamed, match="send the line first"):
        look_at_name(DIGEST, named=False)


@pytest.mark.parametrize("name", ["", "x", DIGEST.upper(), DIGEST + "0", f"{DIGEST}\n"])
def test_a_name_that_is_no_digest_is_refused_whoever_names_it(name):
    with pytest.raises(Refusal, match="64 digits 0 to f"):
        look_at_name(name, named=True)


@pytest.mark.parametrize("start", [b"", b"\xff\xd8", b"\x89PNG\r\n\x1a\n", b"<svg", b"GIF89a", b"%PDF"])
def test_bytes_that_begin_as_no_jpeg_are_refused(start):
    with pytest.raises(Refusal, match="this is no JPEG"):
        look_at_bytes(start, sha256(start).hexdigest())


def test_one_flipped_bit_is_another_picture():
    flipped = JPEG[:-1] + bytes([JPEG[-1] ^ 1])
    with pytest.raises(Refusal, match="not the bytes that the line names"):
        look_at_bytes(flipped, DIGEST)


def test_three_million_bytes_are_kept_and_one_more_are_not():
    look_at_size(MOST_BYTES)
    with pytest.raises(TooLarge, match="3,000,001 bytes; at most 3,000,000 are kept"):
        look_at_size(MOST_BYTES + 1)
    with pytest.raises(TooLarge):
        look_at_bytes(JPEG + bytes(MOST_BYTES), DIGEST)


def test_the_document_describes_the_body_as_a_jpeg_under_its_digest():
    route = openapi("1")["paths"]["/shore/picture"]["post"]
    assert list(route["requestBody"]["content"]) == ["image/jpeg"]
    assert [(one["name"], one["required"]) for one in route["parameters"]] == [("sha256", True)]
    assert set(route["responses"]) == {"200", "400", "401", "409", "413"}
