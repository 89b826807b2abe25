"""The plan page as text, in a browser and on paper; everything in it is invented."""

from __future__ import annotations

import builtins
import io
import math
import re
from dataclasses import replace
from datetime import UTC, date, datetime, timedelta
from zoneinfo import ZoneInfo

import pytest
from pypdf import PdfReader

from haulbook.problems import Refusal
from haulbook.publish.account_parts import LimitLine
from haulbook.publish.plan_page import render_plan
from haulbook.publish.plan_paper import plan_paper
from haulbook.publish.plan_parts import (
    ChanceLine,
    DayStrip,
    PlanFinding,
    PlanPage,
    TickGroup,
    TideDay,
    WindowLine,
    in_per_cent,
)
from haulbook.tide import Extreme, daylight, over_bed
from haulbook.tide.clock import day_start

ZONE = ZoneInfo("America/New_York")
DAY = date(2027, 5, 21)
QUOTE = "The holder shall give notice to Marine Patrol not less than 24 hours before the first set."


def at(clock, day=DAY):
    hour, minute = (int(part) for part in clock.split(":"))
    return datetime(day.year, day.month, day.day, hour, minute, tzinfo=ZONE).astimezone(UTC)


def tide():
    step = timedelta(minutes=10)
    return TideDay(
        day=DAY,
        zone=ZONE,
        begins=day_start(DAY, ZONE),
        ends=day_start(DAY + timedelta(days=1), ZONE),
        heights_m=tuple(0.5 - 0.7 * math.cos((i / 6 - 6.5) * math.pi / 6.2) for i in range(145)),
        step=step,
        interpolated=False,
        extremes=(
            Extreme(at("00:18"), 1.2, "high"), Extreme(at("06:30"), -0.2, "low"),
            Extreme(at("12:42"), 1.2, "high"), Extreme(at("18:54"), -0.2, "low"),
        ),
        band=over_bed(-0.6, 0.3, 1.0),
        bed_m=-0.6,
        light=daylight(41.46, -71.31, DAY, ZONE),
        windows=((at("05:19"), at("08:22")), (at("17:00"), at("20:00"))),
        chosen=(at("05:19"), at("08:22")),
        hauls=((at("05:49"), at("06:19")), (at("06:19"), at("06:49")), (at("06:49"), at("07:19"))),
    )  # fmt: skip


def days():
    found = []
    for i in range(1, 32):
        day = date(2027, 5, i)
        hour = (i * 50 // 60) % 12 + 5
        span = (at(f"{hour:02d}:10", day), at(f"{min(hour + 3, 20):02d}:00", day))
        windows = (span,) if i % 9 else ()
        low = Extreme(at(f"{hour + 1:02d}:25", day), -0.2 + 0.02 * i, "low")
        light = daylight(41.46, -71.31, day, ZONE).span()
        rank = {22: 1, 21: 2, 20: 3}.get(i, 9) if windows else None
        found.append(
            DayStrip(day, light, (low,), windows, 170.0 if windows else 0, 3 if windows else 0, "go", rank,
                     chosen=i == 21, today=i == 12)
        )  # fmt: skip
    return tuple(found)


PAGE = PlanPage(
    title="Friday 21 May 2027",
    station="Lanyard Cove Shore Station",
    site="lanyard-cove",
    zone="EDT",
    made_at=datetime(2027, 5, 12, 21, 4, tzinfo=ZONE),
    verdict="no-go",
    then="go with limits",
    headline="No-go until notice is given",
    sentence="Usable 05:19 to 08:22, 183 min. Set-up, 3 hauls and pack-out take 140. If the water stands 0.15 m "
    "higher or lower, 158 min: still 3 hauls.",
    findings=(
        PlanFinding(
            "stop",
            ("no notice sent to Marine Patrol; it has to go by 20 May 2027 05:49", "the receipt is not attached"),
            QUOTE,
            "Permit LC-27, clause 9, page 4, in force since 1 April 2027",
        ),
        PlanFinding("near", ("Sculpins: 5 of 6 retained per permit year: near",), "Six in a permit year.", "LC-27"),
        PlanFinding("note", ("take along: permit",), None, "Permit LC-27"),
    ),
    holds=("permit LC-27 holds from 1 April 2027 00:00 to 31 March 2028", "sets: at most 6 per day (6)"),
    limits=(
        LimitLine("LC-27", "4c", "2 more may be kept this permit year: young winter flounder", "x", "kept", 3, 0, 5),
        LimitLine("LC-27", "4a", "1 more may be kept: sculpins", "x", "kept", 5, 0, 6, "near", "near"),
        LimitLine("LC-27", "3", "none may be kept: river herring", "x", "kept", 0, 0, None, "closed"),
        LimitLine("LC-27", "5", "3000 more may be captured on this day: fish", "x", "captured", 0, 0, 3000),
    ),
    tide=tide(),
    days=days(),
    windows=tuple(
        WindowLine(
            i, date(2027, 5, 23 - i), at("05:19", date(2027, 5, 23 - i)), at("08:22", date(2027, 5, 23 - i)), 4, 3,
            "no-go", "go with limits", "4 hauls fit, 3 wanted; all of it ebb, low -0.20 m at 06:30 EDT",
            ("clause 9: no notice sent",), chosen=i == 2,
        )
        for i in (1, 2, 3)
    ),
    windows_in_all=47,
    crew=("p1, lead", "p3, recorder", "8 people on the beach, crew included"),
    gear=("net n1, 12 m by 1.5 m, mesh 6 mm stretch", "bucket 1, to keep, 14 L, air 3 per hour"),
    buckets=("3 to keep in, 5 at worst: in nine of ten outings drawn from 24 past hauls.",),
    chances=(
        ChanceLine("4c", "young winter flounder", "kept", 2, (0.02, 0.06, 0.11, 0.2, 0.3, 0.4, 0.5), 1, True),
        ChanceLine("5", "fish", "captured", 3000, (0.0005, 0.02, 0.06, 0.1, 0.2, 0.3, 0.4), 2, False),
        ChanceLine("7", "all animals", "died over 5 % of captured", None, (0.07,) * 7, 0, False),
    ),
    chances_said=("Not even 1 haul keeps every clause that the catch decides below 5 %.",),
    planned=3,
    unlikely=0.05,
    ticks=(
        TickGroup(
            "Before you leave",
            (("Forecast read", "US National Weather Service"), ("Plan left ashore", "common practice, no source")),
        ),
        TickGroup("Get out of the water when", (("It is 08:02 EDT", "University of Liverpool, 2019"),)),
    ),
    cautions=("The lead decides, on the beach.", "Predictions are not observations."),
    facts=(("book.jsonl", "SHA-256 " + "0f" * 32), ("haulbook", "0.1.0, seed 1")),
    invented=True,
)  # fmt: skip


@pytest.fixture(scope="module")
def html():
    return render_plan(PAGE)


def row(html, heading):
    found = re.search(
        rf'<tr[^>]*>\s*<th[^>]*scope="row"[^>]*>(?:<span[^>]*>[^<]*</span>)?{heading}.*?</tr>', html, re.S
    )
    assert found, heading
    return found[0]


def words_of(html):
    return " ".join(re.sub(r"<[^>]+>", " ", html).split())


def test_the_worst_finding_is_the_headline_and_its_clause_is_quoted_under_it(html):
    top = html[html.index('id="top"') : html.index('id="water"')]
    assert (
        top.index("No-go until notice is given")
        < top.index("No notice sent to Marine Patrol")
        < top.index(QUOTE)
    )
    assert f"<blockquote>{QUOTE}</blockquote>" in top
    assert "Then: go with limits." in top
    assert "clause 9, page 4, in force since 1 April 2027" in top
    assert "Sculpins" not in top


def test_a_verdict_has_a_word_and_a_shape_never_colour_alone(html):
    for verdict, weight in (("go", "go"), ("go with limits", "near"), ("no-go", "stop")):
        said = render_plan(replace(PAGE, verdict=verdict, then=verdict, headline=verdict.capitalize()))
        chip = re.search(r'<span class="chip (\w+) verdict">(.*?)</span></span>', said, re.S)
        assert chip[1] == weight
        assert '<svg class="mark"' in chip[2]
        assert verdict.capitalize() in chip[2]
        assert "Then:" not in said


def test_without_anything_against_it_the_page_says_so():
    said = words_of(render_plan(replace(PAGE, verdict="go", then="go", headline="Go", findings=())))
    assert "Nothing stands against it in tide, daylight, permit or people." in said
    assert "Nothing more stands against it." in said


def test_the_numbers_of_the_chart_stand_beside_it_in_a_table(html):
    assert words_of(row(html, "low")) == "low 06:30 −0.20 m"
    assert words_of(row(html, "window, chosen")) == "window, chosen 05:19 to 08:22"
    assert words_of(row(html, "haul 2")) == "haul 2 06:19 to 06:49"


def test_each_day_has_a_strip_and_its_numbers(html):
    assert html.count('<svg class="strip day"') == 31
    chosen = words_of(row(html, "21 Fr"))
    assert chosen.startswith("21 Fr , Friday 21 May 2027")
    assert chosen.endswith("170 3 2 chosen")
    assert words_of(row(html, "12 We")).endswith("today")
    assert "none" in words_of(row(html, "9 Su"))


def test_windows_are_ranked_with_their_reason_and_what_stands_against_them(html):
    said = words_of(html[html.index("Best windows") : html.index('id="limits"')])
    assert "1 Sat 22 May 05:19 to 08:22, 183 min, 3 of 3 hauls no-go, then go with limits" in said
    assert "2 Fri 21 May , chosen" in said
    assert "4 hauls fit, 3 wanted; all of it ebb, low -0.20 m at 06:30 EDT." in said
    assert "47 windows in all" in said


def test_chances_end_at_the_most_hauls_and_flag_what_the_plan_oversteps(html):
    fish = row(html, "5</th>\\s*<td[^>]*>fish")
    cells = re.findall(r'<td role="cell" data-label="(\d haul)s?" class="([^"]*)">([^<]*)</td>', fish)
    assert [(label, kind.split(), said) for label, kind, said in cells][:4] == [
        ("1 haul", [], "under 0.1"), ("2 haul", ["most"], "2.0"), ("3 haul", ["over"], "6.0"), ("4 haul", [], "10"),
    ]  # fmt: skip
    kept = row(html, "4c</th>\\s*<td[^>]*>young")
    assert "over" not in re.findall(r'class="([^"]*)"', kept)  # a choice limits nothing
    assert "(a choice)" in kept
    assert "none-left over" in row(html, "7</th>")


def test_every_line_to_tick_has_a_box_and_a_source(html):
    said = html[html.index('id="ticks"') : html.index('id="cautions"')]
    assert said.count('class="box"') == said.count("<li>") == 3
    assert "Common practice, no source" in said


@pytest.mark.parametrize(
    ("value", "said"), [(0, "under 0.1"), (0.0532, "5.3"), (0.42, "42"), (0.9999, "over 99.9")]
)
def test_shares_are_said_in_per_cent(value, said):
    assert in_per_cent(value) == said


def test_markup_in_names_stays_text():
    said = render_plan(replace(PAGE, site="<script>", station="a & b"))
    assert "<script>" not in said
    assert "a &amp; b" in said


@pytest.fixture(scope="module")
def address(html, tmp_path_factory):
    path = tmp_path_factory.mktemp("plan") / "plan.html"
    path.write_text(html, encoding="utf-8")
    return path.as_uri()


@pytest.fixture
def opened(chromium, address):
    pages = []

    def open_page(width=1280, text_percent=100, media="screen", **context):
        page = chromium.new_page(viewport={"width": width, "height": 900}, **context)
        pages.append(page)
        page.emulate_media(media=media)
        page.goto(address)
        if text_percent != 100:
            page.add_style_tag(content=f"html {{ font-size: {text_percent}% }}")
        page.evaluate("document.querySelectorAll('details').forEach(one => one.open = true)")
        return page

    yield open_page
    for page in pages:
        page.close()


@pytest.mark.browser
@pytest.mark.parametrize("look", [{}, {"color_scheme": "dark"}, {"media": "print"}, {"width": 320}])
def test_axe_finds_nothing_and_every_text_has_seven_to_one(opened, look):
    axe = pytest.importorskip("axe_playwright_python.sync_playwright", reason="axe is not installed")
    found = axe.Axe().run(opened(**look), options={"rules": {"color-contrast-enhanced": {"enabled": True}}})
    assert found.violations_count == 0, found.generate_report()


@pytest.mark.browser
@pytest.mark.parametrize(
    ("width", "text_percent"),
    [(320, 100), (390, 100), (768, 100), (1280, 100), (1600, 100), (1280, 200), (320, 200)],
)
def test_no_width_and_no_text_size_scrolls_sideways(opened, width, text_percent):
    beyond = opened(width=width, text_percent=text_percent).evaluate(
        """() => document.documentElement.scrollWidth <= innerWidth ? [] :
        [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1)
        .map(e => e.tagName + ' ' + e.textContent.trim().slice(0, 40))"""
    )
    assert beyond == []


@pytest.mark.browser
def test_no_label_of_the_tide_leaves_the_page_on_a_phone(opened):
    outside = opened(width=320).evaluate(
        """() => [...document.querySelectorAll('.tide text')]
        .filter(t => { const b = t.getBoundingClientRect(); return b.left < 0 || b.right > innerWidth })
        .map(t => t.textContent)"""
    )
    assert outside == []


@pytest.mark.browser
def test_what_can_be_pressed_is_large_enough_and_shows_focus(opened):
    page = opened()
    heights = page.evaluate("[...document.querySelectorAll('main a, summary')].map(e => e.offsetHeight)")
    assert min(heights) >= 44
    page.keyboard.press("Tab")
    assert page.evaluate("getComputedStyle(document.activeElement).outlineWidth") == "3px"
    lost = page.evaluate(
        "[...document.querySelectorAll('a')].map(a => a.getAttribute('href')).filter(h => !document.querySelector(h))"
    )
    assert lost == []


@pytest.mark.browser
def test_nothing_is_fetched_and_nothing_needs_a_script(chromium, address):
    context = chromium.new_context(java_script_enabled=False)
    page = context.new_page()
    asked = []
    page.on("request", lambda request: asked.append(request.url))
    page.goto(address)
    assert asked == [address]
    context.close()


@pytest.mark.parametrize(("paper", "size"), [("a4", (595, 842)), ("letter", (612, 792))])
def test_on_paper_stands_what_the_page_says(paper, size):
    pytest.importorskip("typst", reason="the extra 'reports' is not installed")
    pdf = PdfReader(io.BytesIO(plan_paper(PAGE, paper=paper)))
    box = pdf.pages[0].mediabox
    assert (round(box.width), round(box.height)) == size
    assert pdf.metadata.title == "Friday 21 May 2027, lanyard-cove"
    text = " ".join(" ".join(page.extract_text() for page in pdf.pages).split())
    for said in (
        PAGE.headline, "Then: go with limits.", "No notice sent to Marine Patrol", "not less than 24 hours",
        "Sculpins: 5 of 6", "2 more may be kept this permit year", "died over 5 % of captured", "net n1, 12 m by 1.5 m",
        "Forecast read. (US National Weather Service)", "21 Fr", "Sat 22 May 2027", "The lead decides",
    ):  # fmt: skip
        assert said in text, said


def test_on_paper_no_letter_is_smaller_than_ten_points():
    pytest.importorskip("typst", reason="the extra 'reports' is not installed")
    sizes = set()
    for page in PdfReader(io.BytesIO(plan_paper(PAGE))).pages:
        page.extract_text(
            visitor_text=lambda text, _cm, tm, _font, size: (
                sizes.add(round(abs(size * (tm[3] or tm[0])), 1)) if text.strip() else None
            )
        )
    assert min(sizes) >= 9.9


def test_without_the_extra_one_message_names_it(monkeypatch):
    real = builtins.__import__

    def without_typst(name, *rest, **more):
        if name == "typst":
            raise ImportError
        return real(name, *rest, **more)

    monkeypatch.setattr(builtins, "__import__", without_typst)
    with pytest.raises(
        Refusal, match=r"the plan on paper needs the extra 'reports': pip install 'haulbook\[reports\]'"
    ):
        plan_paper(PAGE)
    with pytest.raises(Refusal, match="there is no paper 'a5'; the nearest is 'a4'"):
        plan_paper(PAGE, paper="a5")
