"""Identifiers against the examples of RFC 9562."""

from __future__ import annotations

import uuid
from datetime import UTC, datetime, timedelta, timezone

import pytest
from hypothesis import given
from hypothesis import strategies as st

from haulbook.custody.ids import is_id, uuid7, uuid8
from haulbook.problems import Refusal


def test_uuid7_is_the_example_of_rfc_9562_appendix_a_6():
    when = datetime(2022, 2, 22, 14, 22, 22, tzinfo=timezone(timedelta(hours=-5)))
    chance = (0xCC3).to_bytes(2, "big") + (0x18C4DC0C0C07398F).to_bytes(8, "big")
    assert uuid7(when, chance) == "017f22e2-79b0-7cc3-98c4-dc0c0c07398f"


def test_uuid8_is_the_name_based_example_of_rfc_9562_appendix_b_2():
    assert uuid8(uuid.NAMESPACE_DNS.bytes + b"www.example.com") == "5c146b14-3c52-8afd-938a-375d0df1fbf6"


@given(
    st.integers(0, 7 * 10**12).map(lambda ms: datetime(1970, 1, 1, tzinfo=UTC) + timedelta(milliseconds=ms)),
    st.binary(min_size=10, max_size=20),
)
def test_version_variant_and_time_stand_where_the_rfc_puts_them(when, chance):
    made = uuid.UUID(uuid7(when, chance))
    assert (made.version, made.variant) == (7, uuid.RFC_4122)
    assert made.int >> 80 == (when - datetime(1970, 1, 1, tzinfo=UTC)) // timedelta(milliseconds=1)
    assert is_id(str(made))


@given(st.binary())
def test_the_same_material_gives_the_same_identifier_of_version_8(material):
    made = uuid.UUID(uuid8(material))
    assert (made.version, made.variant) == (8, uuid.RFC_4122)
    assert uuid8(material) == str(made)
    assert uuid8(material + b"x") != str(made)


def test_later_identifiers_sort_later():
    start = datetime(2027, 5, 14, 10, 30, tzinfo=UTC)
    made = [uuid7(start + timedelta(milliseconds=ms), bytes(10)) for ms in range(0, 5000, 7)]
    assert made == sorted(made)


@pytest.mark.parametrize(
    ("when", "chance", "words"),
    [
        (datetime(2027, 5, 14), bytes(10), "an instant with its zone"),  # noqa: DTZ001 (that is the point)
        (datetime(2027, 5, 14, tzinfo=UTC), bytes(9), "needs 10 random bytes; 9 were given"),
        (datetime(1969, 1, 1, tzinfo=UTC), bytes(10), "milliseconds since 1970"),
    ],
)
def test_what_can_make_no_identifier_is_refused(when, chance, words):
    with pytest.raises(Refusal, match=words):
        uuid7(when, chance)


@pytest.mark.parametrize(
    "text", ["", "5C146B14-3C52-8AFD-938A-375D0DF1FBF6", "5c146b14-3c52-8afd-138a-375d0df1fbf6", "six cunner"]
)
def test_upper_case_and_other_variants_are_no_identifiers_here(text):
    assert not is_id(text)
