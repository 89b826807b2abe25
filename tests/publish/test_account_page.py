"""What the account page says, read as text; how it looks is tested in a browser beside this file."""

from __future__ import annotations

import dataclasses
import re
from datetime import UTC, datetime

import pytest

from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.publish import (
    AccountPage,
    BalanceLine,
    OpenLine,
    Provenance,
    render_account,
    words,
)
from haulbook.publish.account_view import Remarks, balance, hauls, sentence, totals, verdicts


@pytest.fixture(scope="module")
def html(invented_page):
    return render_account(invented_page)


def row(html, name):
    """The text of the table row whose heading holds ``name``."""
    found = re.search(rf'<tr role="row">\s*<th[^>]*>[^<]*{name}.*?</tr>', html, re.DOTALL)
    assert found, name
    return " ".join(re.sub(r"<[^>]+>", " ", found[0]).split())


def test_the_account_in_a_sentence(invented_page):
    assert sentence(invented_page) == (
        "1 outing, 3 hauls: 839 animals of 7 kinds out of the sea, 838 captured; 814 back alive, "
        "9 kept alive, 10 killed and not kept, 3 back dead, 1 escaped and 1 lost."
    )


def test_what_a_reader_must_know_first_names_number_and_place(invented_page):
    assert [(v["weight"], v["text"], v["to"]) for v in verdicts(invented_page)] == [
        ("near", "1 animal not accounted for", "balance"),
        ("stop", "1 thing the permit does not allow", "permit"),
        ("near", "1 clause to look at", "permit"),
        ("", "The permit report adds up to captured", "reports"),
        ("near", "2 things still open", "open"),
    ]


def test_the_difference_is_reckoned_not_taken_over(invented_page):
    assert totals(invented_page)["out"] == 839
    assert totals(invented_page)["accounted"] == 838
    assert totals(invented_page)["difference"] == 1


def test_a_row_of_the_balance_shows_fates_and_its_difference(html):
    assert row(html, "grubby") == "grubby 4 3 5 12 9 2 11 1"
    assert row(html, "rock gunnel") == "rock gunnel Pholis gunnellus 0 4 1 5 1 4 5 0"


def test_zero_dot_and_blank_mean_three_things(invented_page):
    lines = balance(invented_page)["groups"][0]["lines"]
    cells = {line.name: found for line, found, _ in lines}
    assert cells["rock gunnel"] == ["0", "4", "1"]
    assert cells["blue goby (?)"] == ["·", "1", "·"]
    line = BalanceLine("x", 1, {Fate.RELEASED_ALIVE: 1}, by_haul={"2": 1})
    page = dataclasses.replace(invented_page, balance=(line,))
    assert balance(page)["groups"][0]["lines"][0][1] == ["", "1", ""]


def test_units_are_never_added_to_animals(invented_page):
    groups = balance(invented_page)["groups"]
    assert [(group["unit"], group["out"]) for group in groups] == [(None, 839), ("egg masses", 2)]


def test_clauses_are_quoted_as_quotations(html):
    assert (
        "<blockquote>Not more than three (3) rock gunnel shall be retained in any outing.</blockquote>"
        in html
    )
    assert "Permit EX-27-014, clause 4b, page 3" in html


def test_every_haul_left_out_is_named_with_the_reason(html):
    assert re.search(r"Left out, net n1, straight, day:</strong>\s*haul 2027/3 \(no area, no density\)", html)


def test_a_report_that_does_not_add_up_says_so(invented_page):
    report = dataclasses.replace(invented_page.reports[0], captured=840)
    page = dataclasses.replace(invented_page, reports=(report,))
    assert {"weight": "stop", "text": "1 report not adding up to captured", "to": "reports"} in verdicts(page)
    assert report.difference == 2


def test_nothing_oversteps_a_clause_only_where_none_is_overstepped_or_to_look_at(invented_page):
    over, near = invented_page.findings

    def said(*findings):
        page = dataclasses.replace(invented_page, findings=findings)
        return [v["text"] for v in verdicts(page) if v["to"] == "permit"]

    assert said() == ["Nothing oversteps a clause"]
    assert said(near) == ["1 clause to look at"]
    assert said(over) == ["1 thing the permit does not allow"]
    assert said(dataclasses.replace(near, weight="note")) == ["Nothing oversteps a clause"]


def test_what_was_expanded_or_judged_is_said_beside_its_row(invented_page):
    said = {text: about for _, about, text in balance(invented_page)["remarks"]}
    assert said["600 of 721 expanded from a subsample"] == "Atlantic silverside"
    assert said["14 of 73 judged by eye"] == "sand shrimp"
    assert said["this name is as written and still open"] == "blue goby (?)"


def test_hauls_are_headed_by_their_day_and_place_and_say_why_they_have_no_area(invented_page):
    (outing, rows), *more = hauls(invented_page)["outings"]
    assert (outing, more) == ("Outing 2027-05-21-a, Friday 21 May 2027, cove", [])
    assert not hauls(invented_page)["several_outings"]
    undated = dataclasses.replace(rows[0][0], landed=None, area=None, no_area=None, outing="Outing b")
    page = dataclasses.replace(invented_page, hauls=(rows[0][0], undated))
    found = hauls(page)
    assert [heading for heading, _ in found["outings"]] == [outing, "Outing b, cove"]
    assert found["several_outings"]
    assert "no area, so no density" in str(found["remarks"])


def test_an_account_that_balances_says_that_the_difference_is_0(invented_page):
    line = BalanceLine("grubby", 3, {Fate.RELEASED_ALIVE: 3})
    page = dataclasses.replace(
        invented_page, balance=(line,), findings=(), open=(), reports=(), permits=(), limits=()
    )
    assert [v["text"] for v in verdicts(page)] == ["The account balances: the difference is 0"]
    assert "Nothing stands open." in render_account(page)


def test_an_empty_book_says_what_will_stand_here():
    page = AccountPage(
        title="Season 2027",
        station="station",
        place="cove",
        zone="UTC",
        made_at=datetime(2027, 1, 1, tzinfo=UTC),
        captured=0,
        balance=(),
        hauls=(),
        provenance=Provenance("0" * 64, 0),
    )
    html = render_account(page)
    for words_of_empty in (
        "0 outings, 0 hauls: no animal came out of the sea.",
        "No animal is in the book yet.",
        "No haul yet.",
        "No permit was handed over",
        "so there is no catch per area",
        "No report was made.",
        "Nothing stands open.",
    ):
        assert words_of_empty in html


def test_what_was_written_by_others_cannot_become_markup(invented_page):
    nasty = '<script>alert("x")</script>'
    page = dataclasses.replace(
        invented_page,
        title=nasty,
        balance=(BalanceLine(nasty, 1, {Fate.RELEASED_ALIVE: 1}, remarks=(nasty,)),),
        open=(OpenLine(nasty, nasty, nasty, nasty, nasty),),
    )
    html = render_account(page)
    assert "<script" not in html
    assert "&lt;script&gt;" in html


def test_the_file_stands_alone(html):
    assert "<script" not in html
    assert not re.search(r"""(?:src|href)=["'](?!#)""", html)
    assert "http" not in html
    assert "url(" not in html
    assert "@import" not in html


def test_the_cautions_stand_on_the_page(html):
    for caution in (
        "The permit, the agency and local rules decide",
        "is not released unless the permit says so",
        "belong to a veterinarian",
        "is not an observation",
        "stop an outing whatever the tide says",
        "pincers and stings",
        "under-counted",
    ):
        assert caution in html


def test_same_page_same_text(invented_page, html):
    assert render_account(invented_page) == html


def test_a_season_of_many_hauls_needs_no_column_for_each(invented_page):
    hauls = tuple(dataclasses.replace(invented_page.hauls[0], label=str(i)) for i in range(60))
    page = dataclasses.replace(invented_page, hauls=hauls)
    assert balance(page)["hauls"] == []
    assert '<span class="word">haul </span>59' in render_account(page)


def test_remarks_are_said_once_and_name_what_they_are_about():
    remarks = Remarks()
    assert remarks.letters(["width assumed"], "haul 1") == ["a"]
    assert remarks.letters(["stopped by algae", "width assumed"], "haul 2") == ["b", "a"]
    for i in range(3, 9):
        remarks.letters(["width assumed"], f"haul {i}")
    assert remarks.lines == [
        ("a", "haul 1, haul 2, haul 3, haul 4 and 4 more", "width assumed"),
        ("b", "haul 2", "stopped by algae"),
    ]


@pytest.mark.parametrize(("i", "text"), [(0, "a"), (25, "z"), (26, "aa"), (51, "az"), (52, "ba")])
def test_letters_go_on_after_z(i, text):
    assert words.letter(i) == text


@pytest.mark.parametrize(
    ("text", "day", "clock"),
    [
        ("2027-05-14T05:42:10-04:00", "14 May 2027", "05:42"),
        ("2027-05-14", "14 May 2027", None),
        ("2027-02", "February 2027", None),
        ("2027", "2027", None),
    ],
)
def test_dates_say_no_more_than_the_source(text, day, clock):
    assert words.day_of(When(text)) == day
    assert words.clock(When(text)) == clock


def test_thousands_are_parted_from_ten_thousand_up():
    assert words.grouped(1987) == "1987"
    assert words.grouped(314090) == "314\u202f090"
    assert words.several(1, "entry", "entries") == "1 entry"
    assert words.listed(["a"]) == "a"
    assert words.listed(["a", "b", "c"]) == "a, b and c"
    assert words.listed([]) == ""
