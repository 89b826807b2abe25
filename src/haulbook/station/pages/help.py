"""Help: the project's own pages, the tutorial first, readable without leaving the station."""

from __future__ import annotations

import posixpath
import re
from dataclasses import dataclass
from functools import cache
from importlib.resources import files
from itertools import pairwise
from pathlib import Path

from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.urls import reverse
from django.utils.translation import gettext as _
from markdown_it import MarkdownIt
from markupsafe import Markup

from haulbook.station.people.roles import ANYONE
from haulbook.station.web.route import route

KINDS = ("tutorial", "how-to", "reference", "explanation")


@dataclass(frozen=True, slots=True)
class Page:
    """One page of the documentation. ``path`` as ``how-to/plan-an-outing``."""

    path: str
    title: str
    kind: str


def _folder() -> Path | None:
    """Return where the documentation lies: beside the code when installed, else in the checkout."""
    packaged = Path(str(files("haulbook") / "docs"))
    checkout = Path(str(files("haulbook"))).parents[1] / "docs"
    return next((folder for folder in (packaged, checkout) if (folder / "tutorial").is_dir()), None)


@cache
def _pages() -> dict[str, Page]:
    folder = _folder()
    if folder is None:
        return {}
    found = {}
    for kind in KINDS:
        for file in sorted((folder / kind).glob("*.md")):
            title = file.read_text(encoding="utf-8").partition("\n")[0].removeprefix("# ").replace("`", "")
            path = f"{kind}/{file.stem}"
            found[path] = Page(path, title, kind)
    return found


@cache
def _html(path: str) -> Markup:
    folder = _folder()
    assert folder is not None  # noqa: S101 - only pages that were found are asked for
    text = (folder / f"{path}.md").read_text(encoding="utf-8").partition("\n")[2]
    reader = MarkdownIt("commonmark", {"html": False}).enable("table")
    tokens = reader.parse(text)
    for token, after in pairwise(tokens):
        if token.type == "heading_open":
            token.attrSet("id", _mark(after.content))
    for token in tokens:
        for child in token.children or ():
            if child.type == "link_open":
                child.attrSet("href", _linked(str(child.attrGet("href") or ""), path))
            if child.type == "image":
                child.type, child.tag, child.content = "text", "", child.content
    return Markup(reader.renderer.render(tokens, reader.options, {}))  # noqa: S704 - our own pages, html off


def _mark(heading: str) -> str:
    """Return the mark of a heading as links in the pages write it: small letters, hyphens for blanks."""
    return re.sub(r"[^\w\- ]", "", heading.lower()).strip().replace(" ", "-")


def _linked(href: str, here: str) -> str:
    """Return a link between pages as an address of the station; others stay."""
    target, _hash, mark = href.partition("#")
    if ":" in target or not target.endswith(".md"):
        return href
    path = posixpath.normpath(posixpath.join(posixpath.dirname(here), target.removesuffix(".md")))
    if path not in _pages():
        return reverse("help")
    return reverse("help-page", kwargs={"path": path}) + (f"#{mark}" if mark else "")


def contents(request: HttpRequest) -> HttpResponse:
    """List every page by kind."""
    groups = [(kind, [page for page in _pages().values() if page.kind == kind]) for kind in KINDS]
    return render(request, "help/contents.html", {"here": "help", "groups": groups})


def page(request: HttpRequest, path: str) -> HttpResponse:
    """Show one page."""
    found = _pages().get(path)
    if found is None:
        raise Http404(_("There is no page of help under this address."))
    return render(request, "help/page.html", {"here": "help", "page": found, "html": _html(path)})


ROUTES = [
    route("help/", contents, "help", get=ANYONE),
    route("help/<path:path>/", page, "help-page", get=ANYONE),
]
