"""The outing in a browser: settle, sign, amend, see the difference; by keyboard, without script, at every width."""

from __future__ import annotations

import contextlib
import re
import socket
import time
from urllib.parse import urlsplit

import pytest

pytestmark = pytest.mark.browser
OUTING = "2026-09-11-a"


def come_in(page, served):
    """Sign in by the link, once the server listens."""
    address = urlsplit(served.url)
    for _ in range(300):
        with contextlib.suppress(OSError), socket.create_connection((address.hostname, address.port), 1):
            break
        time.sleep(0.1)
    page.goto(served.link)
    page.wait_for_url(re.compile("/season/"))


def axe_findings(page):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
    found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    return found.generate_report() if found.violations_count else ""


def too_wide(page):
    return page.evaluate(
        """() => document.documentElement.scrollWidth <= innerWidth ? [] :
        [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => `${e.tagName}.${e.className} ${e.textContent.trim().slice(0, 40)}`)"""
    )


def too_small(page):
    """What is to be pressed in the page and is under 44 px: links inside sentences apart."""
    return page.evaluate(
        """() => [...document.querySelectorAll('main a, main button, main select, main input:not([type=hidden])')]
        .filter(e => e.checkVisibility())
        .map(e => e.matches('.choice input') ? e.closest('.choice') : e)
        .map(e => [e.textContent.trim() || e.name, e.getBoundingClientRect()])
        .filter(([words, box]) => box.height < 43.9 || box.width < 43.9).map(([words]) => words)"""
    )


def press(page, words, role="button"):
    """Go to something with the Tab key and press Enter, as somebody without a mouse does."""
    wanted = page.get_by_role(role, name=words).first
    wanted.wait_for()
    for _ in range(150):
        if wanted.evaluate("one => one === document.activeElement"):
            break
        page.keyboard.press("Tab")
    else:
        raise AssertionError(f"the Tab key never came to {words}")
    page.keyboard.press("Enter")


def fill_with_keys(page, label, text):
    field = page.get_by_label(label, exact=False).first
    for _ in range(150):
        if field.evaluate("one => one === document.activeElement"):
            break
        page.keyboard.press("Tab")
    page.keyboard.type(text)


def test_by_keyboard_alone_a_line_is_added_settled_signed_and_the_difference_seen(own_station, chromium):
    page = chromium.new_context(viewport={"width": 1280, "height": 900}).new_page()
    come_in(page, own_station)
    page.goto(f"{own_station.url}/outing/{OUTING}/")
    press(page, "Add something", "link")
    press(page, "A line that was forgotten", "link")
    fill_with_keys(page, "How many", "5")
    fill_with_keys(page, "Name", "grubby")
    fill_with_keys(page, "What became of them", "net")
    fill_with_keys(page, "How it is known", "on the paper sheet")
    press(page, "Write it")
    page.get_by_text("5 grubby of haul 1 are not accounted for.").wait_for()
    press(page, "Put back, not called")
    page.get_by_text("Settled: Put back, not called.").wait_for()
    assert page.get_by_text("are not accounted for").count() == 0
    press(page, "Look at the difference and sign", "link")
    page.get_by_role("row", name=re.compile("haul 1 grubby back alive")).wait_for()
    press(page, "Read and sign again", "link")
    press(page, "Sign again")
    page.get_by_text("Signed. What comes in from now on makes an amendment.").wait_for()
    page.goto(f"{own_station.url}/outing/{OUTING}/differences/?a=1&b=2")
    page.get_by_role("row", name=re.compile("haul 1 grubby back alive")).wait_for()


def test_without_script_a_loss_is_settled_with_its_cause_and_a_call_gets_another_number(
    own_station, chromium
):
    page = chromium.new_context(java_script_enabled=False).new_page()
    come_in(page, own_station)
    page.goto(f"{own_station.url}/outing/{OUTING}/add/line/")
    page.get_by_label("How many").fill("2")
    page.get_by_label("Name").fill("young winter flounder")
    page.get_by_label("What became of them").select_option("net")
    page.get_by_label("How it is known").fill("on the paper sheet")
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("link", name="Lost, with its cause").click()
    lost = page.locator("section.way.chosen")
    lost.get_by_role("button", name="Lost, with its cause").click()
    page.get_by_text("Say how they were lost").first.wait_for()
    lost = page.locator("section.way.chosen")
    lost.get_by_label("How they were lost").fill("jumped out of the net")
    lost.get_by_role("button", name="Lost, with its cause").click()
    page.get_by_text("jumped out of the net").first.wait_for()
    page.get_by_role("button", name="Confirm: fate unknown").click()
    page.get_by_text("Settled: Confirm: fate unknown.").wait_for()
    page.goto(f"{own_station.url}/outing/{OUTING}/calls/?kind=move")
    page.get_by_role("row", name="9 striped killifish").first.get_by_role("link").first.click()
    page.get_by_label("Why").fill("there were ten")
    page.get_by_label("haul 1, striped killifish, back alive").fill("10")
    page.get_by_role("button", name="Put these numbers in its place").click()
    page.get_by_text("Mended; the line stays readable with its reason.").wait_for()
    assert page.locator("s.struck", has_text="9 striped killifish").count() == 1


LOOKED_AT = (
    "/season/?year=2026", "/outings/", "/outing/{o}/", "/outing/{o}/settle/", "/outing/{o}/calls/", "/outing/{o}/add/",
    "/outing/{o}/add/line/", "/outing/{o}/add/haul/?haul=1", "/outing/{o}/sign/", "/outing/{o}/differences/",
    "/outing/{o}/account/",
)  # fmt: skip


def test_every_page_reads_well_at_every_width_in_every_light(own_station, chromium):
    context = chromium.new_context(viewport={"width": 1280, "height": 900}, bypass_csp=True)
    page = context.new_page()
    come_in(page, own_station)
    page.goto(f"{own_station.url}/outing/{OUTING}/add/line/")
    page.get_by_label("How many").fill("5")
    page.get_by_label("Name").fill("grubby")
    page.get_by_label("What became of them").select_option("net")
    page.get_by_label("How it is known").fill("on the paper sheet")
    page.get_by_role("button", name="Write it").click()
    page.get_by_role("row", name="grubby").first.wait_for()
    entry = (
        page.goto(f"{own_station.url}/outing/{OUTING}/calls/?kind=move") and page.locator("tbody th a").first
    )
    addresses = [*LOOKED_AT, entry.get_attribute("href")]
    for i, address in enumerate(addresses):
        theme = ("paper", "dawn", "sun")[i % 3]
        context.add_cookies([{"name": "theme", "value": theme, "url": own_station.url}])
        page.set_viewport_size({"width": 1280, "height": 900})
        page.goto(own_station.url + address.format(o=OUTING))
        assert (address, axe_findings(page)) == (address, "")
        for width in (1280, 768, 390, 320):
            page.set_viewport_size({"width": width, "height": 900})
            assert (address, width, too_wide(page)) == (address, width, [])
            assert (address, width, too_small(page)) == (address, width, [])
