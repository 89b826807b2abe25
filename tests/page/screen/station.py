"""A small station for the page's own tests: all in memory, invented, one outing, one code.

It serves the page folder with what the station serves beside it, and answers enrol, kits, kit, sync and picture by
`haulbook.shore.sync` and `haulbook.shore.picture`.
"""

from __future__ import annotations

import contextlib
import json
import mimetypes
import threading
from datetime import UTC, datetime
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from typing import Any
from urllib.parse import parse_qs, urlsplit

from haulbook.custody.entry import Entry
from haulbook.problems import Refusal
from haulbook.publish.silhouettes import names, silhouette
from haulbook.shore import Kit, kit_bytes
from haulbook.shore.picture import PictureAnswer, Unnamed, look_at_bytes, look_at_name
from haulbook.shore.shell import PAGE, page_files, shell, sprite
from haulbook.shore.sync import read_request, respond

CODE = "wrack-0417"
TOKEN = "token-of-the-test"
POLICY = (
    "default-src 'none'; script-src 'self'; style-src 'self'; img-src 'self' blob: data:; connect-src 'self'; "
    "manifest-src 'self'; worker-src 'self'; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
)


class Station:
    """The station: its kits, its devices, what came in, and whether it answers."""

    def __init__(self, *kits: Kit, device: str = "d1", person: str = "p3") -> None:
        self.kits = {kit.outing: kit for kit in kits}
        self.device, self.person = device, person
        self.entries: list[Entry] = []
        self.codes = {CODE}
        self.pictures: dict[str, bytes] = {}
        self.away = False
        self.drop_answers = 0
        self.picture_fails: list[int] = []
        self.asked: list[str] = []
        self.now = lambda: datetime.now(UTC)
        self.beside = {
            "tokens.css": files("haulbook.publish").joinpath("templates/tokens.css").read_bytes(),
            "silhouettes.svg": sprite({name: str(silhouette(name)) for name in names()}).encode(),
        }
        self.lock = threading.Lock()
        self.server = ThreadingHTTPServer(("127.0.0.1", 0), _handler(self))
        threading.Thread(target=self.server.serve_forever, daemon=True).start()

    @property
    def url(self) -> str:
        return f"http://127.0.0.1:{self.server.server_port}/shore/"

    def close(self) -> None:
        self.server.shutdown()
        self.server.server_close()

    def static(self, address: str) -> bytes | None:
        if address == "shell.json":
            return json.dumps(shell(self.beside).as_json()).encode()
        held = {**page_files(), **self.beside}
        return held.get("index.html" if address in ("", PAGE) else address)

    def enrol(self, code: str) -> dict[str, Any] | None:
        if code not in self.codes:
            return None
        self.codes.discard(code)
        return {"device": self.device, "token": TOKEN, "person": self.person}

    def listed(self) -> list[dict[str, Any]]:
        return [
            {"outing": key, "site": kit.plan["site"], "made_at": kit.made_at, "digest": kit.digest}
            for key, kit in self.kits.items()
        ]

    def picture(self, digest: str, content: bytes) -> tuple[int, bytes]:
        named = any(e.kind == "picture" and e.body["sha256"] == digest for e in self.entries)
        try:
            look_at_name(digest, named=named)
            look_at_bytes(content, digest)
        except Refusal as refusal:
            problems = {"problems": [problem.as_json() for problem in refusal.problems]}
            return 409 if isinstance(refusal, Unnamed) else 400, json.dumps(problems).encode()
        answer = PictureAnswer(sha256=digest, answer="duplicate" if digest in self.pictures else "stored")
        self.pictures[digest] = content
        return 200, answer.model_dump_json().encode()

    def sync(self, text: bytes) -> bytes:
        request = read_request(text)
        with self.lock:
            new, answer = respond(
                request, self.device, self.entries, book="b", server_time=self.now(), kit_digest=None
            )
            self.entries += new
        return answer.model_dump_json().encode()


def _handler(station: Station) -> type[BaseHTTPRequestHandler]:
    class Handler(BaseHTTPRequestHandler):
        protocol_version = "HTTP/1.1"

        def do_GET(self) -> None:
            where = urlsplit(self.path)
            address = where.path.removeprefix("/shore/")
            if station.away:
                self.close_connection = True
                return
            if address in ("kits", "kit"):
                self.kits(address, parse_qs(where.query))
                return
            content = station.static(address)
            if content is None:
                self.answer(404, b"not here", "text/plain")
            else:
                kind = "text/html" if address in ("", PAGE) else mimetypes.guess_type(address)[0]
                if address.endswith(".webmanifest"):
                    kind = "application/manifest+json"
                self.answer(200, content, kind or "text/plain")

        def kits(self, address: str, query: dict[str, list[str]]) -> None:
            if self.headers.get("Authorization") != f"Bearer {TOKEN}":
                self.answer(401, b"{}")
            elif address == "kits":
                self.answer(200, json.dumps(station.listed()).encode())
            else:
                outing = query.get("outing", [next(iter(station.kits), "")])[0]
                kit = station.kits.get(outing)
                self.answer(200 if kit else 404, kit_bytes(kit) if kit else b"{}")

        def do_POST(self) -> None:
            text = self.rfile.read(int(self.headers["Content-Length"]))
            where = urlsplit(self.path)
            station.asked.append(where.path.removeprefix("/shore/"))
            if station.away:
                self.close_connection = True
            elif self.path.endswith("/enrol"):
                said = station.enrol(json.loads(text)["code"])
                self.answer(200 if said else 404, json.dumps(said or REFUSED).encode())
            elif self.headers.get("Authorization") != f"Bearer {TOKEN}":
                self.answer(401, b"{}")
            elif where.path.endswith("/picture"):
                if station.picture_fails:
                    self.answer(station.picture_fails.pop(0), b"{}")
                else:
                    self.answer(*station.picture(parse_qs(where.query)["sha256"][0], text))
            else:
                said = station.sync(text)
                if station.drop_answers:
                    station.drop_answers -= 1
                    self.close_connection = True
                else:
                    self.answer(200, said)

        def answer(self, status: int, content: bytes, kind: str = "application/json") -> None:
            self.send_response(status)
            self.send_header("Content-Type", kind)
            self.send_header("Content-Length", str(len(content)))
            self.send_header("Content-Security-Policy", POLICY)
            self.send_header("Cache-Control", "no-cache")
            self.end_headers()
            with contextlib.suppress(ConnectionError):  # a page that was closed no longer listens
                self.wfile.write(content)

        def log_message(self, *_: Any) -> None:
            pass

    return Handler


REFUSED = {
    "problems": [{"message": "This code was used, or is too old: make a new one on the page Devices."}]
}
