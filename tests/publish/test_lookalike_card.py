"""The look-alike card as a page: alone, plain, readable at any size."""

from __future__ import annotations

import re

import pytest

from haulbook.identify import load_matrix, lookalikes
from haulbook.publish.lookalike_card import CAUTIONS, lookalike_card


def card(pack, *taxa):
    return lookalike_card(lookalikes(load_matrix(pack), taxa))


@pytest.fixture(scope="module")
def crabs():
    return card("nwatlantic", "european-green-crab", "lady-crab", "panopeidae")


def test_the_card_names_the_animals_the_looks_and_the_cautions(crabs):
    assert "<title>green crab, lady crab and mud crab unidentified: what tells them apart</title>" in crabs
    assert "What is the last pair of legs like?" in crabs
    assert re.search(r'data-label="lady crab" class="decides">flat paddles<', crabs)
    assert re.search(r'class="quiet">not known<', crabs)
    assert "AGGRESSIVE, sharp pincers; bites waders." in crabs
    assert all(caution in crabs for caution in CAUTIONS)


def test_kinds_of_notice_stand_beside_the_name_in_words(crabs):
    assert re.search(r'class="chip near">.*?<span>invasive</span>', crabs, re.DOTALL)
    assert re.search(r'class="chip stop">.*?<span>hazardous</span>', crabs, re.DOTALL)


def test_one_drawing_stands_for_animals_of_one_body_and_one_each_where_they_differ(crabs):
    assert crabs.count('class="plan"') == 1
    assert card("nepacific", "bay-pipefish", "tube-snout", "pacific-sand-lance").count('class="plan"') == 3


def test_a_pair_that_nothing_parts_is_said_with_where_to_leave_it():
    text = card("nepacific", "padded-sculpin", "scalyhead-sculpin")
    assert (
        "Nothing in the table parts padded sculpin and scalyhead sculpin for certain. Leave them at" in text
    )
    assert "<strong>Artedius unidentified</strong>" in text
    assert "No look in the table helps here." in text


def test_the_same_words_about_handling_stand_once():
    text = card("nepacific", "padded-sculpin", "scalyhead-sculpin")
    assert text.count("sculpins snag nets by the cheek spines") == 1


def test_the_page_fetches_nothing_and_runs_nothing(crabs):
    text = crabs.replace("http://www.w3.org/2000/svg", "")
    assert not re.search(r"https?:|<script|url\(", text)


@pytest.mark.browser
@pytest.mark.parametrize(
    "look", [{}, {"color_scheme": "dark"}, {"media": "print"}, {"width": 320}, {"text": 200, "width": 320}]
)
def test_axe_finds_nothing_every_text_has_seven_to_one_and_nothing_scrolls_sideways(chromium, crabs, look):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = chromium.new_page(viewport={"width": look.get("width", 1000), "height": 900})
    page.emulate_media(media=look.get("media", "screen"), color_scheme=look.get("color_scheme", "light"))
    page.set_content(crabs)
    page.add_style_tag(content=f"html {{ font-size: {look.get('text', 100)}% }}")
    found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    wide = page.evaluate("document.documentElement.scrollWidth - innerWidth")
    page.close()
    assert found.violations_count == 0, found.generate_report()
    assert wide <= 0
