"""Pictures of the station and the phone's page: a served station with the invented season, its clock standing still."""

from __future__ import annotations

import os
import re
import subprocess
import sys
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from playwright.sync_api import Browser, BrowserContext, Page

NOW = "2026-09-15T12:00:00-04:00"
WIDE, HIGH = 1280, 900
PHONE = {"width": 390, "height": 844}
DAY = NOW[:10]
PLAN = {
    "site": "sallowhorn-cove", "date": DAY, "hauls": "3", "permits": "SC-24-031", "nets": "n1", "crew": "p1",
    "people_present": "6", "looked_for": "northern pipefish\ncunner", "buckets-TOTAL_FORMS": "2",
    "buckets-INITIAL_FORMS": "0", "buckets-MIN_NUM_FORMS": "0", "buckets-MAX_NUM_FORMS": "24",
    "buckets-0-place": "bucket 1", "buckets-0-purpose": "keep", "buckets-0-litres": "14", "buckets-0-air_per_h": "3",
    "buckets-1-place": "bucket 2", "buckets-1-purpose": "release", "buckets-1-litres": "20", "buckets-1-air_per_h": "",
}  # fmt: skip
PAGES = {
    "season": "/season/",
    "outing": "/outing/2026-09-11-a/",
    "permits": "/permit/SC-24-031/",
    "kept": "/kept/",
    "bed": "/bed/",
    "plan": "/plan/?month=2026-09",
    "patterns": "/patterns/",
}
CALLS = (
    "six cunner, two young flounder, straight back",
    "nine sand shrimp",
    "two cunner kept",
    "3 northern pipefish",
)


@contextmanager
def _served(folder: Path) -> Iterator[tuple[str, str]]:
    """Serve a station; its address and the link that signs in."""
    log = (folder.parent / "station.log").open("w")
    process = subprocess.Popen(
        [sys.executable, "-m", "haulbook", "serve", "--station", str(folder), "--demo", "--port", "0"],
        stdout=subprocess.PIPE,
        stderr=log,
        text=True,
        env={**os.environ, "HAULBOOK_NOW": NOW},
    )
    try:
        assert process.stdout is not None
        link = ""
        for line in process.stdout:
            if found := re.search(r"http\S+", line):
                link = found[0]
            if line.startswith("Stop it"):
                break
        if not link:
            sys.exit((folder.parent / "station.log").read_text())
        yield re.sub(r"(https?://[^/]+).*", r"\1", link), link
    finally:
        process.terminate()
        process.wait(20)
        log.close()


def picture(browser: Browser, pictures: Path, folder: Path) -> None:
    """Picture the pages of a station and the tally on a phone."""
    with _served(folder) as (url, link):
        desk = browser.new_context(viewport={"width": WIDE, "height": HIGH}, color_scheme="light")
        page = desk.new_page()
        page.goto(link)
        _send(desk, url, "/plan/new/", PLAN)
        open_it = {"name": "Sallowhorn Shore Station (invented)", "zone": "America/New_York", "public": "on"}
        _send(desk, url, "/station/settings/", open_it)
        for name, path in PAGES.items():
            page.goto(url + path)
            _take(page, pictures / f"station-{name}.png")
        visitor = browser.new_context(
            viewport={"width": WIDE, "height": HIGH}, color_scheme="light"
        ).new_page()
        visitor.goto(f"{url}/open/")
        _take(visitor, pictures / "station-open.png")
        _tally(browser, url, _code(page, url), pictures / "shore-tally.png")


def _send(desk: BrowserContext, url: str, path: str, fields: dict[str, Any]) -> None:
    token = next(one["value"] for one in desk.cookies() if one["name"] == "csrftoken")
    answer = desk.request.post(url + path, form={**fields, "csrfmiddlewaretoken": token})
    if not answer.ok:
        sys.exit(f"{path}: {answer.status}\n{answer.text()}")


def _code(page: Page, url: str) -> str:
    page.goto(f"{url}/devices/")
    page.get_by_label("Which phone").fill("the orange one")
    page.get_by_role("button", name="Make a code").click()
    return page.locator(".code").inner_text()


def _tally(browser: Browser, url: str, code: str, path: Path) -> None:
    """Picture a haul in the middle of its calls."""
    phone = browser.new_context(viewport=PHONE, color_scheme="light")
    page = phone.new_page()
    page.clock.install(time=NOW)
    page.goto(f"{url}/shore/#enrol={code}")
    page.get_by_role("button", name=f"{DAY}-a: Take it along").click()
    page.get_by_role("radio", name="p1").click()
    page.get_by_role("button", name="Start haul").first.click()
    page.get_by_role("radio", name="Two poles walked").click()
    page.get_by_role("button", name="Net is in the water").first.click()
    page.get_by_role("button", name="Landed", exact=True).first.click()
    page.get_by_role("radio", name="good").click()
    page.get_by_label("Width between the wing ends, m").fill("6.2")
    page.get_by_label("Distance hauled, m").fill("20")
    page.get_by_role("button", name="Note the landing").first.click()
    line = page.get_by_label("A call", exact=True)
    for words in CALLS:
        line.fill(words)
        line.press("Enter")
        page.clock.run_for(20_000)
    page.evaluate("window.haulbook.settled()")
    page.evaluate("document.activeElement.blur()")
    _take(page, path)


def _take(page: Page, path: Path) -> None:
    page.evaluate("document.fonts.ready")
    page.screenshot(path=path)
    print(path)
