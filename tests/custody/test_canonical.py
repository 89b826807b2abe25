"""Canonical JSON against RFC 8785, with the `rfc8785` package as oracle."""

from __future__ import annotations

import json
import unicodedata

import pytest
import rfc8785
from hypothesis import given
from hypothesis import strategies as st

from haulbook.custody.canonical import LARGEST_WHOLE, admitted, canonical, sha256_of
from haulbook.problems import Refusal

MEASURES = st.integers(-(10**11), 10**11).map(lambda n: n / 10_000)
TEXT = st.text(st.characters(exclude_categories=["Cs"])).map(lambda text: unicodedata.normalize("NFC", text))
SCALARS = st.none() | st.booleans() | st.integers(-LARGEST_WHOLE, LARGEST_WHOLE) | MEASURES | TEXT
VALUES = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4) | st.dictionaries(TEXT, inner, max_size=4),
    max_leaves=12,
)


@given(VALUES)
def test_admitted_values_are_written_as_rfc_8785_writes_them(value):
    assert canonical(value).encode() == rfc8785.dumps(value)


@given(VALUES)
def test_what_is_written_reads_back_to_the_same_text(value):
    written = canonical(value)
    assert canonical(json.loads(written)) == written


def test_keys_sort_by_utf_16_units_as_in_rfc_8785_section_3_2_3():
    # The sample of section 3.2.3 less U+FB33, which is not NFC; U+FF5E stands in for it, after the emoji's surrogates.
    sample = {"€": 1, "\r": 2, "～": 3, "1": 4, "😀": 5, "\u0080": 6, "ö": 7}
    assert list(json.loads(canonical(sample)).values()) == [2, 4, 6, 7, 1, 5, 3]


def test_control_characters_are_escaped_as_in_rfc_8785_section_3_2_2_2():
    # From the sample string of section 3.2.2 (its lone 0x0f and the named escapes).
    assert canonical('€$\x0f\nA\'B"\\\\"/') == '"€$\\u000f\\nA\'B\\"\\\\\\\\\\"/"'


def test_the_example_entry_of_the_joints_has_the_hash_it_names():
    entry = {
        "at": "2027-05-14T06:52:10-04:00",
        "body": {
            "lines": [
                {
                    "from": "sea",
                    "haul": "2027-05-14-a/1",
                    "n": 6,
                    "said": "six cunner",
                    "taxon": "cunner",
                    "to": "bucket 1",
                }
            ]
        },
        "by": "p3",
        "device": "d1",
        "id": "01a57dce-bb60-7abc-8def-0123456789ab",
        "kind": "move",
        "made_at": "2027-05-14T06:52:12-04:00",
        "outing": "2027-05-14-a",
        "prev": None,
        "seq": 1,
    }
    # The project's own test vector, also in the phone's tests: both sides have to come to it.
    assert sha256_of(canonical(entry)) == "06716a0d618d2f6b76112cde7adb18a9d746c4012e73982fa15c26d64ea921ff"


@pytest.mark.parametrize(
    ("value", "text"), [(12.0, "12"), (-0.0, "0"), (0.5, "0.5"), (0.0001, "0.0001"), (1e10, "10000000000")]
)
def test_whole_measures_are_written_without_a_point_and_none_with_an_exponent(value, text):
    assert canonical(value) == text


@pytest.mark.parametrize("value", [59.59759, -151.416051, 0.000101, -0.0001])
def test_positions_keep_six_decimals_and_are_written_as_the_standard_does(value):
    assert canonical({"lat": value}) == rfc8785.dumps({"lat": value}).decode()


def test_a_seventh_decimal_of_a_position_is_refused():
    with pytest.raises(Refusal, match=r"1\.2345678; a measure has at most 6 decimals: round it to 1\.234568"):
        admitted({"lat": 1.2345678}, "", mend=False)


@pytest.mark.parametrize(
    ("value", "words"),
    [
        ({"m": 0.12345}, "m is 0.12345; a measure has at most 4 decimals: round it to 0.1235"),
        ({"m": float("nan")}, "m is nan; a measure is a number, and what nobody measured is left out"),
        ({"m": float("inf")}, "m is inf"),
        ({"m": 1e300}, "m is 1e+300; numbers go up to 9007199254740991"),
        ({"n": 2**53}, "n is 9007199254740992; whole numbers go up to 9007199254740991"),
        ({"said": "cafe\u0301"}, "whose accents are written apart; text in a book is NFC"),
        ({"said": "\ud800"}, "said holds half a character (a lone surrogate); write it again"),
        (
            {"taken": {1, 2}},
            "taken is a set; a book holds text, numbers, true, false, null, lists and objects",
        ),
        ({"map": {1: 2}}, "map has the key 1; a key is text"),
    ],
)
def test_values_without_one_way_of_being_written_are_refused_in_words(value, words):
    with pytest.raises(Refusal) as refused:
        admitted(value, "", mend=False)
    assert words in str(refused.value)


def test_all_refused_values_are_named_together():
    with pytest.raises(Refusal) as refused:
        admitted({"a": [0.00001, 2**60], "b": float("nan")})
    assert [problem.message.split(" is ")[0] for problem in refused.value.problems] == [
        "the value, a 1",
        "the value, a 2",
        "the value, b",
    ]


def test_text_that_is_to_be_written_is_brought_to_nfc():
    assert admitted({"said": "cafe\u0301"}) == {"said": "café"}


def test_two_keys_that_become_one_in_nfc_are_refused():
    with pytest.raises(Refusal, match="has the key 'é' twice"):
        admitted({"é": 1, "e\u0301": 2})


def test_lists_thousands_deep_are_refused_and_not_a_crash():
    deep = []
    for _ in range(5000):
        deep = [deep]
    with pytest.raises(Refusal, match="lies more than 32 lists or objects deep"):
        canonical(deep)
