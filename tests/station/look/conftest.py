"""Templates rendered without a database, and a small server that shows them under the station's own policy."""

from __future__ import annotations

import threading
from functools import partial
from http.server import BaseHTTPRequestHandler, ThreadingHTTPServer
from importlib.resources import files
from pathlib import Path
from types import SimpleNamespace

import pytest
from jinja2 import FileSystemLoader
from markupsafe import Markup

from haulbook.station.web import jinja
from haulbook.station.web.display import Display
from haulbook.station.web.security import POLICY

HERE = Path(str(files("haulbook.station")))
TOKENS = Path(str(files("haulbook.publish"))) / "templates/tokens.css"
KINDS = {".css": "text/css", ".js": "text/javascript", ".svg": "image/svg+xml"}


def context_of(*, theme="", signed_in=True, **more):
    """What the station gives every page; everything in it is invented."""
    person = SimpleNamespace(key="p1", name="", role="lead", access="lead", display="lead p1")
    return {
        "me": person if signed_in else None,
        "station": SimpleNamespace(name="Lanyard Cove Shore Station", zone="America/New_York", public=False),
        "theme": theme,
        "received": "2027-05-21T21:04:10-04:00",
        "here": "",
        "display": Display(zone="America/New_York"),
        "messages": [],
        "csrf_input": Markup('<input type="hidden" name="csrfmiddlewaretoken" value="invented">'),
        "request": SimpleNamespace(path="/page/", method="GET", GET={}, get_full_path=lambda: "/page/"),
        **more,
    }


def _environment():
    made = jinja.environment(loader=FileSystemLoader(HERE / "templates"))
    made.globals.update(asset=lambda name: f"/static/{name}", url=lambda name, **_: f"/{name}/")
    return made


@pytest.fixture(scope="session")
def render():
    """Render a template as the station does: ``render(name, theme="dawn", signed_in=False, **values)``."""
    environment = _environment()
    return lambda name, **values: environment.get_template(name).render(context_of(**values))


@pytest.fixture(scope="session")
def written():
    """Render a piece of template; the macros of ``parts/`` stand under marks, page, tables, forms and drawn."""
    parts = ("marks", "page", "tables", "forms", "drawn")
    imports = "".join(f'{{% import "parts/{name}.html" as {name} with context %}}' for name in parts)
    environment = _environment()

    def piece(source, **values):
        return environment.from_string(imports + source).render(context_of(**values))

    return piece


class _Shown(BaseHTTPRequestHandler):
    def __init__(self, pages, *words):
        self.pages = pages
        super().__init__(*words)

    def do_GET(self):
        path = self.path.partition("?")[0]
        if path in self.pages:
            return self._send(self.pages[path].encode(), "text/html; charset=utf-8")
        file = TOKENS if path.endswith("/tokens.css") else HERE / "static" / Path(path).name
        if path.startswith("/static/") and file.is_file():
            return self._send(file.read_bytes(), KINDS[file.suffix])
        return self._send(b"", "text/plain", 404)

    def _send(self, body, kind, status=200):
        self.send_response(status)
        self.send_header("Content-Type", kind)
        self.send_header("Content-Security-Policy", POLICY)
        self.send_header("Content-Length", str(len(body)))
        self.end_headers()
        self.wfile.write(body)

    def log_message(self, *_):
        pass


@pytest.fixture(scope="session")
def pages():
    """Pages that the server shows, by path."""
    return {}


@pytest.fixture(scope="session")
def shown_at(pages):
    """Address of the server."""
    server = ThreadingHTTPServer(("127.0.0.1", 0), partial(_Shown, pages))
    threading.Thread(target=server.serve_forever, daemon=True).start()
    yield f"http://127.0.0.1:{server.server_port}"
    server.shutdown()
    server.server_close()


def larger(page, text_percent):
    """Set the size of text as a reader does."""
    page.evaluate("size => document.documentElement.style.setProperty('font-size', size)", f"{text_percent}%")


@pytest.fixture
def resize():
    """Give a page another width and size of text: ``resize(page, 320, 200)``."""

    def change(page, width, text_percent=100):
        page.set_viewport_size({"width": width, "height": 900})
        larger(page, text_percent)

    return change


@pytest.fixture
def show(chromium, shown_at, pages):
    """Show HTML in a browser: ``show(html, width=320, media="print", ...)``."""
    opened = []

    def show(html, width=1280, text_percent=100, media="screen", **context):
        where = chromium.new_context(viewport={"width": width, "height": 900}, **context)
        opened.append(where)
        page = where.new_page()
        page.set_default_timeout(5000)
        page.problems = []
        page.on("console", lambda said: page.problems.append(said.text))
        page.on("pageerror", lambda error: page.problems.append(str(error)))
        page.emulate_media(media=media)
        pages["/page/"] = html
        page.goto(f"{shown_at}/page/")
        larger(page, text_percent)
        return page

    yield show
    for where in opened:
        where.close()
