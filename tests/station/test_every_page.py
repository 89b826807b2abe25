"""Every page that the lead may read, in a real browser: whole, readable in any light and size, and without script.

The addresses come from the resolver, so a new page is walked as soon as it has a route.
"""

from __future__ import annotations

import re

import pytest
from django.urls import get_resolver, reverse

pytestmark = pytest.mark.browser

NOW = "2026-09-12T12:00:00-04:00"
OUTING, PERMIT = "2026-09-11-a", "SC-24-031"
MAIN = (
    "season",
    "plan",
    "outings",
    "outing",
    "permits",
    "kept",
    "bed",
    "transcribe",
    "search",
    "help",
    "open",
)
"""Looked at in all three lights; the other pages are made of the same parts."""
FILES = {
    "tokens", "tally-sheet", "tally-sheets", "outing-account", "plan-calendar", "plan-print", "permit-file", "proof",
    "picture", "report-file",
    "report-version-file", "bed-table", "openapi", "shore-file", "tank-cards",
}  # fmt: skip
"""No pages: what is taken away, or opened by something else than a reader."""
ELSEWHERE = {
    "shore": "the phone's page has tests of its own",
    "enter": "a link that works once",
    "set-up": "a code that works once",
    "settle-sheet": "needs two whole typings of a sheet; test_transcribe_in_a_browser walks it",
}
LEADS_ON = {"home", "set-up-needed"}
"""Nothing to read of their own: they lead to another page."""
WORDS = {
    "outing": OUTING,
    "path": "tutorial/first-season",
    "what": "net",
    "tank": "q1",
    "no": PERMIT,
    "haul": 1,
    "number": 1,
}
WORDS_OF = {
    "thing": {"key": "n1"},
    "outing-add-one": {"what": "remark"},
    "help-page": {"path": "reference/commands"},
}
ASKED = {
    "search": "?q=cunner",
    "permit-clause": "?id=2a",
    "bed": "?taxon=cunner",
    "new-clause": "?kind=percent",
    "report": "?first=2025-04-01&last=2026-03-31",
}
PLAN = {
    "site": "sallowhorn-cove", "date": "2026-09-25", "hauls": "3", "permits": PERMIT, "nets": "n1", "crew": "p1",
    "people_present": "6", "looked_for": "cunner", "buckets-TOTAL_FORMS": "1", "buckets-INITIAL_FORMS": "0",
    "buckets-MIN_NUM_FORMS": "0", "buckets-MAX_NUM_FORMS": "24", "buckets-0-place": "bucket 1",
    "buckets-0-purpose": "keep", "buckets-0-litres": "14", "buckets-0-air_per_h": "3",
}  # fmt: skip
SHEET = b"Haul,Date,Site,Set,Species,Count\nA1,2023-06-20,point,1,cunner,4\n"

NAMES = sorted(
    one.name
    for one in get_resolver().url_patterns
    if "GET" in one.callback.access
    and one.callback.access["GET"] != "device"
    and one.name not in FILES | ELSEWHERE.keys() | LEADS_ON
)

# What a page has that widens it beyond its window: how far, and the elements themselves by their text.
TOO_WIDE = """() => document.documentElement.scrollWidth <= innerWidth ? [] :
    [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
    .slice(-3).map(e => `${e.tagName}.${e.className} ${e.textContent.trim().slice(0, 40)}`)"""
UNSEEN_FOCUS = """() => [...document.querySelectorAll('a[href], button, summary, select, textarea, input')]
    .filter(e => e.checkVisibility() && !e.disabled && e.type !== 'hidden')
    .filter(e => { e.focus({preventScroll: true}); const s = getComputedStyle(e);
      return document.activeElement === e && (s.outlineStyle === 'none' || parseFloat(s.outlineWidth) < 2); })
    .slice(0, 3).map(e => `no focus to see on ${e.tagName} ${(e.textContent.trim() || e.name).slice(0, 40)}`)"""
BONES = """() => ({h1: document.querySelectorAll('h1').length, title: document.title,
    lang: document.documentElement.lang,
    heading: (document.querySelector('h1') || {textContent: ''}).textContent.trim()})"""
TEXT = """() => { document.querySelectorAll('main [data-print]').forEach(e => e.remove());
    document.querySelectorAll('main details').forEach(one => one.open = true);
    return document.querySelector('main').innerText; }"""
OF_SCRIPT = "() => [...document.querySelectorAll('main [hidden]')].map(e => e.textContent).join(' ')"
"""What a page keeps for those who have a script: words about keys that only then do something."""


OFF_ITS_LEAF = """() => [...document.querySelectorAll('main table')].map(t => [t, t.closest('.figures, .remarks')])
    .filter(([t]) => !t.closest('[role="region"][tabindex="0"]'))  // an agency's form scrolls by itself
    .filter(([t, leaf]) => leaf && t.checkVisibility() && getComputedStyle(t).position !== 'absolute')
    .filter(([t, leaf]) => t.getBoundingClientRect().right > leaf.getBoundingClientRect().right + 1)
    .map(([t]) => `table beyond its page of the spread: ${t.caption ? t.caption.textContent.trim() : t.className}`)"""


class Walk:
    """One reader with two windows, one of them without script, and what the addresses need."""

    def __init__(self, station, chromium):
        self.url = station.url
        context = chromium.new_context(viewport={"width": 1280, "height": 900}, reduced_motion="reduce")
        self.page = context.new_page()
        self.page.goto(station.link)
        bare = chromium.new_context(java_script_enabled=False, viewport={"width": 1280, "height": 900})
        bare.add_cookies(context.cookies())
        self.bare = bare.new_page()
        self.said = []
        self.page.on(
            "console",
            lambda line: (
                self.said.append(f"console: {line.text}") if line.type in ("error", "warning") else None
            ),
        )
        self.page.on("pageerror", lambda error: self.said.append(f"script: {error}"))
        self.made = self.prepare()

    def prepare(self):
        """Make what some addresses are about: a plan, a typing, sheets handed in, a signed report."""
        planned = self.post("/plan/new/", form=PLAN)
        typing = self.post(f"/transcribe/{OUTING}/1/begin/")
        sheet = {"name": "sheet.csv", "mimeType": "text/csv", "buffer": SHEET}
        handed = self.post("/bring-in/", multipart={"sheets": sheet, "name": "", "zone": ""})
        year = ASKED["report"]
        digest = self.found(f"/report/{PERMIT}/{year}", r'name="digest" value="(\w+)"')
        signed = self.post(f"/reports/sign/{PERMIT}/{year}", form={"digest": digest})
        number = re.search(r"/bring-in/(\d+)/", handed.url)[1]
        plan = planned.url.rstrip("/").rpartition("/")[2]
        self.post("/station/settings/", form={"name": "Invented", "zone": "America/New_York", "public": "on"})
        assert typing.ok, typing.url
        return {
            "plan-outing": {"outing": plan},
            "change-plan": {"outing": plan},
            "transcribe-outing": {"outing": plan},
            "bring-in-columns": {"pk": number},
            "bring-in-questions": {"pk": number},
            "bring-in-check": {"pk": number},
            "lot-story": {
                "query": self.found("/kept/tank/q1/", r'/kept/story/(\?[^"]+)"').replace("&amp;", "&")
            },
            "report-version": {"digest": re.search(r"version/(\w+)", signed.url)[1]},
            "outing-entry": {
                "key": self.found(f"/outing/{OUTING}/calls/", rf"/outing/{OUTING}/entry/([^/]+)/")
            },
            "tank-line": {"key": self.found("/kept/tank/q1/", r"/kept/tank/q1/line/([^/]+)/")},
        }

    def post(self, path, **what):
        """Send a form as the page would."""
        token = next(one["value"] for one in self.page.context.cookies() if one["name"] == "csrftoken")
        kind = "multipart" if "multipart" in what else "form"
        fields = {**what.get(kind, {}), "csrfmiddlewaretoken": token}
        answer = self.page.request.post(self.url + path, **{kind: fields})
        assert answer.ok, f"{path}: {answer.status} {answer.text()[:2000]}"
        return answer

    def found(self, path, pattern):
        return re.search(pattern, self.page.request.get(self.url + path).text())[1]

    def address(self, name):
        pattern = next(one for one in get_resolver().url_patterns if one.name == name)
        words = {**WORDS, **WORDS_OF.get(name, {}), **self.made.get(name, {})}
        query = words.get("query", ASKED.get(name, ""))
        return reverse(name, kwargs={key: words[key] for key in pattern.pattern.converters} or None) + query

    def size(self, width, text_percent=100):
        self.page.set_viewport_size({"width": width, "height": 900})
        self.page.evaluate("size => document.documentElement.style.fontSize = size", f"{text_percent}%")

    def light(self, theme):
        self.page.context.add_cookies([{"name": "theme", "value": theme, "url": self.url}])


@pytest.fixture(scope="module")
def walk(serve, chromium, tmp_path_factory):
    with serve(tmp_path_factory.mktemp("walked") / "station", "--demo", now=NOW) as station:
        walk = Walk(station, chromium)
        yield walk
        walk.page.context.close()
        walk.bare.context.close()


CONTRAST = "color-contrast-enhanced"


def axe_findings(page, only=("wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa")):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
    rules = {CONTRAST: {"enabled": True}, "color-contrast": {"enabled": False}}  # 7 to 1 is 4.5 to 1
    options = {
        "runOnly": list(only),
        "resultTypes": ["violations"],
        **({"rules": rules} if CONTRAST not in only else {}),
    }
    found = axe.Axe().run(page, options=options)
    return [
        f"axe {one['id']}: {one['nodes'][0]['html'][:160]} ({len(one['nodes'])} times)"
        for one in found.response["violations"]
    ]


@pytest.mark.parametrize("name", NAMES)
def test_a_page_is_whole_in_any_light_and_size_and_without_script(name, walk):
    page, address, problems = walk.page, walk.address(name), []
    walk.said.clear()
    walk.light("paper")
    walk.page.set_viewport_size({"width": 1280, "height": 900})
    answer = page.goto(walk.url + address)
    assert answer.status == 200, f"{address}: {answer.status}"
    assert answer.headers["content-type"].startswith("text/html"), f"{address} is no page: say so in FILES"
    bones = page.evaluate(BONES)
    problems += [] if bones["h1"] == 1 else [f"{bones['h1']} headings of the first rank"]
    problems += [] if bones["heading"] else ["an empty heading"]
    problems += (
        []
        if bones["title"] and bones["lang"] == "en"
        else [f"title {bones['title']!r}, language {bones['lang']!r}"]
    )
    problems += axe_findings(page)
    for size in ((320, 100), (1280, 200), (1280, 100)):
        walk.size(*size)
        problems += [f"at {size}: {one}" for one in page.evaluate(TOO_WIDE)]
    problems += page.evaluate(OFF_ITS_LEAF)
    page.keyboard.press("Tab")
    problems += page.evaluate(UNSEEN_FOCUS)
    for theme in ("dawn", "sun") if name in MAIN else ():
        walk.light(theme)
        page.goto(walk.url + address)
        problems += [f"{theme}: {one}" for one in axe_findings(page, (CONTRAST,))]
    problems += walk.said
    problems += without_script(walk, address)
    assert not problems, f"{address}\n" + "\n".join(problems)


def without_script(walk, address):
    """What a reader without script misses: words of the page that only a script writes."""
    walk.bare.goto(walk.url + address)
    there = f"{walk.bare.evaluate(TEXT)} {walk.bare.evaluate(OF_SCRIPT)}".split()
    missing = [word for word in walk.page.evaluate(TEXT).split() if word not in set(there)]
    return [f"only with script: {' '.join(missing[:20])}"] if missing else []


def test_long_lines_of_code_do_not_widen_a_page_of_help(walk):
    walk.size(320)
    walk.page.goto(walk.url + "/help/")
    paths = walk.page.evaluate("[...document.querySelectorAll('main a')].map(e => e.getAttribute('href'))")
    assert len(paths) > 20
    for path in paths:
        walk.page.goto(walk.url + path)
        assert (path, walk.page.evaluate(TOO_WIDE)) == (path, [])


def test_what_is_left_out_is_still_there():
    """A name in one of the lists above that no route has any more is taken off the list."""
    names = {one.name for one in get_resolver().url_patterns}
    assert FILES | ELSEWHERE.keys() | LEADS_ON | set(MAIN) <= names
