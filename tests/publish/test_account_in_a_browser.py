"""The account page in a real browser: readable by everyone, at any size, on paper, alone."""

from __future__ import annotations

import dataclasses
import io

import pytest
from pypdf import PdfReader

from haulbook.publish import BalanceLine, render_account
from haulbook.publish.words import FATE_WORDS

pytestmark = pytest.mark.browser

A4_PRINTABLE_PX = 665  # 210 mm less margins of 22 and 12 mm, at 96 px an inch


@pytest.fixture(scope="module")
def address(invented_page, tmp_path_factory):
    path = tmp_path_factory.mktemp("account") / "account.html"
    path.write_text(render_account(invented_page), encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def opened(chromium, address):
    """Open the page; give its width, scheme or medium by keyword."""
    pages = []

    def open_page(width=1280, text_percent=100, media="screen", **context):
        page = chromium.new_page(viewport={"width": width, "height": 900}, **context)
        pages.append(page)
        page.emulate_media(media=media)
        page.goto(address)
        if text_percent != 100:
            page.add_style_tag(content=f"html {{ font-size: {text_percent}% }}")
        return page

    yield open_page
    for page in pages:
        page.close()


def overflowing(page):
    """What reaches beyond the right edge, by its text."""
    return page.evaluate(
        """() => document.documentElement.scrollWidth <= innerWidth ? [] :
        [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => e.tagName + ' ' + e.textContent.trim().slice(0, 40))"""
    )


@pytest.mark.parametrize("look", [{}, {"color_scheme": "dark"}, {"media": "print"}, {"width": 320}])
def test_axe_finds_nothing_and_every_text_has_seven_to_one(opened, look):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = opened(**look)
    page.evaluate("document.querySelector('details').open = true")
    found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.parametrize(
    ("width", "text_percent"),
    [(320, 100), (390, 100), (768, 100), (1280, 100), (640, 200), (1280, 200), (320, 200)],
)
def test_no_width_and_no_text_size_scrolls_sideways(opened, width, text_percent):
    page = opened(width=width, text_percent=text_percent)
    page.evaluate("document.querySelector('details').open = true")
    assert overflowing(page) == []


@pytest.mark.parametrize("width", [800, 870, 1000, 1180, 1215, 1230, 1280, 1600])
def test_no_table_leaves_its_page_of_the_spread(opened, width):
    page = opened(width=width)
    page.evaluate("document.querySelector('details').open = true")
    assert (
        page.evaluate(
            """() => [...document.querySelectorAll('table')]
        .filter(t => t.getBoundingClientRect().right > t.parentElement.getBoundingClientRect().right + 1)
        .map(t => t.caption.textContent)"""
        )
        == []
    )


def test_a_balance_too_broad_for_one_page_goes_across_both_and_prints_sideways(
    chromium, invented_page, tmp_path
):
    line = BalanceLine("Atlantic silverside", 12_400 * len(FATE_WORDS), dict.fromkeys(FATE_WORDS, 12_400))
    path = tmp_path / "broad.html"
    broad = dataclasses.replace(invented_page, balance=(line,))
    path.write_text(render_account(broad), encoding="utf-8")
    page = chromium.new_page(viewport={"width": 1280, "height": 900})
    page.goto(path.as_uri())
    figures, remarks = (
        page.locator(f"section[aria-labelledby=balance] .{part}").bounding_box()
        for part in ("figures", "remarks")
    )
    assert remarks["y"] >= figures["y"] + figures["height"]
    sheets = PdfReader(io.BytesIO(page.pdf(format="A4", prefer_css_page_size=True))).pages
    page.close()
    sideways = [sheet for sheet in sheets if sheet.mediabox.width > sheet.mediabox.height]
    assert len(sideways) == 1
    text = sideways[0].extract_text()
    assert "Balance, by kind of animal" in text
    assert text.count("12\u202f400") == 2 * len(FATE_WORDS)  # a row and its sum


def test_a4_paper_holds_the_page_and_shows_the_numbers_behind_the_chart(opened):
    page = opened(width=A4_PRINTABLE_PX, media="print")
    assert overflowing(page) == []
    assert page.locator("details table").first.is_visible()
    smallest = page.evaluate(
        """() => Math.min(...[...document.querySelectorAll('body *')]
        .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
        .filter(e => e.offsetWidth > 1)
        .map(e => parseFloat(getComputedStyle(e).fontSize)))"""
    )
    assert smallest >= 10 * 96 / 72 - 0.01  # 10 pt


def test_narrow_rows_carry_their_own_labels(opened):
    wide, narrow = opened(), opened(width=320)
    label = "getComputedStyle(document.querySelector('td[data-label=\"back alive\"]'), '::before').content"
    assert wide.evaluate(label) == "none"
    assert "back alive" in narrow.evaluate(label)


def test_links_show_focus_and_are_large_enough_to_press(opened):
    page = opened()
    page.keyboard.press("Tab")
    outline = page.evaluate("getComputedStyle(document.activeElement).outlineWidth")
    assert outline == "3px"
    heights = page.evaluate("[...document.querySelectorAll('main a, summary')].map(e => e.offsetHeight)")
    assert min(heights) >= 44


def test_every_link_leads_to_a_part_of_the_page(opened):
    page = opened()
    lost = page.evaluate(
        """() => [...document.querySelectorAll('a')].map(a => a.getAttribute('href'))
        .filter(h => !document.querySelector(h))"""
    )
    assert lost == []


def test_nothing_is_fetched_and_nothing_needs_a_script(chromium, address):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    assert asked == [address]
    page.locator("summary").click()
    assert page.locator("details table").first.is_visible()
    context.close()
