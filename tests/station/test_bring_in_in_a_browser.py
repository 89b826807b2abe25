"""A real season's sheets are brought in in a real browser, with a script and without, in every light, on every width.

Kachemak Bay 2023: kbnerr/nearshore-fish, MIT (copyright 2022 Chris Guo): 11 hauls, 1987 animals.
"""

from __future__ import annotations

import time

import pytest
from playwright.sync_api import Error

pytestmark = pytest.mark.browser

BROKEN = "Haul,Date,Site,Set,Species,Count\n" + "".join(
    f"A{n},2023-06-2{n},east point,1,{name},{count}\n"
    for n, (name, count) in enumerate(
        [("cunner", "4"), ("tautog", "lots"), ("rock gunnel", "10-May"), ("grubby", ""), ("minnow", "2")]
        + [("mummichog", "3")] * 4
    )
)


def set_up(chromium, station, pack, **context):
    """Open a new station with the taxa of a coast."""
    page = chromium.new_context(**context).new_page()
    until = time.monotonic() + 30
    while True:  # the server says its address a moment before it listens
        try:
            page.goto(station.link)
            break
        except Error:
            if time.monotonic() > until:
                raise
            time.sleep(0.5)
    page.fill("[name=name]", "an invented station")
    page.fill("[name=zone]", "America/Anchorage")
    page.fill("[name=login]", "lead")
    page.fill("[name=password]", "a long enough one")
    page.select_option("[name=pack]", pack)
    page.click("text=Open the book")
    return page


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


def test_a_real_season_is_brought_in(chromium, new_station, shared_data):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    folder = shared_data / "kachemak-beach-seine" / "2023"
    page = set_up(chromium, new_station, "nepacific")
    page.goto(f"{new_station.url}/bring-in/")
    looks(page, axe)
    page.set_input_files(
        "[name=sheets]", [folder / f"2023_kbnerr_{part}.csv" for part in ("site", "fish", "env")]
    )
    page.fill("[name=name]", "Kachemak 2023")
    page.click("button:text('Hand in')")
    looks(page, axe)
    page.select_option("#set-default_fate", "back")
    page.fill("[id='set-file.1.time.zone']", "America/Anchorage")
    page.click("text=Keep and read")
    looks(page, axe)
    page.click("text=Look at what would follow")
    assert "1987" in page.inner_text("table.account")
    looks(page, axe)
    page.click("button:text-is('Bring in')")
    assert "Kachemak 2023 is in the book" in page.inner_text("h1")
    page.reload()
    looks(page, axe)


def test_without_a_script_broken_sheets_are_mended_and_come_in(chromium, new_station, tmp_path):
    page = set_up(chromium, new_station, "nwatlantic", java_script_enabled=False)
    page.goto(f"{new_station.url}/bring-in/")
    (tmp_path / "broken.csv").write_bytes(b'Haul,Date\nA1,"2023')
    page.set_input_files("[name=sheets]", tmp_path / "broken.csv")
    page.click("button:text('Hand in')")
    assert "perhaps a quote is never closed" in page.inner_text("#mend")
    (tmp_path / "broken.csv").write_text(BROKEN)
    page.set_input_files("[name=sheets]", tmp_path / "broken.csv")
    page.click("button:text('Hand in')")
    page.select_option(
        "[id='set-file.1.role']", "catch"
    )  # taken for a list of names, so little of it can be read
    page.select_option("#set-default_fate", "back")
    page.click("text=Keep and read")
    questions = page.inner_text("main")
    assert "grubby, haul 'A3': the number is blank." in questions
    page.check("fieldset:has-text('grubby') [value=other]")
    page.fill("fieldset:has-text('grubby') input[type=text]", "6")
    page.check("fieldset:has-text('minnow') [value=sheepshead-minnow]")
    page.click("text=Keep the answers")
    shown = page.inner_text("main")
    assert "'lots' is no number" in shown
    assert "2 things stand open" in shown
    page.check("[name=as_is]")
    page.click("button:has-text('Bring in')")
    assert "broken.csv is in the book" in page.inner_text("h1")
    page.goto(f"{new_station.url}/bring-in/")
    assert "broken.csv" in page.inner_text("main")
