"""A beach to try the screen on: the page in a real browser, a small station, a clock, and what a recorder does."""

from __future__ import annotations

import importlib.util
import sys
from datetime import date, datetime, timedelta
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import entry_from_json
from haulbook.demo.season import papers, season
from haulbook.exchange.permit_toml import read_permit
from haulbook.exchange.plan_toml import Bucket, Plan
from haulbook.exchange.station_toml import read_station
from haulbook.office.compile_kit import compile_kit
from haulbook.taxa import load_pack

HERE = Path(__file__).parent
ZONE = ZoneInfo("America/New_York")
OUTING = "2026-09-26-a"
MORNING = datetime(2026, 9, 26, 13, 24, tzinfo=ZONE)  # low water is at 13:50
PLAN = Plan(
    outing=OUTING,
    site="sallowhorn-cove",
    date=date(2026, 9, 26),
    hauls=3,
    permits=("LC-27",),
    nets=("n1",),
    crew=("p1", "p3"),
    people_present=8,
    buckets=(
        Bucket("bucket 1", "keep", 14.0, 3.0),
        Bucket("bucket 2", "hold", 14.0),
        Bucket("bucket 3", "release", 14.0),
    ),
    looked_for=("northern-pipefish", "rock-gunnel"),
    keep_device="d1",
)


def _module(name):
    spec = importlib.util.spec_from_file_location(f"screen_{name}", HERE / f"{name}.py")
    module = importlib.util.module_from_spec(spec)
    sys.modules[spec.name] = module
    spec.loader.exec_module(module)
    return module


_station = _module("station")


@pytest.fixture(scope="session")
def kit(tmp_path_factory):
    """The kit of an invented outing, with past hauls and an invented permit."""
    folder = tmp_path_factory.mktemp("papers")
    for name, content in papers().items():
        (folder / name).write_bytes(content)
    pack = load_pack("nwatlantic")
    permit = read_permit(HERE / "permit.toml", pack)
    _, book = season()
    made = datetime(2026, 9, 26, 6, 0, tzinfo=ZONE)
    return compile_kit(PLAN, read_station(folder / "station.toml"), [permit], pack, book, made)


@pytest.fixture
def station(kit):
    """A station that has this kit and one code."""
    one = _station.Station(kit)
    yield one
    one.close()


FULL = """() => {
  window.room = [IDBObjectStore.prototype.add, IDBObjectStore.prototype.put];
  const full = () => { throw new DOMException('full', 'QuotaExceededError'); };
  IDBObjectStore.prototype.add = IDBObjectStore.prototype.put = full;
}"""
FREED = "() => { [IDBObjectStore.prototype.add, IDBObjectStore.prototype.put] = window.room; }"


class Beach:
    """One phone on the beach: the page, and what a recorder does with it."""

    def __init__(self, page, station):
        self.page, self.station = page, station

    def button(self, name, exact=True):
        return self.page.get_by_role("button", name=name, exact=exact)

    def press(self, name, exact=True):
        self.button(name, exact).first.click()

    def take_kit(self):
        self.press("Take it along", exact=False)
        self.button("Start haul 1").wait_for()

    def start(self):
        """Start, land and note a haul; how the net is set is asked before the first one."""
        self.page.get_by_role("button", name="Start haul").first.click()
        straight = self.page.get_by_role("radio", name="Two poles walked")
        landed = self.button("Landed")
        straight.or_(landed).first.wait_for()
        if straight.is_visible():
            straight.click()
            self.press("Net is in the water")
        landed.click()
        self.page.get_by_role("radio", name="good").click()
        self.page.get_by_label("Width between the wing ends, m").fill("6.2")
        self.page.get_by_label("Distance hauled, m").fill("20")
        self.press("Note the landing")
        self.button("End haul").wait_for()

    def end(self, number):
        self.press("End haul")
        self.press(f"End haul {number}")
        self.page.get_by_role("button", name="Start haul").first.wait_for()

    def call(self, text):
        """Type a call and press Enter; back when the page has taken it in."""
        line = self.page.get_by_label("A call", exact=True)
        line.fill(text)
        line.press("Enter")
        self.settle()

    def tap(self, name, times=1):
        tile = self.page.locator(".tile").filter(has_text=name).first
        for _ in range(times):
            tile.click()

    def settle(self):
        """Wait until everything that was pressed is in the book."""
        self.until("window.haulbook.settled()")

    def until(self, expression):
        """Wait for something to be true; the page's own policy lets nobody evaluate text in it."""
        self.page.evaluate(
            f"async () => {{ while (!({expression})) await new Promise((go) => setTimeout(go, 10)); }}"
        )

    def fill_up(self):
        """Let the phone's storage be full from now on."""
        self.page.evaluate(FULL)

    def free(self):
        """There is room again."""
        self.page.evaluate(FREED)

    def entries(self):
        """Every entry on the phone, as Python reads it: shape and hash are checked."""
        found = self.page.evaluate("() => window.haulbook.store.entries()")
        return [entry_from_json(one) for one in found]

    def book(self):
        return Book.of(self.entries())


@pytest.fixture
def beach(chromium, station):
    """Open the page as a phone does. `beach(scheme="dark", width=320, text=200, worker=True)`."""
    contexts = []

    def open_page(
        *,
        width=390,
        height=844,
        text=100,
        scheme="light",
        look=None,
        worker=False,
        now=MORNING,
        code=None,
        go=True,
        ready=True,
    ):
        context = chromium.new_context(
            viewport={"width": width, "height": height},
            color_scheme=scheme,
            timezone_id="America/New_York",
            has_touch=True,
            reduced_motion="reduce",
            service_workers="allow" if worker else "block",
        )
        contexts.append(context)
        page = context.new_page()
        page.set_default_timeout(20_000)
        page.faults = []
        page.on("pageerror", lambda error: page.faults.append(str(error)))
        page.clock.install(time=now)
        station.now = lambda: now + timedelta(seconds=1)
        if look:
            page.add_init_script(f"localStorage.setItem('haulbook look', '{look}')")
        if text != 100:
            page.add_init_script(
                f"addEventListener('DOMContentLoaded', () => document.documentElement.style.fontSize = '{text}%')"
            )
        here = Beach(page, station)
        if go:
            page.goto(f"{station.url}#enrol={_station.CODE if code is None else code}")
            here.until("window.haulbook?.opened")
        if go and ready:
            here.take_kit()
        return here

    yield open_page
    faults = [fault for context in contexts for page in context.pages for fault in page.faults]
    for context in contexts:
        context.close()
    assert not faults, faults
