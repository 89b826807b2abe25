"""The shore page's modules in a real browser, over a plain server of its folder; and a station to sync with."""

from __future__ import annotations

import json
import threading
from datetime import UTC, datetime, timedelta
from functools import partial
from http.server import BaseHTTPRequestHandler, SimpleHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from typing import Any, ClassVar
from urllib.parse import parse_qs, urlsplit

import pytest

from haulbook.problems import Problem, Refusal
from haulbook.shore.sync import UnknownCursor, read_request, respond

PAGE = Path(str(files("haulbook.shore") / "page"))
TOKENS = Path(str(files("haulbook.publish") / "templates" / "tokens.css"))
TYPES = {".js": "text/javascript", ".css": "text/css", ".html": "text/html", ".svg": "image/svg+xml"}


class _Folder(SimpleHTTPRequestHandler):
    extensions_map: ClassVar = {**SimpleHTTPRequestHandler.extensions_map, ".js": "text/javascript"}

    def translate_path(self, path: str) -> str:
        if path.partition("?")[0].endswith("/tokens.css"):
            return str(TOKENS)
        if path.partition("?")[0] == "/blank":
            return str(PAGE / "no-such-file")
        return super().translate_path(path)

    def send_error(self, code: int, message: str | None = None, explain: str | None = None) -> None:
        """Answer /blank, a page with nothing on it, and say plainly what is not there."""
        if self.path == "/blank":
            self.send_response(200)
            self.send_header("Content-Type", "text/html")
            self.end_headers()
            self.wfile.write(b"<!doctype html><html lang=en><title>blank</title>")
        else:
            super().send_error(code, message, explain)

    def log_message(self, *_: Any) -> None:
        pass


class Station:
    """A station in memory that serves the page and syncs, and can fail in every way a station can.

    ``fails`` holds what the next requests to sync meet, first to last: ``"dies"`` (nothing stored, the connection
    drops), ``"stores and dies"``, a status such as 503, or other text for an answer that is not its own. ``stop`` and
    ``start`` take it away and bring it back at the same address.
    """

    def __init__(self) -> None:
        self.tokens = {"token-1": "d1", "token-2": "d2"}
        self.held, self.requests, self.fails, self.kits = [], [], [], {}
        self.book, self.kit_digest, self.clock_ahead = "b1", None, timedelta()
        self._lock = threading.Lock()
        self._port, self._server = 0, None
        self.start()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self._port}/shore"

    def start(self) -> None:
        self._server = _Quiet(("127.0.0.1", self._port), partial(_Station, self))
        self._port = self._server.server_port
        threading.Thread(
            target=self._server.serve_forever, kwargs={"poll_interval": 0.02}, daemon=True
        ).start()

    def stop(self) -> None:
        if self._server:
            self._server.shutdown()
            self._server.server_close()
        self._server = None

    def enrolment(self, device: str) -> dict[str, str]:
        token = next(token for token, key in self.tokens.items() if key == device)
        return {"device": device, "token": token, "person": "p3"}

    def sync(self, device: str, text: bytes) -> tuple[int, Any]:
        now = datetime.now(UTC) + self.clock_ahead
        with self._lock:
            try:
                request = read_request(text)
                self.requests.append(request)
                new, answer = respond(
                    request, device, self.held, book=self.book, server_time=now, kit_digest=self.kit_digest
                )
            except Refusal as refusal:
                return 409 if isinstance(refusal, UnknownCursor) else 400, _problems(*refusal.problems)
            self.held += new
            return 200, answer.model_dump(mode="json")

    @property
    def lines(self) -> list[str]:
        """What was called, as far as the station holds it, by the devices' own numbers."""
        held = sorted(self.held, key=lambda entry: (entry.device, entry.seq))
        return [entry.body["text"] for entry in held if "text" in entry.body]


def _problems(*problems: Problem) -> dict[str, Any]:
    return {"problems": [problem.as_json() for problem in problems]}


class _Station(BaseHTTPRequestHandler):
    def __init__(self, station: Station, *rest: Any) -> None:
        self.station = station
        super().__init__(*rest)

    def do_GET(self) -> None:
        address = urlsplit(self.path)
        name = address.path.removeprefix("/shore/")
        if name == "kit":
            self._kit(parse_qs(address.query).get("outing", [next(iter(self.station.kits), "")])[0])
        elif name == "blank":
            self._answer(200, BLANK, "text/html")
        else:
            path = TOKENS if name == "tokens.css" else PAGE / (name or "index.html")
            found = path.read_bytes() if path.is_file() else b""
            self._answer(200 if found else 404, found, TYPES.get(path.suffix, "application/octet-stream"))

    def do_POST(self) -> None:
        text = self.rfile.read(int(self.headers["Content-Length"]))
        if self.path == "/shore/enrol":
            self._enrol(json.loads(text)["code"])
            return
        device = self.station.tokens.get(self.headers.get("Authorization", "").removeprefix("Bearer "))
        fails = self.station.fails.pop(0) if self.station.fails else None
        if fails == "stores and dies":
            self.station.sync(device, text)
        elif isinstance(fails, int):
            self._json(fails, _problems(Problem("refused", f"it is {fails} here")))
        elif fails and fails != "dies":
            self._answer(200, fails.encode(), "text/html")
        elif not fails and device is None:
            self._json(401, _problems(Problem("refused", "this device is not enrolled here")))
        elif not fails:
            self._json(*self.station.sync(device, text))

    def _kit(self, outing: str) -> None:
        kit = self.station.kits.get(outing)
        self._json(
            *(
                (200, kit)
                if kit
                else (404, _problems(Problem("refused", f"no kit was made for {outing} yet")))
            )
        )

    def _enrol(self, code: str) -> None:
        known = code in self.station.tokens.values()
        answer = (
            self.station.enrolment(code) if known else _problems(Problem("refused", "there is no such code"))
        )
        self._json(200 if known else 400, answer)

    def _json(self, status: int, value: Any) -> None:
        self._answer(status, json.dumps(value).encode(), "application/json")

    def _answer(self, status: int, content: bytes, kind: str) -> None:
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Length", str(len(content)))
        self.send_header("Cache-Control", "no-store")
        self.send_header("Content-Security-Policy", "default-src 'self'; img-src 'self' data: blob:")
        self.end_headers()
        self.wfile.write(content)

    def log_message(self, *_: Any) -> None:
        pass


class _Quiet(ThreadingHTTPServer):
    daemon_threads = True

    def handle_error(self, *_: Any) -> None:
        """Browsers that are killed drop their connections: that is what the tests are about."""


class Phone:
    """One browser tab with the page's book open as ``store``; what is evaluated sees it, ``sync`` and ``book``."""

    def __init__(self, page: Any, station: Station) -> None:
        self.page, self.station = page, station
        self.open()

    def open(self) -> None:
        self.page.goto(f"{self.station.url}/blank")
        self.begin()

    def begin(self) -> None:
        """Open the book, as the page does when it starts."""
        self.page.evaluate(BEGIN)

    def run(self, expression: str, data: Any = None) -> Any:
        late = "new Promise((_, no) => setTimeout(() => no(new Error('no answer in 20 s')), 20000))"
        return self.page.evaluate(f"data => Promise.race([{late}, (async () => ({expression}))()])", data)

    def do(self, statements: str) -> None:
        """Run statements and wait for nothing."""
        self.page.evaluate(f"() => {{ {statements} }}")

    def until(self, condition: str) -> None:
        """Wait until a condition holds in the page."""
        self.run(
            f"(async () => {{ while (!({condition})) await new Promise(later => setTimeout(later, 20)); }})()"
        )

    def enrol(self, device: str = "d1") -> None:
        self.run("store.enrol(data)", self.station.enrolment(device))
        self.run("store.use({outing: '2027-05-14-a'})")

    def call(self, *texts: str) -> list[dict[str, Any]]:
        """Write a line as it was called, of one animal each."""
        return self.run("store.append(data.map(call))", texts)

    def sync(self) -> dict[str, Any]:
        """One contact with the station, and the state after it."""
        return self.run("syncOnce()")

    @property
    def lines(self) -> list[str]:
        """What was called, as far as this phone knows."""
        return self.run("store.entries().then(all => all.map(entry => entry.body.text).filter(text => text))")


BLANK = b"<!doctype html><html lang=en><title>blank</title>"
BEGIN = """async () => {
  window.book = await import('./book/store.js');
  window.syncing = await import('./book/sync.js');
  window.store = await book.openStore();
  window.call = text => ({kind: 'move', body: {text, lines: [
    {taxon: 'cunner', n: 1, from: 'sea', to: 'bucket 1', haul: '2027-05-14-a/1'}]}});
  window.syncOnce = async () => {
    const sync = syncing.startSync(store, {everyMs: 1e9});
    const state = await sync.now();
    sync.stop();
    return state;
  };
}"""


@pytest.fixture
def begin():
    """What opens the page's book as ``store``, for a browser that ``phones`` does not drive."""
    return BEGIN


@pytest.fixture
def station():
    """A station in memory: see ``Station``."""
    found = Station()
    yield found
    found.stop()


@pytest.fixture
def phones(chromium, station):
    """Make phones, each with storage of its own, or further tabs of one: ``phones("d1")``, ``phones(tab_of=phone)``."""
    contexts = []

    def make(device: str | None = "d1", tab_of: Phone | None = None) -> Phone:
        if tab_of:
            return Phone(tab_of.page.context.new_page(), station)
        contexts.append(chromium.new_context())
        phone = Phone(contexts[-1].new_page(), station)
        if device:
            phone.enrol(device)
        return phone

    yield make
    for context in contexts:
        context.close()


@pytest.fixture
def phone(phones):
    """One phone, enrolled as d1."""
    return phones("d1")


@pytest.fixture(scope="session")
def page_url():
    """Address of a plain server over the page's folder."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Folder, directory=str(PAGE)))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


@pytest.fixture(scope="session")
def _blank(chromium, page_url):
    page = chromium.new_page()
    page.goto(f"{page_url}/blank")
    yield page
    page.close()


@pytest.fixture
def js(_blank, page_url):
    """Evaluate an expression with a module of the page as ``m`` and JSON data as ``data``.

    ``js("book/sha256.js", "m.sha256hex(data)", "abc")``; a promise is waited for.
    """

    def evaluate(module: str, expression: str, data: Any = None) -> Any:
        script = (
            f"async data => {{ const m = await import('{page_url}/{module}'); return await ({expression}); }}"
        )
        return _blank.evaluate(script, data)

    return evaluate
