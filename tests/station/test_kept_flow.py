"""The holding room in a browser: kept to its death by keyboard alone; without script; the look of every page."""

from __future__ import annotations

import re
import subprocess
import sys
import time

import pytest
from playwright.sync_api import Error

from haulbook.custody.book import Book
from haulbook.custody.entry import Draft, chain, uuid8
from haulbook.exchange.bookfile import write_book

pytestmark = pytest.mark.browser

PAGES = (
    "/kept/", "/kept/tank/q1/?write=leave", "/kept/tank/q1/settle/", "/kept/cards/", "/kept/what-kills/",
    "/kept/way-home/?from_temperature=16&from_salinity=28&to_temperature=12&to_salinity=32&litres=12",
    "/kept/story/?haul=2026-06-16-a/1&taxon=palaemon", "/which-one/", "/which-one/?saw=body_plan%3Dbighead",
    "/which-one/?taxon=grubby", "/which-one/side-by-side/?taxon=cunner&taxon=tautog",
)  # fmt: skip


def come_in(chromium, station, **context):
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


def tab_to(page, wanted, most=220):
    """Press Tab until the wanted place has the focus."""
    for _ in range(most):
        page.keyboard.press("Tab")
        if page.evaluate("wanted => document.activeElement.matches(wanted)", wanted):
            return
    raise AssertionError(f"Tab does not reach {wanted}")


def choose(page, name, words):
    """Choose in a list by typing its first letters, as a keyboard does."""
    tab_to(page, f"[name='{name}']")
    page.keyboard.type(words)


def send(page, form):
    tab_to(page, f"#{form} button[type=submit]")
    with page.expect_navigation():
        page.keyboard.press("Enter")


def open_form(page, form):
    tab_to(page, f"#{form} > summary")
    page.keyboard.press("Enter")


def number_held(page, animal):
    row = page.locator("table", has_text="fed last").locator(
        "tr", has=page.get_by_role("link", name=animal, exact=True)
    )
    return int(row.locator("td").first.inner_text()) if row.count() else 0


OUTING = "2026-09-24-a"
HAUL = f"{OUTING}/1"


def an_open_outing(station) -> None:
    """Let an invented outing come in that is still open: two cunner stand in its keep bucket."""
    head = {
        "plan": None,
        "digest": None,
        "pack": "nwatlantic",
        "version": "1",
        "permits": [],
        "looked_for": [],
    }
    line = {"taxon": "cunner", "n": 2, "from": "sea", "to": "bucket 1", "haul": HAUL}
    lines = [
        ("outing-opened", head),
        ("place", {"place": "bucket 1", "act": "set-up", "purpose": "keep", "litres": 14}),
        ("haul-started", {"haul": HAUL, "site": "sallowhorn-cove", "net": "n1", "set_type": "straight"}),
        ("haul-landed", {"haul": HAUL, "condition": 1}),
        ("move", {"lines": [line]}),
    ]
    at = "2026-09-24T07:00:00-04:00"
    drafts = [
        Draft(uuid8(f"flow {i}".encode()), at, at, "p3", OUTING, kind, body)
        for i, (kind, body) in enumerate(lines)
    ]
    file = station.folder.parent / "book.jsonl"
    write_book(Book.of(chain(drafts, "d9")), file)
    command = [
        sys.executable,
        "-m",
        "haulbook",
        "station",
        "import",
        str(file),
        "--station",
        str(station.folder),
    ]
    subprocess.run(command, check=True, env=station.environment, capture_output=True)


def test_an_animal_is_kept_to_its_death_by_keyboard_alone(chromium, own_station):
    page = come_in(chromium, own_station)
    url = own_station.url
    page.goto(f"{url}/kept/tank/grass/?write=arrive")
    tab_to(page, "[name='arrive-name']")
    page.keyboard.type("grubby")
    tab_to(page, "[name='arrive-n']")
    page.keyboard.type("3")
    send(page, "arrive")
    assert number_held(page, "grubby") == 3

    # a wild one joins them from quarantine, and the haul is known
    page.goto(f"{url}/kept/tank/q1/")
    open_form(page, "leave")
    choose(page, "leave-lot", "grubby")
    tab_to(page, "[name='leave-n']")
    page.keyboard.type("1")
    choose(page, "leave-to", "to tank g")
    choose(page, "leave-haul", "2026-09-11")
    send(page, "leave")
    assert "moved to tank grass: 1 grubby" in page.inner_text("main")

    # counted: one is missing; it was found dead
    page.goto(f"{url}/kept/tank/grass/?write=recount")
    choose(page, "recount-lot", "grubby")
    tab_to(page, "[name='recount-n']")
    page.keyboard.type("3")
    send(page, "recount")
    assert "1 too few" in page.inner_text("h2")
    tab_to(page, "[name='way']")
    page.keyboard.press("Space")
    page.keyboard.press("ArrowDown")  # they were found dead, and kept
    tab_to(page, "[name='why']")
    page.keyboard.type("scale loss")
    tab_to(page, "form.sheet button[type=submit]")
    with page.expect_navigation():
        page.keyboard.press("Enter")
    assert number_held(page, "grubby") == 3
    assert "found dead, kept (scale loss): 1 grubby" in page.inner_text("main")


def test_a_bucket_of_an_open_outing_comes_into_a_tank_and_its_death_is_a_later_one(chromium, own_station):
    an_open_outing(own_station)
    page = come_in(chromium, own_station)
    url = own_station.url
    page.goto(f"{url}/kept/tank/grass/?write=carry")
    choose(page, "carry-lot", "2 cunner")
    send(page, "carry")
    assert number_held(page, "cunner") == 2
    page.goto(f"{url}/kept/tank/grass/?write=leave")
    choose(page, "leave-lot", "cunner")
    tab_to(page, "[name='leave-n']")
    page.keyboard.type("1")
    choose(page, "leave-to", "found dead, k")
    tab_to(page, "[name='leave-cause']")
    page.keyboard.type("jumped at the lid")
    send(page, "leave")
    assert number_held(page, "cunner") == 1
    page.goto(f"{url}/kept/story/?haul={HAUL}&taxon=cunner")
    told = page.inner_text("main")
    for words in ("net on the beach", "bucket 1", "tank grass", "jumped at the lid", "found dead in holding"):
        assert words in told, words
    assert (
        "The permit counts them as kept alive" in told
    )  # beside the later death: it was decided at the beach
    assert "has to be amended" in told
    page.goto(f"{url}/outing/{OUTING}/")
    assert "cunner" in page.inner_text("main")


def test_every_form_works_without_a_script(chromium, own_station):
    page = come_in(chromium, own_station, java_script_enabled=False)
    page.goto(f"{own_station.url}/kept/tank/grass/?write=arrive")
    page.fill("[name='arrive-name']", "zorgfish")
    page.fill("[name='arrive-n']", "2")
    page.click("#arrive button[type=submit]")
    assert page.input_value("[name='arrive-name']") == "zorgfish"
    assert "thing to mend" in page.inner_text("#arrive")
    page.fill("[name='arrive-name']", "cunner")
    page.click("#arrive button[type=submit]")
    assert number_held(page, "cunner") == 2
    page.goto(f"{own_station.url}/which-one/")
    page.click("text=Fish with a large head tapering to a thin tail")
    assert "after 1 look" in page.inner_text("main")
    page.click("text=take back")
    assert "Nothing yet." in page.inner_text("main")


def test_every_page_is_read_by_everybody_in_every_light(chromium, invented_station):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page = come_in(chromium, invented_station)
    faults = []
    page.on("pageerror", lambda fault: faults.append(str(fault)))
    page.on("console", lambda line: faults.append(line.text) if line.type == "error" else None)
    for address in PAGES:
        page.goto(invented_station.url + address)
        for theme in ("paper", "dawn", "sun"):
            page.evaluate("theme => { document.documentElement.dataset.theme = theme }", theme)
            found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
            assert found.violations_count == 0, f"{address} {theme}\n{found.generate_report()}"
        for width in (1280, 390, 320):
            page.set_viewport_size({"width": width, "height": 900})
            assert page.evaluate("document.documentElement.scrollWidth <= innerWidth"), (
                f"{address} at {width}"
            )
        page.set_viewport_size({"width": 1280, "height": 900})
    assert not [one for one in faults if not re.search("favicon", one)]
