"""Another language: every fixed word of every page changes, dates and numbers follow it, and nothing else does.

The language is made here: German, whose formats Django knows (9.555,5 and 14. Mai 2027), with every text of the station
between ⟦ and ⟧ in place of a translation.
"""

from __future__ import annotations

import gettext
import html
import importlib.util
import io
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest
from django.conf import settings as now
from django.test import override_settings
from django.urls import get_resolver, reverse
from django.utils import formats, translation

from haulbook.station.models import EntryRow
from haulbook.station.store import plans
from haulbook.station.web import display

pytestmark = pytest.mark.django_db

ROOT = Path(__file__).resolve().parents[2]
_SPEC = importlib.util.spec_from_file_location("make_messages", ROOT / "tools/make_messages.py")
make_messages = importlib.util.module_from_spec(_SPEC)
_SPEC.loader.exec_module(make_messages)
TEXTS = make_messages.messages()
IN_DATE_FORMAT = {"D j M": "D j.n.", "j M, H:i": "j.n., H:i"}
WORDS = {
    "outing": "2026-09-11-a",
    "path": "tutorial/first-season",
    "what": "net",
    "tank": "q1",
    "no": "SC-24-031",
    "haul": 1,
    "number": 1,
}
WORDS_OF = {
    "thing": {"key": "n1"},
    "outing-add-one": {"what": "remark"},
    "transcribe-outing": {"outing": "2026-09-11-a"},
}
ASKED = {
    "search": "?q=cunner",
    "bed": "?taxon=cunner",
    "permit-clause": "?id=2a",
    "new-clause": "?kind=percent",
}
NO_PAGE = {
    "home", "set-up-needed", "enter", "open", "shore", "shore-file", "settle-sheet", "typing", "lot-story", "tank-line",
    "bed-table", "openapi", "permit-file", "plan-calendar", "plan-print", "tally-sheet", "tally-sheets", "tokens",
    "outing-account",
}  # fmt: skip
"""What leads on, is taken away as a file, is about something that nobody made here, or is a page of the phone."""
PLAN = {
    "outing": "2027-02-19-a", "site": "sallowhorn-cove", "date": "2027-02-19", "hauls": 2, "permits": ["SC-24-031"],
    "nets": ["n1"], "crew": ["p1"], "people_present": 4,
    "buckets": [{"place": "bucket 1", "purpose": "keep", "litres": 14}],
}  # fmt: skip
PAGES = sorted(
    one.name
    for one in get_resolver().url_patterns
    if "GET" in one.callback.access
    and one.callback.access["GET"] != "device"
    and one.name not in NO_PAGE
    and not set(one.pattern.converters) & {"pk", "digest", "sha256", "form", "code"}
)
ENGLISH = {"help", "help-page"}
"""Pages whose own text is the documentation, which is written in English."""
DATA = {"lead", "recorder", "keeper", "viewer"}
"""What the book itself calls people: roles."""
DATA_OF = {"permit": {"fish"}, "report": {"Latitude", "Longitude"}}
"""On some pages: a permit's own word for what it counts, an agency's own headings."""
FIXED = {
    message.text
    for message, places in TEXTS.items()
    if not all("patterns" in place for place in places)  # the sample page plays with words of a book
} - DATA


def in_brackets(message):
    if message.context == "date format":
        return [IN_DATE_FORMAT.get(message.text, message.text)]
    return [f"⟦{words}⟧" for words in (message.text, message.plural) if words]


@pytest.fixture(scope="module")
def brackets(tmp_path_factory):
    """A folder of translations."""
    folder = tmp_path_factory.mktemp("locale")
    where = folder / "de/LC_MESSAGES"
    where.mkdir(parents=True)
    translated = {message: in_brackets(message) for message in TEXTS}
    translated[make_messages.Message("")] = [make_messages.HEADER]
    (where / "django.mo").write_bytes(make_messages.compiled(translated))
    return folder


@pytest.fixture
def in_german(brackets):
    languages = [("en", "English"), ("de", "Deutsch")]
    with override_settings(LANGUAGES=languages, LOCALE_PATHS=[*now.LOCALE_PATHS, str(brackets)]):
        formats.reset_format_cache()
        yield
    formats.reset_format_cache()
    translation.activate("en")


class Shown(HTMLParser):
    """What a page says: texts, and attributes that are spoken. Words that somebody else wrote are left out."""

    def __init__(self, page):
        super().__init__()
        self.said, self.inside = [], []
        self.feed(page)

    def handle_starttag(self, tag, attrs):
        if tag not in ("meta", "link", "input", "br", "img", "path", "rect", "circle", "line"):
            self.inside.append(tag)
        self.said += [
            value for name, value in attrs if name in ("aria-label", "title", "placeholder", "alt") and value
        ]

    def handle_endtag(self, tag):
        if tag in self.inside:
            while self.inside.pop() != tag:
                pass

    def handle_data(self, words):
        if not {"script", "style", "code", "pre", "blockquote", "option"} & set(self.inside):
            self.said.append(words)


def address_of(name):
    pattern = next(one for one in get_resolver().url_patterns if one.name == name)
    words = {**WORDS, **WORDS_OF.get(name, {})}
    if name == "outing-entry":
        words["key"] = EntryRow.objects.filter(outing=words["outing"], kind="move").first().entry
    if name in ("plan-outing", "change-plan"):
        plans.keep(PLAN, "p1")
        words["outing"] = PLAN["outing"]
    needed = pattern.pattern.converters
    if not set(needed) <= set(words):
        pytest.skip(f"{name} is about something that nobody made here")
    return reverse(name, kwargs={key: words[key] for key in needed} or None) + ASKED.get(name, "")


@pytest.mark.parametrize("name", PAGES)
def test_every_fixed_word_of_a_page_is_in_the_language_asked_for(name, lead, in_german):
    answer = lead.get(address_of(name), headers={"accept-language": "de"})
    if answer.status_code != 200 or not answer["Content-Type"].startswith("text/html"):
        pytest.skip(f"{name} shows no page here")
    page = answer.content.decode()
    assert '<html lang="de"' in page
    assert "⟦Season⟧" in page or "⟦Sign in⟧" in page
    shown = page.partition("<main")[0] if name in ENGLISH else page
    left = {words.strip() for words in Shown(shown).said} & FIXED - DATA_OF.get(name, set())
    assert not left, ", ".join(sorted(left))
    assert "%(" not in html.unescape(page)


def test_dates_and_numbers_follow_the_language(lead, in_german):
    german = display.Display(language="de", zone="America/New_York")
    assert display.day("2027-05-14", german) == "14. Mai 2027"
    assert display.moment("2027-05-14T05:42:00-04:00", german) == "14.5., 05:42"
    assert display.number(12345.5, german, 1) == "12.345,5"
    assert display.number(0.25, german) == "0,25"
    assert display.number(12345.5, display.Display(), 1) == "12\u202f345.5"
    page = lead.get("/search/?q=cunner", headers={"accept-language": "de"}).content.decode()
    assert "11. September 2026" in page


def test_a_language_that_the_station_does_not_have_is_answered_in_english(lead):
    page = lead.get("/season/", headers={"accept-language": "xx, de;q=0.5"}).content.decode()
    assert '<html lang="en"' in page
    assert "⟦" not in page


def test_what_stands_at_a_field_is_said_in_the_station_words(client, lead):
    assert "Fill this in." in html.unescape(
        client.post("/sign-in/", {"login": "", "password": ""}).content.decode()
    )
    said = lead.post("/station/add/net/", {"key": "n7", "length_m": "long", "mesh_as": "sideways"})
    page = html.unescape(said.content.decode())
    assert "Write a number." in page
    assert "sideways is not among the choices; choose one of them." in page
    assert not re.search(r"\b(?:valid|invalid|required)\b", re.sub(r"<[^>]*>", " ", page))


def test_the_compiled_words_are_those_of_the_list_beside_them():
    """Read back by the standard library, which follows the same description of the form."""
    for path in (ROOT / "src/haulbook/station/locale").glob("*/LC_MESSAGES/django.po"):
        wanted = make_messages.translations_of(path.read_text(encoding="utf-8"))
        held = path.with_suffix(".mo").read_bytes()
        assert held == make_messages.compiled(wanted), f"{path} was changed: make messages"
        read = gettext.GNUTranslations(io.BytesIO(held))
        for message, said in wanted.items():
            if message.text and not message.plural:
                assert read.gettext(message.text) == said[0]
            elif message.plural:
                assert [read.ngettext(message.text, message.plural, n) for n in (1, 2)] == said


def test_a_list_for_translators_comes_back_as_it_was_written():
    odd = make_messages.Message('a "quoted" line\nand one more \\ with\ta tab, 5 %', "", "where")
    text = make_messages.template_of({odd: ["x.html:1"]}).replace('msgstr ""\n', 'msgstr "said"\n')
    assert make_messages.translations_of(text)[odd] == ["said"]
