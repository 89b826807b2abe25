"""The page of devices in a browser: enrolling a phone from it, in every light, on a narrow leaf."""

from __future__ import annotations

import os
from pathlib import Path

import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = pytest.mark.browser
SHOTS = os.environ.get("HAULBOOK_SHOTS")
"""A folder that pictures are put into, to be looked at."""


@pytest.fixture(scope="module")
def page(chromium, invented_station):
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    page = context.new_page()
    page.goto(invented_station.link)
    page.goto(f"{invented_station.url}/devices/")
    yield page
    context.close()


def shot(page, name):
    if SHOTS:
        page.screenshot(path=str(Path(SHOTS) / f"{name}.png"), full_page=True)


def test_a_phone_is_enrolled_from_the_page_and_turned_away(page, invented_station, chromium):
    shot(page, "devices-empty")
    page.get_by_label("Which phone").fill("the orange one")
    page.get_by_role("button", name="Make a code").click()
    page.get_by_role("heading", name="Enrol the orange one").wait_for()
    shot(page, "devices-code")
    code = page.locator(".code").inner_text()
    assert page.locator(".qr svg").bounding_box()["width"] > 150
    said = page.request.post(f"{invented_station.url}/shore/enrol", data={"code": code})
    key = said.json()["device"]
    page.reload()
    assert page.locator(".code").count() == 0
    page.get_by_text("the orange one").first.wait_for()
    page.get_by_role("row", name=key).get_by_role("button", name="Turn away").click()
    page.get_by_role("heading", name="Turned away").wait_for()
    shot(page, "devices-away")
    assert page.get_by_role("button", name="Let it come back").count() == 1


@pytest.mark.parametrize("light", ["Paper", "Dawn", "Sun"])
def test_the_page_holds_to_the_rules_of_access_in_every_light(page, light):
    page.get_by_label("Which phone").fill(f"for {light}")
    page.get_by_role("button", name="Make a code").click()
    page.locator(".broad").get_by_role("button", name=light).first.click()
    found = Axe().run(page)
    assert found.violations_count == 0, found.generate_report()
    shot(page, f"devices-{light.lower()}")


@pytest.mark.parametrize("width", [320, 390])
def test_the_page_fits_a_narrow_leaf(page, width):
    page.set_viewport_size({"width": width, "height": 800})
    page.get_by_label("Which phone").fill("narrow")
    page.get_by_role("button", name="Make a code").click()
    page.locator(".qr svg").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= width
    shot(page, f"devices-{width}")
