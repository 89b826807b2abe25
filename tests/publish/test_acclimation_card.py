"""The card that hangs by the tank."""

from __future__ import annotations

import io

import pytest
from pypdf import PdfReader

from haulbook.care.acclimation.schedule import Bath, Step, schedule
from haulbook.problems import Refusal
from haulbook.publish.acclimation_card import acclimation_card, card_content

pytest.importorskip("typst")

TRANSPORT, TANK = Bath(16, 26, 7.4), Bath(11, 32, 8.1)


def _pages(paper="a4", **more):
    made = schedule(TRANSPORT, TANK, 12, **more)
    return PdfReader(io.BytesIO(acclimation_card(TRANSPORT, TANK, 12, made, paper=paper))).pages


def _text(**more):
    return " ".join(" ".join(page.extract_text() for page in _pages(**more)).split())


def test_the_card_holds_steps_readings_looks_and_who_decides():
    text = _text()
    for words in (
        "Acclimation card",
        "0:45",
        "27.5",
        "pH differs by 0.7",
        "72 h",
        "Ammonia was not measured.",
        "Never pour transport water into the exhibit",
        "planning default",
        "veterinarian",
        "not released unless the permit says so",
    ):
        assert words in text, words


def test_ammonia_puts_the_short_route_on_the_card():
    text = _text(tan_mg_n_l=2.0)
    assert "the short route, because of ammonia" in text
    assert "discard the transport water" in text


@pytest.mark.parametrize(("paper", "width"), [("a4", 595), ("letter", 612)])
def test_the_card_prints_on_both_papers_and_fits_on_one_page(paper, width):
    pages = _pages(paper)
    assert len(pages) == 1
    assert float(pages[0].mediabox.width) == pytest.approx(width, abs=1)


def test_the_same_schedule_gives_the_same_bytes():
    made = schedule(TRANSPORT, TANK, 12)
    assert acclimation_card(TRANSPORT, TANK, 12, made) == acclimation_card(TRANSPORT, TANK, 12, made)


def test_another_paper_is_refused():
    made = schedule(TRANSPORT, TANK, 12)
    with pytest.raises(Refusal, match="there is no paper 'a5'"):
        acclimation_card(TRANSPORT, TANK, 12, made, paper="a5")


def test_a_minute_never_reads_sixty():
    assert [Step(at, 1, 12, 30).clock for at in (119.7, 45.0, 0)] == ["2:00", "0:45", "0:00"]


def test_words_on_the_card_are_data_not_markup():
    content = card_content(TRANSPORT, TANK, 12, schedule(TRANSPORT, TANK, 12))
    assert content["waters"][0][:4] == ["transport", "16.0", "26.0", "7.4"]
