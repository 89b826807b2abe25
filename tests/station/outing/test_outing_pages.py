"""The page of an outing, its lines, and everything that is written at the desk. The outing is invented."""

from __future__ import annotations

import html
import re
from urllib.parse import parse_qs, urlsplit

import pytest

from haulbook.station.models import EntryRow
from haulbook.station.store import book, readings

pytestmark = pytest.mark.django_db
SIGNED = "2026-09-11-a"


def text_of(answer) -> str:
    words = re.sub(r"<(script|style).*?</\1>", " ", answer.content.decode(), flags=re.S)
    return " ".join(html.unescape(re.sub(r"<[^>]+>", " ", words)).split())


def forms(answer) -> list[dict[str, str]]:
    """Every POST form of a page: its address and its hidden and filled fields."""
    found = []
    for address, inside in re.findall(
        r'<form[^>]*method="post" action="([^"]*)"[^>]*>(.*?)</form>', answer.content.decode(), re.S
    ):
        fields = dict(re.findall(r'<input type="hidden" name="([^"]+)" value="([^"]*)"', inside))
        found.append(
            {"action": html.unescape(address), **{key: html.unescape(value) for key, value in fields.items()}}
        )
    return found


def pressed(client, answer, way):
    """Press the button of a way on a page; the form's own hidden fields go with it."""
    form = next(
        one for one in forms(answer) if one.get("way", "").split(" ")[0] == way and "net" in one["key"]
    )
    return form, client.post(form["action"], {key: value for key, value in form.items() if key != "action"})


def made(client, address):
    return re.search(r'name="made" value="([^"]+)"', client.get(address).content.decode())[1]


def write(client, address, **fields):
    return client.post(address, {"made": made(client, address), **fields})


def numbers(outing) -> dict[str, int]:
    found = {}
    for lot in readings.outing(outing).account.animals:
        found[lot.place] = found.get(lot.place, 0) + lot.n
    return found


def test_the_page_says_what_is_open_and_every_number_of_the_balance(lead, morning):
    page = lead.get(f"/outing/{morning}/")
    words = text_of(page)
    assert "Monday 21 September 2026" in words
    assert (
        "1 grubby of haul 3 is not accounted for. 5 came out of the sea: 3 back alive and 1 in bucket 1."
        in words
    )
    assert "Bucket 1 still holds 1 grubby." in words
    assert "Close outing · 2 things stand open" in words
    assert "Died 4 of 119: 3.4 %. Clause 4 of SC-24-031 names 5 %." in words
    row = re.search(r'<th role="rowheader"[^>]*><a[^>]*>grubby</a>.*?</tr>', page.content.decode(), re.S)[0]
    cells = [
        " ".join(html.unescape(re.sub(r"<[^>]+>", " ", one)).split())
        for one in re.findall(r"<td.*?</td>", row, re.S)
    ]
    assert cells == ["4", "0", "5", "9", "7", "1 remark a", "", "", "8", "1 remark b"]


def test_a_number_opens_the_calls_behind_it_and_they_sum_to_it(lead, morning):
    page = lead.get(f"/outing/{morning}/").content.decode()
    links = {html.unescape(one) for one in re.findall(rf'href="(/outing/{morning}/calls/\?[^"]+)"', page)}
    assert len(links) > 10
    for address in links:
        asked = {key: value[0] for key, value in parse_qs(urlsplit(address).query).items()}
        lots = [
            lot
            for lot in readings.outing(morning).account.animals
            if asked.get("haul") in (None, lot.haul.rpartition("/")[2])
            and asked.get("taxon") in (None, lot.taxon)
        ]
        words = text_of(lead.get(address))
        if "fate" not in asked:
            assert f"{sum(lot.n for lot in lots)} animal" in words, address
        assert "No line here" not in words


def test_a_struck_call_stays_readable_with_its_reason(lead, morning):
    words = text_of(lead.get(f"/outing/{morning}/calls/"))
    assert "one smelt" in words
    assert "struck 21 Sep, 06:25 by p3: misheard" in words


@pytest.mark.parametrize(("way", "place"), [("back", "back"), ("dead-back", "dead-back"), ("fewer", None)])
def test_one_press_settles_the_animal_in_the_net(lead, morning, way, place):
    before = numbers(morning)
    _form, answer = pressed(lead, lead.get(f"/outing/{morning}/"), way)
    assert (answer.status_code, answer["Location"]) == (302, f"/outing/{morning}/")
    after = numbers(morning)
    assert "net" not in after
    if place:
        assert after[place] == before.get(place, 0) + 1
    assert "1 thing stands open" in text_of(lead.get(f"/outing/{morning}/"))


def test_the_same_form_pressed_twice_writes_once(lead, morning):
    page = lead.get(f"/outing/{morning}/")
    form, _first = pressed(lead, page, "back")
    n = EntryRow.objects.count()
    again = lead.post(form["action"], {key: value for key, value in form.items() if key != "action"})
    assert again.status_code == 302
    assert EntryRow.objects.count() == n


def test_the_same_form_twice_writes_once_where_it_adds_a_line(lead, morning):
    address = f"/outing/{morning}/add/line/"
    said = {
        "made": made(lead, address), "haul": f"{morning}/1", "n": "2", "name": "cunner", "to": "back",
        "why": "on the sheet",
    }  # fmt: skip
    assert lead.post(address, said).status_code == 302
    n = EntryRow.objects.count()
    answer = lead.post(address, said, follow=True)
    assert "written already" in text_of(answer)
    assert EntryRow.objects.count() == n


def test_a_loss_asks_for_its_cause_and_keeps_what_was_typed(lead, morning):
    page = lead.get(f"/outing/{morning}/settle/?key=animals:{morning}+net+grubby+-+individual")
    form = next(one for one in forms(page) if one.get("way") == "lost")
    said = {key: value for key, value in form.items() if key != "action"}
    answer = lead.post(form["action"], {**said, "cause": ""})
    assert answer.status_code == 400
    assert "Say how they were lost" in text_of(answer)
    assert lead.post(form["action"], {**said, "cause": "jumped out"}).status_code == 302
    assert numbers(morning)["lost"] == 1


def test_a_fate_unknown_is_the_leads_to_confirm(lead, signed_in, morning):
    page = lead.get(f"/outing/{morning}/settle/?key=animals:{morning}+net+grubby+-+individual")
    form = next(one for one in forms(page) if one.get("way") == "lost")
    lead.post(form["action"], {**form, "cause": "jumped out"})
    opened = lead.get(f"/outing/{morning}/")
    confirm = next(one for one in forms(opened) if one.get("way") == "confirm")
    recorder = signed_in("recorder")
    assert not [one for one in forms(recorder.get(f"/outing/{morning}/")) if one.get("way") == "confirm"]
    assert recorder.post(confirm["action"], confirm).status_code == 403
    assert "Settled" in text_of(lead.post(confirm["action"], confirm, follow=True))
    assert "fate unknown" not in text_of(lead.get(f"/outing/{morning}/")).lower()


def test_kept_animals_go_to_a_tank(lead, morning):
    page = lead.get(f"/outing/{morning}/settle/?key=animals:{morning}+bucket+1")
    form = next(one for one in forms(page) if one.get("way") == "tank")
    tank = next(iter(readings_tanks()))
    answer = lead.post(form["action"], {**form, "tank": tank, "on": "2026-09-21T10:30"})
    assert answer.status_code == 302
    assert numbers(morning)[f"tank {tank}"] == 1
    moved = book.entry_of(EntryRow.objects.order_by("-position").first().line)
    assert moved.at == "2026-09-21T10:30:00-04:00"


def readings_tanks():
    from haulbook.station.store import reference

    return reference.station().tanks


def entry_with(outing, words):
    row = next(row for row in EntryRow.objects.filter(outing=outing) if words in row.line)
    return f"/outing/{outing}/entry/{row.entry}/", row


def test_make_it_strikes_the_call_and_puts_another_number_in_its_place(lead, morning):
    address, _row = entry_with(morning, "four grubby")
    answer = write(lead, address, reason="there were six", n0="6", press="make-it")
    assert answer.status_code == 302
    assert numbers(morning)["back"] == 103 + 2
    words = text_of(lead.get(address))
    assert "struck" in words
    assert "there were six" in words
    assert readings.outing(morning).open == tuple(
        one for one in readings.outing(morning).open if one.kind == "animals"
    )


def test_a_strike_that_leaves_less_than_nothing_is_refused_in_words(lead, morning):
    address, _row = entry_with(morning, "five grubby")
    n = EntryRow.objects.count()
    answer = write(lead, address, reason="slip", press="strike")
    words = text_of(answer)
    assert answer.status_code == 400
    assert "would hold" in words
    assert "three grubby back" in words
    assert EntryRow.objects.count() == n
    assert 'value="slip"' in answer.content.decode()


def test_a_line_without_reason_is_not_struck(lead, morning):
    address, _row = entry_with(morning, "four grubby")
    answer = write(lead, address, reason="", press="strike")
    assert answer.status_code == 400
    assert "1 thing to mend" in text_of(answer)


def test_a_name_that_is_not_certain_is_asked(lead, morning):
    address = f"/outing/{morning}/add/line/"
    answer = write(
        lead, address, haul=f"{morning}/1", n="1", name="stickelback", to="back", why="on the sheet"
    )
    assert answer.status_code == 400
    assert "“stickelback” could be:" in text_of(answer)
    assert 'value="stickelback"' in answer.content.decode()


def test_a_forgotten_line_is_written_as_of_the_beach_and_marked_late(lead, morning):
    address = f"/outing/{morning}/add/line/"
    answer = write(
        lead, address, haul=f"{morning}/1", n="3", name="grubby", to="back", why="on the paper sheet"
    )
    assert answer.status_code == 302
    assert numbers(morning)["back"] == 103 + 3
    moved = next(
        one for one in readings.outing(morning).account.animals if one.n == 3 and one.haul.endswith("/1")
    )
    assert moved.called.text == "2026-09-21T06:02:00-04:00"
    assert "written" in text_of(lead.get(f"/outing/{morning}/calls/?haul=1&taxon=grubby"))
    assert not [one for one in readings.outing(morning).discrepancies if one.settled is None]


def test_a_better_name_is_given_where_the_animals_are(lead, morning):
    address = f"/outing/{morning}/add/name/"
    answer = write(
        lead,
        address,
        which=f"back|{morning}/1|grubby|-|individual",
        n="1",
        name="longhorn sculpin",
        why="seen",
    )
    assert answer.status_code == 302
    found = {
        (lot.taxon, lot.n) for lot in readings.outing(morning).account.animals if lot.haul.endswith("/1")
    }
    assert {("grubby", 3), ("longhorn-sculpin", 1)} <= found
    too_many = write(
        lead,
        address,
        which=f"back|{morning}/1|grubby|-|individual",
        n="9",
        name="longhorn sculpin",
        why="seen",
    )
    assert too_many.status_code == 400
    assert "can't get another name" in text_of(too_many)


def test_the_head_of_a_haul_is_mended_and_the_old_one_stays_readable(lead, morning):
    address = f"/outing/{morning}/add/haul/?haul=3"
    page = lead.get(address).content.decode()
    assert 'value="07:21"' in page
    said = {
        "haul": f"{morning}/3", "started": "07:08", "landed": "07:21", "ended": "07:40", "site": "sallowhorn-cove",
        "net": "n1",
        "set_type": "straight", "condition": "2", "remark": "leadline lifted over a stone, under 10 % of the path",
        "w": "6.1", "d": "25", "why": "the tape was read wrong",
    }  # fmt: skip
    assert write(lead, address, **said).status_code == 302
    haul = readings.outing(morning).account.hauls[2]
    assert haul.measures["d"].m == 25
    assert haul.started.text == "2026-09-21T07:08:00-04:00"
    strikes = [
        book.entry_of(row.line)
        for row in EntryRow.objects.filter(outing=morning, kind="strike", device="desk")
    ]
    assert [len(one.body["entries"]) for one in strikes] == [1]
    assert "stands there already" in text_of(write(lead, address, **said))


@pytest.mark.parametrize(
    ("what", "fields", "kind"),
    [
        (
            "reading",
            {"where": "{o}/2", "instrument": "hyd1", "salinity": "30.5", "clock": "06:19"},
            "reading",
        ),
        (
            "lengths",
            {"haul": "{o}/1", "name": "grubby", "length_type": "total", "mm": "46 51 38.5"},
            "lengths",
        ),
        ("seen", {"haul": "{o}/1", "what": "present", "name": "sand shrimp"}, "present"),
        ("seen", {"haul": "{o}/1", "what": "searched-and-none", "name": "tautog"}, "searched-and-none"),
        ("place", {"place": "bucket 1", "act": "water-changed", "clock": "07:00"}, "place"),
        ("count", {"place": "bucket 1", "name": "grubby", "n": "1", "clock": "07:45"}, "counted-again"),
        ("remark", {"text": "seals near the net"}, "remark"),
    ],
)
def test_each_form_writes_its_line(lead, morning, what, fields, kind):
    said = {key: value.format(o=morning) for key, value in fields.items()}
    assert write(lead, f"/outing/{morning}/add/{what}/", **said).status_code == 302
    assert EntryRow.objects.filter(outing=morning, kind=kind, device="desk").exists()


@pytest.mark.parametrize(
    "what", ["line", "name", "haul", "lengths", "seen", "place", "count", "reading", "remark"]
)
def test_an_empty_form_comes_back_with_what_to_mend(lead, morning, what):
    answer = lead.post(
        f"/outing/{morning}/add/{what}/", {"made": made(lead, f"/outing/{morning}/add/{what}/")}
    )
    assert answer.status_code == 400
    assert "to mend" in text_of(answer)


def settled_all(client, outing):
    client.get(f"/outing/{outing}/")
    pressed(client, client.get(f"/outing/{outing}/"), "back")
    page = client.get(f"/outing/{outing}/settle/?key=animals:{outing}+bucket+1")
    form = next(one for one in forms(page) if one.get("way") == "back")
    client.post(form["action"], form)


def close_and_sign(client, outing):
    form = next(one for one in forms(client.get(f"/outing/{outing}/")) if one["action"].endswith("/close/"))
    client.post(form["action"], form)
    page = client.get(f"/outing/{outing}/sign/")
    form = next(one for one in forms(page) if one["action"].endswith("/sign/"))
    return form, client.post(form["action"], form)


def test_an_outing_is_settled_closed_signed_changed_and_signed_again(lead, morning):
    settled_all(lead, morning)
    form, answer = close_and_sign(lead, morning)
    assert answer.status_code == 302
    words = text_of(lead.get(f"/outing/{morning}/"))
    assert "What was signed" in words
    assert form["digest"] in text_of(lead.get(f"/outing/{morning}/account/"))
    address, _row = entry_with(morning, "four grubby")
    write(lead, address, reason="there were six", n0="6", press="make-it")
    assert "changed since signing" in text_of(lead.get(f"/outing/{morning}/"))
    differences = text_of(lead.get(f"/outing/{morning}/differences/"))
    assert re.search(r"haul 1 grubby back alive 4 6 .*there were six", differences)
    page = lead.get(f"/outing/{morning}/sign/")
    again = next(one for one in forms(page) if one["action"].endswith("/sign/"))
    assert lead.post(again["action"], again).status_code == 302
    between = text_of(lead.get(f"/outing/{morning}/differences/?a=1&b=2"))
    assert re.search(r"haul 1 grubby back alive 4 6", between)


def test_a_signature_covers_what_was_read_and_nothing_that_came_in_since(lead, morning):
    settled_all(lead, morning)
    form = next(one for one in forms(lead.get(f"/outing/{morning}/")) if one["action"].endswith("/close/"))
    lead.post(form["action"], form)
    page = lead.get(f"/outing/{morning}/sign/")
    shown = next(one for one in forms(page) if one["action"].endswith("/sign/"))
    write(lead, f"/outing/{morning}/add/remark/", text="one more word")
    answer = lead.post(shown["action"], shown)
    assert answer.status_code == 400
    assert "A line came in since you read this" in text_of(answer)


def test_only_the_lead_signs(lead, signed_in, morning):
    settled_all(lead, morning)
    form = next(one for one in forms(lead.get(f"/outing/{morning}/")) if one["action"].endswith("/close/"))
    lead.post(form["action"], form)
    shown = next(one for one in forms(lead.get(f"/outing/{morning}/sign/")) if "digest" in one)
    recorder = signed_in("recorder")
    assert not [one for one in forms(recorder.get(f"/outing/{morning}/sign/")) if "digest" in one]
    assert recorder.post(shown["action"], shown).status_code == 403


def test_closing_with_something_open_leads_to_the_first_thing(lead, morning):
    answer = lead.post(f"/outing/{morning}/close/", {"made": made(lead, f"/outing/{morning}/")})
    assert answer["Location"] == f"/outing/{morning}/#first"
    assert not EntryRow.objects.filter(outing=morning, kind="outing-closed").exists()


def test_a_closed_outing_is_opened_again_by_a_strike(lead, morning):
    settled_all(lead, morning)
    form = next(one for one in forms(lead.get(f"/outing/{morning}/")) if one["action"].endswith("/close/"))
    lead.post(form["action"], form)
    form = next(one for one in forms(lead.get(f"/outing/{morning}/")) if one["action"].endswith("/reopen/"))
    lead.post(form["action"], form)
    assert [one for one in forms(lead.get(f"/outing/{morning}/")) if one["action"].endswith("/close/")]


def test_who_only_looks_is_shown_no_button_and_may_write_nothing(signed_in, morning):
    viewer = signed_in("viewer")
    page = viewer.get(f"/outing/{morning}/")
    assert page.status_code == 200
    assert not [one for one in forms(page) if f"/outing/{morning}/" in one["action"]]
    for address in ("settle/", "add/line/", "close/", "reopen/", "open/", "sign/"):
        assert viewer.post(f"/outing/{morning}/{address}").status_code == 403


def test_an_outing_is_opened_from_its_plan_once(lead):
    from haulbook.station.store import plans

    body = {
        "outing": "2026-12-01-a", "site": "sallowhorn-cove", "date": "2026-12-01", "hauls": 3, "permits": ["SC-24-031"],
        "nets": ["n1"], "crew": ["p1", "p3"], "people_present": 4, "looked_for": ["cunner"],
    }  # fmt: skip
    plans.keep(body, "p1")
    page = lead.get("/outing/2026-12-01-a/")
    assert "Nothing was written yet" in text_of(page)
    form = next(one for one in forms(page) if one["action"].endswith("/open/"))
    lead.post(form["action"], form)
    lead.post(form["action"], form)
    (row,) = EntryRow.objects.filter(outing="2026-12-01-a")
    opened = book.entry_of(row.line)
    assert (opened.kind, opened.body["looked_for"], opened.body["plan"]["site"]) == (
        "outing-opened", ["cunner"], "sallowhorn-cove",
    )  # fmt: skip
    assert "No haul yet" in text_of(lead.get("/outing/2026-12-01-a/"))


def test_what_is_not_there_says_so(lead):
    assert lead.get("/outing/2031-01-01-a/").status_code == 404
    assert lead.get(f"/outing/{SIGNED}/entry/nothing/").status_code == 404
    assert lead.get(f"/outing/{SIGNED}/add/nothing/").status_code == 404


def test_the_search_leads_to_the_line_that_was_found(lead, morning):
    row = EntryRow.objects.filter(outing=morning, kind="move").first()
    answer = lead.get(f"/outing/{morning}/?entry={row.position}")
    assert answer["Location"] == f"/outing/{morning}/entry/{row.entry}/"


def test_the_list_shows_every_outing_and_those_still_to_do(lead, morning):
    words = text_of(lead.get("/outings/"))
    assert "1 to 16 of 16 outings" in words
    todo = text_of(lead.get("/outings/?state=open"))
    assert "1 to 1 of 1 outings" in todo
    assert "2 things stand open" in todo
    assert "1 to 5 of 5 outings" in text_of(lead.get("/outings/?year=2025"))


def test_an_old_sheet_with_days_only_is_shown_settled_and_mended(lead, db):
    from haulbook.custody.entry import Draft, chain, uuid8
    from haulbook.station import clock
    from haulbook.station.store.writing import writing

    outing, day = "1998-07-04-a", "1998-07-04"
    haul = f"{outing}/1"
    bodies = [
        ("haul-landed", {"haul": haul, "condition": 9}),
        ("move", {"lines": [{"from": "sea", "to": "net", "n": 3, "taxon": "cunner", "haul": haul}]}),
        ("reading", {"haul": haul, "instrument": "hyd1", "salinity": 31}),
        ("remark", {"text": "windy"}),
    ]
    drafts = [
        Draft(uuid8(f"old {i}".encode()), day, "2026-01-02T10:00:00-05:00", "p1", outing, kind, body)
        for i, (kind, body) in enumerate(bodies)
    ]
    with writing():
        book.add(chain(drafts, "file-0123456789ab"), clock.now())
    for address in (
        "",
        "settle/",
        "calls/",
        "account/",
        "sign/",
        f"entry/{drafts[1].id}/",
        "add/haul/?haul=1",
        "add/line/",
    ):
        assert lead.get(f"/outing/{outing}/{address}").status_code == 200, address
    form = next(
        one for one in forms(lead.get(f"/outing/{outing}/")) if one.get("way", "").startswith("fewer")
    )
    assert lead.post(form["action"], form).status_code == 302
    address = f"/outing/{outing}/add/line/"
    assert (
        write(lead, address, haul=haul, n="2", name="cunner", to="net", why="second page").status_code == 302
    )
    page = lead.get(f"/outing/{outing}/settle/")
    form = next(one for one in forms(page) if one.get("way") == "back")
    assert lead.post(form["action"], form).status_code == 302
    assert numbers(outing) == {"back": 2}
    assert lead.get("/season/?year=1998").status_code == 200
    assert lead.get("/outings/?year=1998").status_code == 200
