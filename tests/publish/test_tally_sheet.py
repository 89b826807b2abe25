"""The blank tally sheet: on two papers, in one colour, large enough for wet hands."""

from __future__ import annotations

import io
import re
import time
from functools import cache

import pytest
from pypdf import PdfReader

from haulbook.office.typed_sheet import FATES, USUAL
from haulbook.problems import Refusal
from haulbook.publish.tally_sheet import COLUMN_WORDS, LINES, TallySheet, sheet_content, tally_sheet

pytest.importorskip("typst")

CLIP_MM = 20
"""Room for the clip of a board, common practice, no source."""
SHEET = TallySheet(
    station="an invented station",
    outing="2026-05-16-a",
    day="Saturday 16 May 2026",
    site="cove",
    hauls=2,
    nets=("n1", "n2"),
    buckets=("bucket 1 to keep", "bucket 2 to hold"),
    looked_for=("northern pipefish", "rock gunnel", "tautog", "cunner", "European green crab") * 5,
    zone="America/New_York",
    invented=True,
)


@cache
def pages(paper="a4", sheet=SHEET):
    return PdfReader(io.BytesIO(tally_sheet(sheet, paper=paper))).pages


def text(page):
    return " ".join(page.extract_text().split())


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_every_haul_has_one_leaf_on_both_papers(paper, size):
    made = pages(paper)
    assert len(made) == 2 * SHEET.hauls
    assert (float(made[0].mediabox.width), float(made[0].mediabox.height)) == pytest.approx(size, abs=1)
    assert all(str(line) in text(page) for page in made for line in range(1, LINES[paper] + 1))


def test_front_and_back_hold_what_is_typed_in_afterwards():
    front, back, *_ = map(text, pages())
    for words in (
        "2026-05-16-a · Saturday 16 May 2026 · cove", "haul 1", "net on the beach", "n1 n2", "semicircle",
        "width between the wing ends", "3 poor", "why", "salinity", "left the beach", "bucket 1 to keep",
        "name, as called", "dead, put back", "other: how many, where", "seen, not counted", "America/New_York",
        "The permit and the agency decide", "(invented)",
    ):  # fmt: skip
        assert words in front, words
    for words in ("lengths, mm", "CW carapace width", "scoops", "remark", "none found", "northern pipefish"):
        assert words in back, words


def test_nothing_is_printed_smaller_than_ten_points_nor_under_the_clip():
    for paper in LINES:
        for page in pages(paper):
            sizes, tops = [], []

            def seen(words, _cm, matrix, _font, size, sizes=sizes, tops=tops):
                if words.strip():
                    sizes.append(size * matrix[3])
                    tops.append(matrix[5])

            page.extract_text(visitor_text=seen)
            assert min(map(abs, sizes)) >= 10 - 0.01
            assert max(tops) <= float(page.mediabox.height) - CLIP_MM * 72 / 25.4


def test_it_is_printed_in_one_colour():
    for page in pages():
        marks = page.get_contents().get_data().decode("latin-1")
        colours = set(re.findall(r"([\d. ]+) (?:rg|RG|sc|SC|scn|SCN|g|G|k|K)\b", marks))
        assert {colour.strip() for colour in colours} <= {"0", "1", "0 0 0"}


def test_an_outing_that_nobody_planned_has_places_to_fill_in():
    blank = TallySheet(station="an invented station")
    assert "outing" in text(pages(sheet=blank)[0])


def test_up_to_six_columns_can_be_chosen_and_the_words_cover_every_fate():
    six = ("back", "kept", "dead-back", "dead-kept", "killed-kept", "escaped")
    made = pages(sheet=TallySheet(station="s", columns=six))
    assert len(made) == 2
    assert "killed, kept" in text(made[0])
    assert tuple(COLUMN_WORDS) == FATES
    assert TallySheet(station="s").columns == USUAL


def test_the_same_sheet_gives_the_same_bytes():
    first = tally_sheet(SHEET)
    time.sleep(1.1)  # a time of making would be in whole seconds
    assert tally_sheet(SHEET) == first


@pytest.mark.parametrize(
    ("more", "paper", "words"),
    [
        ({}, "a5", "there is no paper 'a5'"),
        ({"columns": ("bakc",)}, "a4", "there is no column 'bakc'; the nearest is 'back'"),
        ({"columns": FATES}, "a4", "11 columns were chosen; a sheet has room for 1 to 6"),
        ({"columns": ()}, "a4", "0 columns were chosen"),
    ],
)
def test_what_cannot_be_printed_is_refused(more, paper, words):
    with pytest.raises(Refusal, match=words):
        tally_sheet(TallySheet(station="s", **more), paper=paper)


def test_words_on_the_sheet_are_data_not_markup():
    odd = TallySheet(station="#panic() *cove*", site="$x$")
    assert sheet_content(odd, 3)["station"] == "#panic() *cove*"
    assert "#panic() *cove*" in text(pages(sheet=odd)[0])
