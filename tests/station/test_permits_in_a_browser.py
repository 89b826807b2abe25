"""Permits and reports in a browser: to the sent report and the amended one, by keyboard, without script."""

from __future__ import annotations

import re
import time

import pytest
from playwright.sync_api import Error

pytestmark = pytest.mark.browser

NO = "SC-24-031"
YEAR = "first=2024-04-01&last=2025-03-31"
PAGES = (
    "/permits/",
    f"/permit/{NO}/",
    f"/permits/clause/{NO}/?id=2a&haul=2026-05-18-a/1",
    f"/permits/files/{NO}/",
    "/permits/hand-in/",
    f"/permits/add/{NO}/?kind=percent",
    "/permits/new/",
    "/reports/",
    f"/report/{NO}/?{YEAR}",
)


def open_page(chromium, station, **context):
    page = chromium.new_context(**context).new_page()
    for again in range(40):  # the server says its address a moment before it listens
        try:
            page.goto(station.link)
            return page
        except Error:
            if again == 39:
                raise
            time.sleep(0.5)
    return page


def press(page, words):
    """Reach a button or link by Tab and press it with Enter."""
    for _ in range(150):
        page.keyboard.press("Tab")
        if words in page.evaluate("document.activeElement.textContent"):
            with page.expect_navigation():
                page.keyboard.press("Enter")
            return
    raise AssertionError(f"{words!r} is not reached by Tab")


def looks(page, axe, theme):
    """axe with 7:1 for every text, and no sideways scrolling from 320 px on."""
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
    page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
    found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    assert found.violations_count == 0, f"{page.url} {theme}\n{found.generate_report()}"
    for width in (1280, 390, 320):
        page.set_viewport_size({"width": width, "height": 900})
        assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), f"{page.url} at {width}"
    page.set_viewport_size({"width": 1280, "height": 900})


def test_every_page_can_be_read_in_every_light_and_width(chromium, invented_station):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = open_page(chromium, invented_station, bypass_csp=True)
    for i, address in enumerate(PAGES):
        page.goto(f"{invented_station.url}{address}")
        looks(page, axe, ("paper", "dawn", "sun")[i % 3])


def test_a_season_is_reported_sent_and_amended_after_a_late_death_by_keyboard(chromium, own_station):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = open_page(chromium, own_station, bypass_csp=True)
    page.goto(f"{own_station.url}/permits/")
    press(page, NO)
    assert "No more may be kept" in page.content()
    press(page, "Report of this year")
    press(page, "All reports")
    press(page, "1 April 2024 to 31 March 2025")
    assert "adds up" in page.content()
    press(page, "Sign the report")
    assert "signed, not sent yet" in page.content()
    signed = page.url
    page.set_input_files(
        "input[type=file]", {"name": "sent.eml", "mimeType": "message/rfc822", "buffer": b"sent"}
    )
    press(page, "Mark it as sent")
    assert "the report is sent" in page.content()
    a_late_death(page, own_station)
    page.goto(f"{own_station.url}/report/{NO}/?{YEAR}")
    assert page.get_by_role("heading", name="What changed since it was sent").is_visible()
    assert "died after leaving the beach" in page.content()
    press(page, "Sign the amended report")
    assert page.get_by_role("heading", name="Amended report 1").is_visible()
    page.reload()
    looks(page, axe, "dawn")
    page.goto(signed)
    assert page.get_by_role("link", name="version 2").is_visible()
    looks(page, axe, "paper")


def a_late_death(page, station):
    """Write down on the tank's page that a cunner of a haul of 2024 was found dead."""
    page.goto(f"{station.url}/kept/tank/q1/?write=leave")
    page.select_option("[name=leave-lot]", value_of(page, "leave-lot", "cunner"))
    page.fill("[name=leave-n]", "1")
    page.select_option("[name=leave-to]", "dead-kept")
    page.select_option("[name=leave-haul]", value_of(page, "leave-haul", "2024-05-09-a"))
    with page.expect_navigation():
        page.locator("form[action$='/leave/'] button[type=submit]").click()


def value_of(page, name, words):
    """Return the value of the first choice whose words hold these."""
    choices = page.locator(f"[name={name}] option").all()
    return next(one.get_attribute("value") for one in choices if words in one.text_content())


def test_a_clause_is_confirmed_by_two_people_without_script(chromium, own_station):
    page = open_page(chromium, own_station, java_script_enabled=False)
    page.goto(f"{own_station.url}/permits/add/{NO}/?kind=limit")
    for name, text in (
        ("id", "2f"),
        ("text", "Lined seahorse: two in a year."),
        ("taxa", "lined seahorse"),
        ("limit", "2"),
    ):
        page.fill(f"[name={name}]", text)
    page.get_by_role("button", name="Keep").click()
    assert "compared by 0 of 2 people" in page.content()
    page.get_by_role("button", name="It says the same: confirm").click()
    assert "compared by 1 of 2 people" in page.content()
    assert re.search("You have; another person has to look too", page.content())
    page.goto(f"{own_station.url}/permit/{NO}/")
    assert "1 clause was not compared with the paper by two people" in page.content()
