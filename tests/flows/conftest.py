"""A station that a process of its own serves, the way to it, a lead at the desk and phones on the beach."""

from __future__ import annotations

import os
import re
import signal
import socket
import subprocess
import sys
import threading
from collections import Counter
from contextlib import suppress
from datetime import datetime
from pathlib import Path
from zoneinfo import ZoneInfo

import pytest

from haulbook.custody.book import Book
from haulbook.custody.entry import entry_from_json
from haulbook.custody.ledger import account_of
from haulbook.exchange.bookfile import read_book

ZONE = ZoneInfo("America/New_York")
NOW = datetime(2026, 10, 20, 9, 0, tzinfo=ZONE)  # the invented permit holds then
HAULBOOK = [sys.executable, "-m", "haulbook"]


class Station:
    """A served station with the invented season, that can be killed and started again. Its clock stands still."""

    def __init__(self, folder: Path) -> None:
        self.folder = folder
        self.environment = {**os.environ, "HAULBOOK_NOW": NOW.isoformat()}
        self.environment.pop(
            "HAULBOOK_DATABASE_URL", None
        )  # what happens to a process is the same with each database
        self.process, self.url, self.link = None, "", ""
        self.start("--demo")

    def start(self, *words: str) -> None:
        with (self.folder.parent / "station.log").open("a") as log:
            self.process = subprocess.Popen(
                [*HAULBOOK, "serve", "--station", str(self.folder), "--port", "0", *words],
                stdout=subprocess.PIPE, stderr=log, text=True, env=self.environment, start_new_session=True,
            )  # fmt: skip
        for line in self.process.stdout:
            if found := re.search(r"http\S+", line):
                self.link = found[0]
            if line.startswith("Stop it"):
                break
        assert self.link, (self.folder.parent / "station.log").read_text()
        self.url = re.match(r"https?://[^/]+", self.link)[0]

    @property
    def port(self) -> int:
        return int(self.url.rpartition(":")[2])

    def kill(self) -> None:
        """End every process of it at once, without a word."""
        with suppress(ProcessLookupError):
            os.killpg(self.process.pid, signal.SIGKILL)
        self.process.wait(20)
        self.process.stdout.close()

    def book(self) -> Book:
        """The book as the station exports it to a file."""
        where = self.folder.parent / f"export-{len(list(self.folder.parent.glob('export-*')))}"
        subprocess.run(
            [*HAULBOOK, "station", "export", str(where), "--station", str(self.folder)],
            check=True, capture_output=True, env=self.environment, timeout=120,
        )  # fmt: skip
        return read_book(where / "book.jsonl")


class Wire:
    """The way from a phone to the station: it can break, and break after the station has heard.

    ``lose`` holds what happens at the next requests to sync: ``"asked"`` calls ``at_loss`` before the station hears
    anything; ``"answered"`` when it has answered; nothing of it reaches the phone either way.
    """

    def __init__(self, station: Station) -> None:
        self.station, self.up, self.lose, self.at_loss = station, True, [], lambda: None
        self.listener = socket.create_server(("127.0.0.1", 0))
        self.url = f"http://127.0.0.1:{self.listener.getsockname()[1]}"
        threading.Thread(target=self._listen, daemon=True).start()

    def close(self) -> None:
        self.up = False
        self.listener.shutdown(socket.SHUT_RDWR)
        self.listener.close()

    def _listen(self) -> None:
        with suppress(OSError):
            while True:
                phone, _ = self.listener.accept()
                threading.Thread(target=self._carry, args=(phone,), daemon=True).start()

    def _carry(self, phone: socket.socket) -> None:
        with phone, suppress(OSError), socket.create_connection(("127.0.0.1", self.station.port)) as station:
            unheard = threading.Event()
            threading.Thread(target=self._back, args=(station, phone, unheard), daemon=True).start()
            while self.up and (content := phone.recv(65536)):
                lost = self.lose.pop(0) if self.lose and content.startswith(b"POST /shore/sync") else None
                if lost == "asked":
                    self.at_loss()
                    break
                if lost:
                    unheard.set()
                station.sendall(content)
            _cut(station, phone)

    def _back(self, station: socket.socket, phone: socket.socket, unheard: threading.Event) -> None:
        with suppress(OSError):
            while self.up and (content := station.recv(65536)):
                if unheard.is_set():
                    self.at_loss()
                    break
                phone.sendall(content)
        _cut(station, phone)


def _cut(*ends: socket.socket) -> None:
    for end in ends:
        with suppress(OSError):
            end.shutdown(socket.SHUT_RDWR)


class Desk:
    """The lead in a browser at the station."""

    def __init__(self, page, station: Station) -> None:
        self.page, self.station = page, station
        page.set_default_timeout(15_000)
        page.goto(station.link)
        page.wait_for_url(lambda url: "/enter/" not in url)

    def go(self, path: str) -> None:
        self.page.goto(f"{self.station.url}{path}")

    def press(self, name: str) -> None:
        self.page.get_by_role("button", name=name, exact=True).first.click()

    def plan(self, keeper: str | None = None) -> str:
        """Plan an outing of today with three buckets; its key."""
        self.go("/plan/new/")
        page = self.page
        page.get_by_label("Day needed").fill(NOW.date().isoformat())
        page.get_by_label("Hauls needed").fill("2")
        for name in ("SC-24-031", "n1: 9 m, 6 mm", "p1, lead", "p3, recorder"):
            page.get_by_label(name).check()
        page.get_by_label("People at the beach in all").fill("8")
        for i, purpose in enumerate(("to keep", "to hold", "to let go")):
            page.get_by_label("Bucket or cooler").nth(i).fill(f"bucket {i + 1}")
            page.get_by_label("Purpose").nth(i).select_option(label=purpose)
            page.get_by_label("Water, L").nth(i).fill("14")
        page.get_by_label("Looked for").fill("northern pipefish\ncunner")
        if keeper:
            page.get_by_label("The device that says what may be kept").select_option(keeper)
        self.press("Keep the plan")
        page.wait_for_url(re.compile(r"/plan/2026-10-20-\w/$"))
        return page.url.rstrip("/").rpartition("/")[2]

    def settle(self, outing: str, matter: str, way: str, why: str) -> None:
        """Settle one thing that stands open, one way, and say why."""
        self.go(f"/outing/{outing}/settle/")
        self.page.locator("a.line").filter(has_text=matter).first.click()
        chosen = self.page.locator("section.way").filter(has_text=way)
        chosen.locator("input[name=why]").fill(why)
        chosen.get_by_role("button").click()
        self.page.wait_for_url(re.compile(rf"/outing/{outing}/$"))

    def invite(self, label: str) -> str:
        """A code for one phone, of several people."""
        self.go("/devices/")
        self.page.get_by_label("Which phone").fill(label)
        self.press("Make a code")
        return self.page.locator(".code").inner_text()


FULL = """() => {
  window.room = [IDBObjectStore.prototype.add, IDBObjectStore.prototype.put];
  const full = () => { throw new DOMException('full', 'QuotaExceededError'); };
  IDBObjectStore.prototype.add = IDBObjectStore.prototype.put = full;
}"""
FREED = "() => { [IDBObjectStore.prototype.add, IDBObjectStore.prototype.put] = window.room; }"


class Phone:
    """One phone on the beach: its browser's context, the page, and what a recorder does with it."""

    def __init__(self, context, url: str, now: datetime = NOW) -> None:
        self.context, self.url, self.faults = context, f"{url}/shore/", []
        context.clock.install(time=now)
        self.page = self.tab()

    def tab(self, address: str = "about:blank"):
        """Open one more tab."""
        page = self.context.new_page()
        page.set_default_timeout(15_000)
        page.on("pageerror", lambda error: self.faults.append(str(error)))
        page.goto(address)
        return page

    def open(self, fragment: str = "") -> None:
        self.page.goto(self.url + fragment)
        self.opened()

    def opened(self) -> None:
        self.until("window.haulbook?.opened")

    def reload(self) -> None:
        self.page.reload()
        self.opened()

    def enrol(
        self, code: str, outing: str, person: str = "recorder (p3)", first: str = "Start haul 1"
    ) -> str:
        """Enrol by the code, take the outing's kit along, say who writes; the key of this phone.

        ``first`` is what there is to press then: another phone may have started a haul.
        """
        self.open(f"#enrol={code}")
        self.button(f"{outing}: Take it along").click()
        self.page.get_by_role("radio", name=person).click()
        self.button(first).wait_for()
        self.until("navigator.serviceWorker.controller && caches.keys().then((all) => all.length > 1)")
        return self.page.evaluate("() => window.haulbook.store.device")

    def button(self, name: str, exact: bool = False):
        return self.page.get_by_role("button", name=name, exact=exact)

    def press(self, name: str, exact: bool = False) -> None:
        self.button(name, exact).first.click()

    def start(self) -> None:
        """Start, land and note a haul; how the net is set is asked before the first one."""
        self.press("Start haul")
        straight = self.page.get_by_role("radio", name="Two poles walked")
        straight.or_(self.button("Landed", exact=True)).first.wait_for()
        if straight.is_visible():
            straight.click()
            self.press("Net is in the water")
        self.press("Landed", exact=True)
        self.page.get_by_role("radio", name="good").click()
        self.page.get_by_label("Width between the wing ends, m").fill("6.2")
        self.page.get_by_label("Distance hauled, m").fill("20")
        self.press("Note the landing")
        self.button("End haul").wait_for()

    def end(self, number: int) -> None:
        self.press("End haul")
        self.press(f"End haul {number}")
        self.button("Start haul").first.wait_for()

    def call(self, text: str) -> None:
        """Type a call and press Enter; back when it is in the book, or waits loudly."""
        line = self.page.get_by_label("A call", exact=True)
        line.fill(text)
        line.press("Enter")
        self.settle()

    def tap(self, name: str, times: int = 1) -> None:
        tile = self.page.locator(".tile").filter(has_text=name).first
        for _ in range(times):
            tile.click()

    def count(self, name: str) -> int:
        """What the tile of a name shows."""
        tile = self.page.locator(".tile").filter(has_text=name).first
        return int(tile.locator(".count span").last.inner_text())

    def settle(self) -> None:
        self.until("window.haulbook.settled()")

    def until(self, expression: str) -> None:
        """Wait for something to be true; the page's own policy lets nobody evaluate text in it."""
        self.page.evaluate(
            f"async () => {{ while (!(await ({expression}))) await new Promise((go) => setTimeout(go, 20)); }}"
        )

    def fill_up(self) -> None:
        """Let the phone's storage be full from now on."""
        self.page.evaluate(FULL)

    def free(self) -> None:
        self.page.evaluate(FREED)

    def sync(self) -> dict:
        """One contact with the station, and what the phone knows after it."""
        return self.page.evaluate("() => window.haulbook.sync()")

    def home(self) -> None:
        """Come home: ask until nothing is only on this phone."""
        for _ in range(20):
            if not self.sync()["unsent"]:
                return
        raise AssertionError(f"lines stay on the phone: {self.sync()}")

    def entries(self) -> list:
        """Every entry that the phone knows; shape and hash are checked."""
        return [entry_from_json(one) for one in self.page.evaluate("() => window.haulbook.store.entries()")]


def animals(book: Book, outing: str) -> Counter:
    """Animals of an outing by taxon and place, as the ledger reads the book."""
    found = Counter()
    for lot in account_of(Book.of(one for one in book.entries if one.outing == outing)).animals:
        found[lot.taxon, lot.place] += lot.n
    return found


@pytest.fixture(scope="session")
def reckoned():
    """Animals of an outing by taxon and place, as the ledger reads a book: ``reckoned(book, outing)``."""
    return animals


@pytest.fixture(scope="session")
def now():
    """The instant at which the station's clock stands."""
    return NOW


@pytest.fixture(scope="session")
def station(tmp_path_factory):
    """One served station for all journeys: each plans an outing of its own."""
    one = Station(tmp_path_factory.mktemp("flows") / "station")
    yield one
    one.kill()


@pytest.fixture
def wire(station):
    """The phone's way to the station: see ``Wire``."""
    one = Wire(station)
    yield one
    one.close()


@pytest.fixture
def contexts(chromium):
    """Make browser contexts, each with storage of its own."""
    made = []

    def make():
        made.append(
            chromium.new_context(viewport={"width": 390, "height": 844}, timezone_id="America/New_York")
        )
        return made[-1]

    yield make
    for one in made:
        one.close()


@pytest.fixture(scope="session")
def desk(chromium, station):
    """The lead at the desk, signed in; the link works once."""
    context = chromium.new_context(viewport={"width": 1280, "height": 900})
    yield Desk(context.new_page(), station)
    context.close()


@pytest.fixture
def phone_of(contexts, wire):
    """Make a phone: ``phone_of()``; of a context that the test made itself: ``phone_of(context, now)``."""
    made = []

    def make(context=None, now: datetime = NOW) -> Phone:
        made.append(Phone(context or contexts(), wire.url, now))
        return made[-1]

    yield make
    faults = [fault for phone in made for fault in phone.faults]
    assert not faults, faults
