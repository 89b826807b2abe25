"""A paper sheet typed in a real browser: by keyboard alone, without a script, in every light, on every width."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import Error

pytestmark = pytest.mark.browser

DAY = "2026-08-01"
HEAD = {
    "h-started": "5:40",
    "h-landed": "0552",
    "h-ended": "6:20",
    "h-w": "6",
    "h-d": "20",
    "h-why": "a stone",
}
LINES = (
    {"name": "Atlantic silverside", "back": "38", "dead-back": "4", "lengths": "71 80 66"},
    {"name": "winter flounder", "stage": "yoy", "kept": "1"},
    {"name": "minnow", "back": "2", "remark": "torn fins"},
)


def open_page(chromium, station, **context):
    page = chromium.new_context(**context).new_page()
    page.faults = []
    page.on("pageerror", lambda fault: page.faults.append(str(fault)))
    page.on("console", lambda line: page.faults.append(line.text) if line.type == "error" else None)
    come_in(page, station)
    return page


def come_in(page, station):
    """Open the link that signs in; the server says it a moment before it listens."""
    until = time.monotonic() + 30
    while True:
        try:
            page.goto(station.link)
            return
        except Error:
            if time.monotonic() > until:
                raise
            time.sleep(0.5)


def until(page, expression):
    """Wait until something holds; the page's own policy forbids the browser to wait for a text of script."""
    for _ in range(100):
        if page.evaluate(expression):
            return
        page.wait_for_timeout(100)
    raise AssertionError(expression)


KEPT = "document.querySelector('[name=revision]').value !== '0'"


def tab_to(page, wanted, most=120):
    """Press Tab until the wanted place has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", wanted):
            return
    raise AssertionError(f"Tab does not reach {wanted}")


def at(page):
    return page.evaluate("document.activeElement.name")


def type_by_keyboard(page, back="38"):
    tab_to(page, "[name='h-started']")
    for text in ("5:40", "0552", "6:20"):
        page.keyboard.type(text)
        page.keyboard.press("Enter")  # goes on as Tab does
    tab_to(page, "[name='h-lengths_are']")
    page.keyboard.press("T")
    tab_to(page, "[name='l1-name']")
    for number, line in enumerate(LINES, 1):
        for place in (
            "name",
            "stage",
            "back",
            "kept",
            "dead-back",
            "dead-kept",
            "how",
            "length_type",
            "lengths",
            "remark",
        ):
            assert at(page) == f"l{number}-{place}"
            page.keyboard.type(back if (number, place) == (1, "back") else line.get(place, ""))
            page.keyboard.press("Tab")


def leave_the_grid(page):
    page.keyboard.press("Escape")
    assert at(page) == "s-back"
    page.keyboard.press("Escape")


def press(page, words):
    for _ in range(60):
        if words in page.evaluate(
            "document.activeElement.matches('a, button') ? document.activeElement.textContent : ''"
        ):
            with page.expect_navigation():
                page.keyboard.press("Enter")
            return
        page.keyboard.press("Tab")
    raise AssertionError(f"no button {words!r} is reached by Tab")


def looks(page, axe):
    """axe in three lights with 7:1 for every text, and no sideways scrolling from 320 px on."""
    for theme in ("paper", "dawn", "sun"):
        page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
        found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
        assert found.violations_count == 0, f"{page.url} {theme}\n{found.generate_report()}"
    for width in (1280, 390, 320):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{page.url} at {width}"
    page.set_viewport_size({"width": 1280, "height": 900})


def test_a_sheet_is_typed_twice_settled_and_entered_by_keyboard_alone(chromium, own_station):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = open_page(chromium, own_station)
    page.goto(f"{own_station.url}/transcribe/")
    looks(page, axe)
    tab_to(page, "#id_day")
    page.keyboard.type("08012026")
    press(page, "Begin the first sheet")
    assert page.url.endswith(f"/transcribe/{DAY}-a/1/1/")
    type_by_keyboard(page)
    until(page, "document.getElementById('kept-state').textContent.startsWith('45 animals')")
    assert "will be asked" in page.inner_text("tr.line:nth-of-type(5)")
    looks(page, axe)
    leave_the_grid(page)
    press(page, "Done: all is typed")
    page.reload()
    looks(page, axe)
    press(page, "Type haul 1 a second time")
    assert page.input_value("[name='l1-name']") == ""
    type_by_keyboard(page, back="83")
    leave_the_grid(page)
    press(page, "Done: all is typed")
    press(page, "Settle haul 1")
    looks(page, axe)
    tab_to(page, "[name='pick-1.back']")
    page.keyboard.press("Space")
    tab_to(page, "[name='name-minnow']")
    page.keyboard.press("ArrowUp")  # round to the last of the choices: nobody can say
    press(page, "Keep what is chosen")
    assert "settled" in page.inner_text("h1 + .state")
    press(page, "Enter haul 1")
    assert "45 animals" in page.inner_text(".messages")
    page.goto(f"{own_station.url}/transcribe/")
    assert f"{DAY}-a, haul 1" in page.inner_text("main")
    assert page.faults == []


def test_arrows_and_enter_move_as_on_paper_and_lines_come_by_themselves(chromium, own_station):
    page = open_page(chromium, own_station)
    page.goto(f"{own_station.url}/transcribe/")
    page.fill("#id_day", DAY)
    page.click("text=Begin the first sheet")
    page.focus("[name='l1-back']")
    for key, name in (
        ("ArrowDown", "l2-back"), ("ArrowRight", "l2-kept"), ("ArrowUp", "l1-kept"), ("ArrowLeft", "l1-back"),
        ("Enter", "l2-back"), ("Shift+Enter", "l1-back"), ("ArrowUp", "l1-back"),
    ):  # fmt: skip
        page.keyboard.press(key)
        assert at(page) == name, key
    page.keyboard.type("123")
    page.keyboard.press("ArrowLeft")  # within a text the arrow moves in the text
    assert at(page) == "l1-back"
    page.focus("[name='l16-remark']")
    page.keyboard.type("the last place")
    page.keyboard.press("Tab")
    assert at(page) == "l17-name"
    page.keyboard.type("cunner")
    page.keyboard.press("ArrowDown")
    assert at(page) == "l18-name"
    until(page, KEPT)
    page.reload()
    assert page.input_value("[name='l17-name']") == "cunner"
    assert page.faults == []
    what_does_not_reach_the_station_is_said_loudly_and_comes_back(page)


def what_does_not_reach_the_station_is_said_loudly_and_comes_back(page):
    before = page.input_value("[name='revision']")
    page.context.set_offline(True)
    page.fill("[name='l2-name']", "tautog")
    page.wait_for_selector("#not-kept:visible")
    assert "Not kept" in page.inner_text("#not-kept")
    page.context.set_offline(False)
    page.on("dialog", lambda dialog: dialog.accept())
    page.reload()
    assert page.input_value("[name='l2-name']") == "tautog"
    until(page, f"document.querySelector('[name=revision]').value !== '{before}'")
    page.evaluate("localStorage.clear()")
    page.reload()
    assert page.input_value("[name='l2-name']") == "tautog"


def test_without_a_script_it_is_a_plain_form(chromium, own_station):
    page = open_page(chromium, own_station, java_script_enabled=False)
    page.goto(f"{own_station.url}/transcribe/")
    page.fill("#id_day", DAY)
    page.click("text=Begin the first sheet")
    for number in (1, 2):
        for place, text in HEAD.items():
            page.fill(f"[name='{place}']", text)
        for n, line in enumerate(LINES[:2], 1):
            for place, text in line.items():
                page.fill(f"[name='l{n}-{place}']", text)
        page.fill("[name='l1-lengths']", "")
        page.click("text=More lines")
        assert page.input_value("[name='l1-name']") == "Atlantic silverside"
        assert page.locator("[name='l26-name']").count() == 1
        page.fill("[name='l3-name']", "cunner")
        page.fill("[name='l3-back']", str(number))
        page.press("[name='l3-back']", "Enter")  # keeps it, and does not say that it is done
        assert page.url.partition("?")[0].endswith(f"/{number}/")
        page.click("text=Done: all is typed")
        if number == 1:
            page.click("text=Type haul 1 a second time")
    page.click("text=Settle haul 1")
    assert "1 place differs" in page.inner_text("main")
    page.check("[name='pick-3.back'][value='second']")
    page.click("text=Keep what is chosen")
    page.click("text=Enter haul 1")
    assert re.search(r"lines are in the book, 45 animals", page.inner_text(".messages"))
