"""The look in a real browser: readable by everyone, in every light, at any size, without script, on paper."""

from __future__ import annotations

import re

import pytest
from django import forms

from haulbook.problems import Problem
from haulbook.station.pages.patterns import patterns_context
from haulbook.station.pages.people import NewPassword, SetUp, SignIn

pytestmark = pytest.mark.browser

SIZES = [
    (320, 100),
    (390, 100),
    (768, 100),
    (1000, 100),
    (1280, 100),
    (1920, 100),
    (640, 200),
    (1280, 200),
    (320, 200),
]


@pytest.fixture(scope="module")
def patterns(render):
    return lambda theme="": render("patterns/patterns.html", theme=theme, **patterns_context())


@pytest.fixture(scope="module")
def others(render):
    """The pages of people and answers, by name."""
    tried = SignIn({"login": "lead", "password": ""})
    tried.add_error(None, "Login and password do not go together. Look at both, then try again.")

    class Person:
        def has_usable_password(self):
            return True

    told = [Problem("refused", "the date is no date; write it as 2027-05-14", file="tally.csv", row=3)]
    return {
        "sign_in": render("people/sign_in.html", signed_in=False, form=tried, next="/"),
        "set_up": render("people/set_up.html", signed_in=False, form=SetUp(), code="x", station=None),
        "set_up_needed": render("people/set_up_needed.html", signed_in=False, station=None),
        "one_time": render("people/one_time.html", signed_in=False, code="x"),
        "password": render("people/password.html", form=NewPassword(Person())),
        "refused": render("answers/refused.html", problems=told),
        "went_wrong": render("answers/went_wrong.html", problems=told, mark="a1b2"),
    }


def overflowing(page):
    """What widens the page beyond its window, by its text."""
    return page.evaluate(
        """() => document.documentElement.scrollWidth <= innerWidth ? [] :
        [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => `${e.tagName}.${e.className} ${e.textContent.trim().slice(0, 40)}`)"""
    )


def axe_findings(page):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
    # The policy lets no script in but the station's own, so the page is measured with its policy set aside.
    found = axe.Axe().run(page, options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    return found.generate_report() if found.violations_count else ""


@pytest.mark.parametrize(("theme", "width"), [("", 1280), ("dawn", 390), ("sun", 320)])
def test_axe_finds_nothing_and_every_text_has_seven_to_one(show, patterns, theme, width):
    assert axe_findings(show(patterns(theme), width=width, bypass_csp=True)) == ""


@pytest.mark.parametrize(
    "name", ["sign_in", "set_up", "set_up_needed", "one_time", "password", "refused", "went_wrong"]
)
def test_axe_finds_nothing_on_the_pages_of_people_and_answers(show, others, name):
    page = show(others[name], width=390, bypass_csp=True)
    assert axe_findings(page) == ""
    assert overflowing(page) == []


def test_no_width_and_no_text_size_scrolls_sideways(show, resize, patterns):
    page = show(patterns())
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    for size in SIZES:
        resize(page, *size)
        assert (size, overflowing(page)) == (size, [])


def test_no_table_leaves_its_page_of_the_spread(show, resize, patterns):
    page = show(patterns())
    page.evaluate("document.querySelectorAll('main details').forEach(one => one.open = true)")
    for size in ((800, 100), (900, 100), (1100, 100), (1280, 100), (1280, 200)):
        resize(page, *size)
        out = page.evaluate(
            """() => [...document.querySelectorAll('table')]
            .map(t => [t, t.closest('.figures, .remarks')])
            .filter(([t, leaf]) => t.getBoundingClientRect().right > leaf.getBoundingClientRect().right)
            .map(([t]) => t.caption.textContent)"""
        )
        assert (size, out) == (size, [])


@pytest.mark.parametrize("theme", ["", "sun"])
def test_everything_to_press_is_44_px_high_and_wide(show, resize, patterns, theme):
    page = show(patterns(theme))
    page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
    for width in (1280, 390, 320):
        resize(page, width)
        small = page.evaluate(
            """() => [...document.querySelectorAll('a, button, summary, select, textarea, input:not([type=hidden])')]
            .filter(e => e.checkVisibility() && !e.matches('.skip'))
            .map(e => e.matches('.choice input') ? e.closest('.choice') : e)
            .map(e => [e.textContent.trim() || e.name, e.getBoundingClientRect()])
            .filter(([words, box]) => box.width < 44 || box.height < 44)
            .map(([words, box]) => `${words}: ${box.width} by ${box.height}`)"""
        )
        assert (width, small) == (width, [])


def test_buttons_in_a_row_stand_8_px_apart(show, patterns):
    page = show(patterns(), width=390)
    gaps = page.evaluate(
        """() => [...document.querySelectorAll('.actions')].flatMap(row => {
        const shown = [...row.querySelectorAll('.button')].filter(e => e.checkVisibility());
        const boxes = shown.map(e => e.getBoundingClientRect());
        return boxes.slice(1).map((box, i) => Math.max(box.left - boxes[i].right, box.top - boxes[i].bottom)); })"""
    )
    assert gaps
    assert min(gaps) >= 8


def test_bright_sun_has_no_hue_at_all(show, patterns):
    page = show(patterns("sun"))
    colours = page.evaluate(
        """() => { const shown = [...document.querySelectorAll('body, body *:not(.qr, .qr *)')];
        const of = s => [s.color, s.backgroundColor, s.borderTopColor, s.fill, s.stroke];
        const all = shown.filter(e => e.checkVisibility()).flatMap(e => of(getComputedStyle(e)));
        return [...new Set(all)].filter(colour => colour.startsWith('rgb(')); }"""
    )
    hued = [colour for colour in colours if len(set(re.findall(r"\d+", colour)[:3])) > 1]
    assert hued == []


def test_focus_shows_a_ring_and_the_first_tab_leads_past_the_cover(show, others):
    page = show(others["password"])
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.textContent") == "To the page"
    ring = page.evaluate("(s => [s.outlineWidth, s.outlineOffset])(getComputedStyle(document.activeElement))")
    assert ring == ["3px", "2px"]
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.name") == "old"


def test_a_form_to_be_mended_opens_at_what_is_to_be_mended(show, others):
    page = show(others["sign_in"])
    assert page.evaluate("document.activeElement.id") == "mend"
    page.keyboard.press("Tab")
    page.keyboard.press("Enter")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement.name") in ("password", "")
    assert page.locator("#id_login").input_value() == "lead"


def test_without_script_the_whole_page_works(show, patterns):
    page = show(patterns(), width=320, java_script_enabled=False)
    page.locator(".menu summary").click()
    assert page.locator(".menu a", has_text="Transcribe").is_visible()
    page.locator(".remarks .more summary").click()
    assert page.locator("text=The numbers stand here.").is_visible()
    assert not page.locator("button[data-print]").is_visible()


def test_all_tabs_and_desk_links_are_in_sight_or_one_press_away(show, resize, patterns):
    page = show(patterns())
    for size in ((1280, 100), (1000, 100), (320, 100), (320, 200)):
        resize(page, *size)
        menu = page.locator(".menu summary")
        if menu.is_visible() and page.locator(".menu").get_attribute("open") is None:
            menu.click()
        for word in ("Season", "Plan", "Outing", "Permits", "Kept", "Bed", "Transcribe", "Bring in", "Gear"):
            assert page.locator(f".cover a:visible:text-is('{word}')").count() == 1
        for word in ("Sign out", "Paper", "Dawn", "Sun"):
            assert page.locator(f".cover button:visible:text-is('{word}')").count() == 1


def test_the_station_policy_stops_nothing_that_the_page_needs(show, patterns):
    page = show(patterns())
    assert page.problems == []
    assert page.locator("button[data-print]").is_visible()  # the script ran


def test_escape_and_a_press_elsewhere_close_the_menu(show, patterns):
    page = show(patterns(), width=390)
    menu = page.locator(".menu")
    page.locator(".menu summary").click()
    page.keyboard.press("Escape")
    assert menu.get_attribute("open") is None
    assert page.evaluate("document.activeElement.tagName") == "SUMMARY"
    page.locator(".menu summary").click()
    page.mouse.click(20, 880)
    assert menu.get_attribute("open") is None


def test_a_form_on_its_way_is_not_sent_twice(show, patterns):
    page = show(patterns())
    sent = page.evaluate(
        """() => { const form = document.querySelector('main form.one-button'); let went = 0;
        form.addEventListener('submit', () => 0);
        addEventListener('submit', event => { if (!event.defaultPrevented) went += 1; event.preventDefault(); });
        form.requestSubmit(); form.requestSubmit(); return went; }"""
    )
    assert sent == 1


def test_remarks_stand_beside_the_figures_and_under_them_where_it_is_narrow(show, resize, patterns):
    page = show(patterns())

    def places(*size):
        resize(page, *size)
        return [page.locator(f".{side}").first.bounding_box() for side in ("figures", "remarks")]

    figures, remarks = places(1280)
    assert remarks["x"] >= figures["x"] + figures["width"]
    assert remarks["y"] == figures["y"]
    for narrow in ((690, 100), (1280, 200)):
        figures, remarks = places(*narrow)
        assert remarks["y"] >= figures["y"] + figures["height"]


def test_narrow_rows_carry_their_own_labels(show, resize, patterns):
    page = show(patterns())
    label = "getComputedStyle(document.querySelector('td[data-label=\"back alive\"]'), '::before').content"
    assert page.evaluate(label) == "none"
    resize(page, 320)
    assert "back alive" in page.evaluate(label)


def test_counted_figures_stand_under_one_another(show, patterns):
    page = show(patterns())
    rights = page.evaluate(
        """() => [...document.querySelectorAll('td[data-label="out of sea"]')].map(cell => {
        const range = document.createRange(); range.selectNodeContents(cell);
        return Math.round(range.getBoundingClientRect().right); })"""
    )
    assert len(set(rights)) == 1
    assert "tabular-nums" in page.evaluate("getComputedStyle(document.body).fontVariantNumeric")


@pytest.mark.parametrize("theme", ["", "dawn"])
def test_on_paper_there_is_one_ink_no_tab_and_nothing_under_ten_points(show, patterns, theme):
    page = show(
        patterns(theme), width=665, media="print"
    )  # A4 less the margins of the sheet, at 96 px an inch
    assert overflowing(page) == []
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(255, 255, 255)"
    assert not page.locator(".index").is_visible()
    assert not page.locator(".actions").first.is_visible()
    small = page.evaluate(
        """() => [...document.querySelectorAll('main *')]
        .filter(e => e.checkVisibility() && e.offsetWidth > 1 && !e.closest('svg'))
        .filter(e => [...e.childNodes].some(n => n.nodeType === 3 && n.textContent.trim()))
        .filter(e => parseFloat(getComputedStyle(e).fontSize) < 10 * 96 / 72 - 0.01)
        .map(e => `${e.tagName}.${e.className} ${getComputedStyle(e).fontSize}`)"""
    )
    assert small == []


def test_sheets_that_were_typed_into_ask_before_they_are_left(show, patterns):
    page = show(patterns())
    asked = []
    page.on("dialog", lambda dialog: (asked.append(dialog.type), dialog.accept()))
    page.locator("#sample_remark").press_sequentially("stone")
    page.reload()
    assert asked == ["beforeunload"]


def test_every_kind_of_field_of_django_has_a_look(show, written):
    class Every(forms.Form):
        text = forms.CharField()
        mail = forms.EmailField()
        n = forms.IntegerField()
        day = forms.DateField(widget=forms.DateInput(attrs={"type": "date"}))
        chosen = forms.MultipleChoiceField(choices=[("a", "a"), ("b", "b")])
        split = forms.SplitDateTimeField()

    body = written("{{ forms.fields(form) }}", form=Every())
    page = show(
        f'<!doctype html><html lang="en"><link rel="stylesheet" href="/static/station.css">'
        f'<link rel="stylesheet" href="/static/forms.css"><main>{body}</main>'
    )
    heights = page.evaluate(
        "[...document.querySelectorAll('input, select')].map(e => e.getBoundingClientRect().height)"
    )
    assert len(heights) == 7
    assert min(heights) >= 44
