"""Every fixed text of a template goes through gettext: no bare words in HTML, none handed to a macro."""

from __future__ import annotations

import re
from collections.abc import Iterator
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import pytest
from jinja2 import Environment, FileSystemLoader, nodes

TEMPLATES = Path(str(files("haulbook.station"))) / "templates"
PAGES = sorted(path.relative_to(TEMPLATES).as_posix() for path in TEMPLATES.rglob("*.html"))
TRANSLATES = {"_", "gettext", "ngettext", "pgettext", "npgettext"}
SPOKEN = {"alt", "title", "aria-label", "aria-description", "placeholder", "label"}
NAMES = {"haulbook"}
"""What is the same in every language: the program's own name."""
NOT_SHOWN = {"classes", "id", "name", "value", "width", "weight", "kind", "hidden"}
"""What these keywords of a macro take is never read by anybody."""
_WORD = re.compile(r"[^\W\d_]{2,}")
_ENVIRONMENT = Environment(
    loader=FileSystemLoader(TEMPLATES), extensions=["jinja2.ext.i18n", "jinja2.ext.do"], autoescape=True
)


class _Words(HTMLParser):
    """Collects what people read or hear: text, and attributes that are spoken."""

    def __init__(self) -> None:
        super().__init__()
        self.found: list[str] = []
        self._inside: list[str] = []

    def handle_starttag(self, tag, attrs):
        self._inside.append(tag)
        self.found += [value for name, value in attrs if name in SPOKEN and value]

    def handle_startendtag(self, tag, attrs):
        self.handle_starttag(tag, attrs)
        self._inside.pop()

    def handle_endtag(self, tag):
        if tag in self._inside:
            while self._inside.pop() != tag:
                pass

    def handle_data(self, data):
        if not {"code", "kbd", "script", "style"} & set(self._inside):
            self.found.append(data)


def _html(tree: nodes.Node) -> str:
    """The template's own HTML in order, whatever is put in stands as a figure."""
    return "".join(
        node.data if isinstance(node, nodes.TemplateData) else "0"
        for output in tree.find_all(nodes.Output)
        for node in output.nodes
    )


def _bare(page: str) -> Iterator[str]:
    source, *_ = _ENVIRONMENT.loader.get_source(_ENVIRONMENT, page)
    tree = _ENVIRONMENT.parse(source)
    words = _Words()
    words.feed(_html(tree))
    for text in words.found:
        if _WORD.search(text) and text.strip(" \n0") not in NAMES:
            yield text.strip()
    yield from _constants(tree)


def _constants(node: nodes.Node) -> Iterator[str]:
    """Sentences and capitalised words that are handed on without being translated."""
    if isinstance(node, nodes.Call) and isinstance(node.node, nodes.Name) and node.node.name in TRANSLATES:
        return
    if isinstance(node, nodes.Keyword) and node.key in NOT_SHOWN:
        return
    if isinstance(
        node, (nodes.FromImport, nodes.Import, nodes.Extends, nodes.Include, nodes.Getitem, nodes.Compare)
    ):
        return
    if isinstance(node, nodes.Filter) and node.name in {"several", "moment", "clock", "day", "weekday"}:
        if node.node is not None:
            yield from _constants(node.node) if not isinstance(node.node, nodes.Const) else ()
        return
    if isinstance(node, nodes.Const) and isinstance(node.value, str):
        text = node.value
        sentence = re.search(r"[^\W\d_]{2,} +[^\W\d_]{2,}", text)
        if (
            (sentence or re.match(r"[A-Z][a-z]{2,}", text))
            and "<" not in text
            and "/" not in text
            and text[:1] != "."
        ):
            yield text
        return
    for child in node.iter_child_nodes():
        yield from _constants(child)


@pytest.mark.parametrize("page", PAGES)
def test_every_fixed_text_goes_through_gettext(page):
    assert list(_bare(page)) == []


def test_the_search_for_bare_words_finds_them(tmp_path, monkeypatch):
    (tmp_path / "page.html").write_text(
        '{{ _("Said") }}<p>Not said</p><img alt="A net">{{ badge("near", "not feeding yet") }}{{ title("Season") }}'
        "{% trans %}Said as well{% endtrans %}<code>haulbook serve</code>{{ table(_('x'), C, classes='slim wide') }}",
        encoding="utf-8",
    )
    monkeypatch.setattr(_ENVIRONMENT, "loader", FileSystemLoader(tmp_path))
    assert list(_bare("page.html")) == ["Not said", "A net", "not feeding yet", "Season"]


def test_no_template_carries_a_style_or_a_script_of_its_own():
    for page in PAGES:
        source = (TEMPLATES / page).read_text(encoding="utf-8")
        assert not re.search(r"<style|\sstyle=|\son[a-z]+=|<script(?![^>]*\bsrc=)|javascript:", source), page
