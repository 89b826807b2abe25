"""What the page hashes, names and writes is byte for byte what Python writes, or refused by both."""

from __future__ import annotations

import copy
import json
import unicodedata
from datetime import UTC, datetime, timedelta
from pathlib import Path

import hypothesis.strategies as st
import pytest
from hypothesis import HealthCheck, given, settings

from haulbook.custody.bodies import BODIES, faults_of
from haulbook.custody.canonical import admitted, canonical
from haulbook.custody.entry import Draft, chain, entry_from_json
from haulbook.custody.ids import uuid7
from haulbook.custody.when import When
from haulbook.problems import Refusal

pytestmark = pytest.mark.browser
CASES = json.loads(
    (Path(__file__).resolve().parents[1] / "cases" / "entries.json").read_text(encoding="utf-8")
)
few = settings(
    max_examples=10,
    deadline=None,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)


def or_refused(what, *given_):
    """What a function gives, or None where it refuses."""
    try:
        return what(*given_)
    except Refusal:
        return None


# Characters that Python knows: a browser may know newer ones, which are the same in both once they are assigned.
texts = st.text(st.characters(exclude_categories=["Cs", "Cn"]), max_size=6)
numbers = (
    st.integers(-(2**53) - 2, 2**53 + 2)
    | st.integers(-(10**9), 10**9).map(lambda n: n / 10_000)
    | st.integers(-180_000_000, 180_000_000).map(lambda n: n / 1_000_000)
    | st.floats(allow_nan=False, allow_infinity=False)
)
keys = texts | st.sampled_from(["lat", "lon", "__proto__", "10", "9", "constructor"])
values = st.recursive(
    st.none() | st.booleans() | numbers | texts,
    lambda inner: st.lists(inner, max_size=3) | st.dictionaries(keys, inner, max_size=3),
    max_leaves=8,
)


def test_sha256_gives_the_published_digests(js):
    # NIST, FIPS 180: example vectors
    found = js("book/sha256.js", "data.map(one => m.sha256hex(one.text.repeat(one.times)))", CASES["sha256"])
    assert found == [one["digest"] for one in CASES["sha256"]]


def test_the_canonical_form_is_that_of_the_standard(js):
    # RFC 8785, sections 3.2.2 and 3.2.3
    found = js("book/canonical.js", "data.map(one => m.canonical(JSON.parse(one.json)))", CASES["canonical"])
    assert found == [one["text"] for one in CASES["canonical"]]


@given(st.lists(values, min_size=20, max_size=60))
@few
def test_both_write_a_value_alike_or_both_refuse_it(js, batch):
    asked = [json.dumps(value) for value in batch]
    attempt = "try_ => { try { return try_(); } catch (refused) { return null; } }"
    found = js(
        "book/canonical.js",
        f"data.map(text => [m.canonical, value => m.written(m.admitted(value))].map(how => "
        f"({attempt})(() => how(JSON.parse(text)))))",
        asked,
    )
    for text, (strict, mended) in zip(asked, found, strict=True):
        value = json.loads(text)
        assert strict == or_refused(canonical, value)
        assert mended == or_refused(lambda one: canonical(admitted(one)), value)


def test_half_a_character_is_refused(js):
    refused = "(() => { try { m.canonical(data); return false; } catch (off) { return off.faults; } })()"
    assert js("book/canonical.js", refused.replace("data", "'a\\ud83d'"))
    assert js("book/canonical.js", refused.replace("data", "{'\\ude00\\ud83d': 1}"))
    assert not js("book/canonical.js", refused, "a\U0001f41f")


def test_an_id_is_that_of_the_standard(js):
    # RFC 9562, appendix A.6
    (case,) = CASES["uuid7"]
    chance = list(bytes.fromhex(case["chance"]))
    made = js("book/ids.js", "m.uuid7(data[0], bytes => (bytes.set(data[1]), bytes))", [case["ms"], chance])
    assert made == case["id"]


@given(
    st.lists(
        st.tuples(st.integers(0, 2**48 - 1), st.binary(min_size=10, max_size=10)),
        min_size=20,
        unique_by=lambda t: t[0],
    )
)
@few
def test_ids_of_the_same_instant_and_chance_are_alike(js, batch):
    asked = [[ms, list(chance)] for ms, chance in batch]
    found = js("book/ids.js", "data.map(one => m.uuid7(one[0], bytes => (bytes.set(one[1]), bytes)))", asked)
    start = datetime(1970, 1, 1, tzinfo=UTC)
    for made, (ms, chance) in zip(found, batch, strict=True):
        try:
            assert made == uuid7(start + timedelta(milliseconds=ms), chance)
        except OverflowError:  # Python has no year beyond 9999
            assert made.startswith(f"{ms:012x}"[:8])


def test_ids_within_a_millisecond_count_up_and_never_repeat(js):
    # RFC 9562, section 6.2; the chance starts just below where version and variant bits are stepped over
    near = [0x0F, 0xFF, 0x3F, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xFF, 0xF0]
    for chance in (None, [0xA0, *near[1:]], [0x00, 0x00, 0x7F, *near[3:]], [0x00, 0xFF, 0xBF, *near[3:]]):
        made = js(
            "book/ids.js",
            "Array.from({length: 2000}, () => m.uuid7(1797148800123 + (data ? data[0] : 1),"
            " data ? bytes => (bytes.set(data), bytes) : undefined))",
            chance,
        )
        assert len(set(made)) == 2000
        assert made == sorted(made)
        assert all(one[14] == "7" and one[19] in "89ab" for one in made)


def test_the_page_makes_the_entry_that_the_reference_shows(js):
    shown = CASES["entry"]
    made = js(
        "book/entry.js",
        "m.makeEntry(data, {...data, madeAt: data.made_at})",
        {key: value for key, value in shown.items() if key != "hash"},
    )
    assert made == shown
    assert entry_from_json(made).hash == shown["hash"]


def test_a_chain_of_every_kind_is_byte_for_byte_that_of_python(js):
    assert {draft["kind"] for chain_ in CASES["chains"] for draft in chain_["drafts"]} > set(BODIES)
    for case in CASES["chains"]:
        by_python = [
            entry.as_json() for entry in chain([Draft(**draft) for draft in case["drafts"]], case["device"])
        ]
        assert by_python == case["entries"]
        by_page = js(
            "book/entry.js",
            """JSON.stringify(JSON.parse(data).drafts.reduce((made, draft) => [...made, m.makeEntry(draft, {
              device: 'd1', seq: made.length + 1, prev: made.length ? made[made.length - 1].hash : null,
              id: draft.id, madeAt: draft.made_at})], []))""",
            json.dumps(case),
        )
        assert json.loads(by_page) == case["entries"]
        assert [entry_from_json(entry).seq for entry in json.loads(by_page)] == list(
            range(1, len(by_python) + 1)
        )


def test_a_copy_is_the_book_file_that_python_writes_and_reads(js):
    entries = CASES["chains"][0]["entries"]
    wanted = "".join(f"{canonical(entry)}\n" for entry in entries)
    shuffled = json.dumps(entries[::-1])
    assert js("book/copy.js", "m.copyText(JSON.parse(data))", shuffled) == wanted
    read = json.loads(js("book/copy.js", "JSON.stringify(m.readCopy(data))", wanted))
    assert read == {"entries": entries, "drafts": [], "problems": []}


@pytest.mark.parametrize(
    ("change", "words"),
    [
        (lambda text: text.replace('"n":6', '"n":7', 1), "hash does not match"),
        (lambda text: text[:-20], "no end"),
        (lambda text: text.replace('"at":', ' "at":', 1), "canonical"),
        (lambda text: text.replace('"by":"p3",', "", 1), "has the keys"),
        (lambda text: "\n" + text, "no JSON object"),
    ],
)
def test_a_copy_that_was_changed_is_said_to_be(js, change, words):
    entries = CASES["chains"][0]["entries"]
    changed = change("".join(f"{canonical(entry)}\n" for entry in entries))
    read = js("book/copy.js", "JSON.parse(JSON.stringify(m.readCopy(data)))", changed)
    assert any(words in problem["words"] for problem in read["problems"])


def pieces(value):
    """Every place in a body, as a path."""
    yield ()
    items = value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ()
    for key, inner in items:
        yield from ((key, *path) for path in pieces(inner))


ODD = [
    None, True, 0, 1, 2, -1, 0.5, 14.25, 61, 200, "", " ", "\x1c", "\x85", "words", "sea", "net",
    "bucket 1", "bucket 0", "tank q1", "cooler 2", "back", "lost", "escaped", "back-in-net", "young",
    "egg mass", "egg_mass", "individual", "expanded", "counted", "female", "keep", "set-up", "left-beach",
    "purpose", "2027-05-14-a/1", "2027-05-14-b/1", "2027-05-14-a/0", "01a57dce-bb60-7abc-8def-0123456789ab",
    "?slimy thing", "? ", "?", "cunner", "Cunner", "ab" * 32, [], {}, ["cunner"],
    {"m": 1, "basis": "measured"}, {"taxon": "cunner"}, {"method": "scoops", "of": 2, "counted": [3, 4]},
]  # fmt: skip
MORE = [
    "stage", "sex", "unit", "basis", "subsample", "length_mm", "length_type", "cause", "haul", "place",
    "purpose", "litres", "instead", "text", "lat", "lon", "ph", "scale", "g", "haul_assumed", "doubt",
    "origin", "why", "area",
]  # fmt: skip


@st.composite
def bodies(draw):
    """A good body of some kind in which a few things were changed, left out or put in."""
    draft = draw(
        st.sampled_from([draft for draft in CASES["chains"][0]["drafts"] if draft["kind"] in BODIES])
    )
    body = copy.deepcopy(draft["body"])
    paths = sorted((path for path in pieces(body) if path), key=repr) or [("text",)]
    for *way, last in draw(st.lists(st.sampled_from(paths), max_size=3)):
        inside = body
        try:
            for step in way:
                inside = inside[step]
            act = draw(st.sampled_from(["change", "leave out", "put in", "repeat"]))
            if act == "put in":
                target = inside[last] if isinstance(inside[last], dict) else inside
                target[draw(st.sampled_from(MORE))] = draw(st.sampled_from(ODD))
            elif act == "leave out":
                del inside[last]
            elif act == "repeat" and isinstance(inside[last], list):
                inside[last] = [*inside[last], *inside[last]]
            else:
                inside[last] = copy.deepcopy(draw(st.sampled_from(ODD)))
        except (KeyError, IndexError, TypeError):
            continue
    outing = draw(st.sampled_from(["2027-05-14-a"] * 4 + [None]))
    return draft["kind"], body, outing, draft["id"]


@given(st.lists(bodies(), min_size=40, max_size=80))
@settings(few, max_examples=12)
def test_a_body_is_good_for_both_or_for_neither(js, batch):
    found = js(
        "book/bodies.js",
        "JSON.parse(data).map(one => m.faultsOf(...one))",
        json.dumps(batch),
    )
    for (kind, body, outing, id_), faults in zip(json.loads(json.dumps(batch)), found, strict=True):
        by_python = faults_of(kind, admitted(body), outing, id_)
        assert bool(faults) == bool(by_python), (kind, body, outing, faults, by_python)


SEA = {"taxon": "cunner", "n": 6, "from": "sea", "to": "bucket 1", "haul": "2027-05-14-a/1"}
SCOOPS = {"method": "scoops", "of": 12, "counted": [52, 47, 51]}
HAUL = {"haul": "2027-05-14-a/1"}
RULED_OUT = [
    ("move", {"lines": []}),
    *[
        ("move", {"lines": [{**SEA, **change}]})
        for change in (
            {"stage": "egg mass", "unit": "individual"},
            {"stage": "young", "unit": "egg_mass"},
            {"subsample": SCOOPS},
            {"subsample": SCOOPS, "basis": "expanded"},
            {"subsample": {**SCOOPS, "of": 2}, "basis": "expanded", "n": 100},
            {"basis": "expanded"},
            {"length_mm": 60},
            {"length_type": "total"},
            {"to": "lost"},
            {"to": "sea"},
            {"to": "dead"},
            {"from": "bucket 1"},
            {"from": "bucket 2", "to": "escaped"},
            {"from": "bucket 2", "to": "back-in-net"},
            {"from": "back"},
            {"from": "born"},
            {"haul": "2027-05-14-b/1"},
            {"haul": "01a57dce-bb60-7abc-8def-0123456789ab"},
            {"n": 0},
            {"n": 1.5},
            {"Stage": "young"},
        )
    ],
    *[
        ("redetermination", {"why": "seen", "lines": [{**HAUL, "place": "net", "n": 1, **sides}]})
        for sides in (
            {"was": {"taxon": "cunner"}, "now": {"taxon": "cunner", "stage": None}},
            {"was": {"taxon": "cunner"}, "now": {"taxon": "cunner", "stage": "egg mass"}},
            {"was": {"taxon": "cunner"}, "now": {"taxon": "tautog"}, "place": "sea"},
        )
    ],
    ("haul-started", {**HAUL, "lat": 41.5}),
    ("haul-started", {**HAUL, "lat": 91, "lon": 0}),
    ("haul-landed", {**HAUL, "condition": 6}),
    ("haul-landed", {**HAUL, "condition": True}),
    ("haul-ended", {"haul": "2027-05-14-b/1"}),
    ("lengths", {**HAUL, "taxon": "cunner", "length_type": "total", "mm": [61, 72], "g": [3]}),
    ("lengths", {**HAUL, "taxon": "cunner", "length_type": "total", "mm": [0]}),
    ("place", {"place": "bucket 1", "act": "purpose"}),
    ("place", {"place": "cooler 1", "act": "set-up", "purpose": "keep"}),
    ("place", {"place": "tank q1", "act": "left-beach"}),
    ("reading", {"instrument": "hyd1", "temperature_c": 14}),
    ("reading", {"instrument": "hyd1", "temperature_c": 14, "place": "net", **HAUL}),
    ("reading", {"instrument": "hyd1", "place": "net"}),
    ("reading", {"instrument": "hyd1", "place": "net", "ph": 8}),
    ("reading", {"instrument": "hyd1", "place": "net", "temperature_c": 61}),
    ("outing-signed", {"covers": {}, "digest": "ab" * 32, "role": "lead", "report_digests": []}),
    ("strike", {"entries": [], "reason": "slip"}),
    ("strike", {"entries": ["slip"], "reason": "slip"}),
    ("move", []),
]


def test_each_rule_that_python_has_the_page_has_too(js):
    id_ = CASES["entry"]["id"]
    found = js(
        "book/bodies.js",
        "data[0].map(([kind, body]) => m.faultsOf(kind, body, '2027-05-14-a', data[1]))",
        [RULED_OUT, id_],
    )
    for (kind, body), faults in zip(RULED_OUT, found, strict=True):
        assert faults_of(kind, body, "2027-05-14-a", id_), (kind, body)
        assert faults, (kind, body)
    without_outing = [
        ("place", {"place": "bucket 1", "act": "air"}),
        ("haul-ended", HAUL),
        ("move", {"lines": [SEA]}),
    ]
    for kind, body in without_outing:
        assert faults_of(kind, body, None, id_)
        assert js("book/bodies.js", "m.faultsOf(data[0], data[1], null, '')", [kind, body])


def test_every_kind_is_good_as_it_stands_in_the_cases(js):
    drafts = CASES["chains"][0]["drafts"]
    found = js(
        "book/bodies.js",
        "JSON.parse(data).map(one => m.faultsOf(one.kind, one.body, one.outing, one.id))",
        json.dumps(drafts),
    )
    assert found == [[]] * len(drafts)


TIMES = [
    "2027-05-14T06:52:10-04:00", "2027-05-14T06:52-04:00", "2027-05-14T06:52:10.5Z", "2027-05-14T06:52:10",
    "2027-05-14", "2027-05", "2027", "2027-13", "2027-02-29", "2028-02-29", "2028-02-30", "2027-04-31",
    "2027-00-10", "0000", "0001-01-01", "2027-05-14T24:00:00Z", "2027-05-14T23:60:00Z",
    "2027-05-14T23:59:60Z", "2027-05-14T06:52:10+25:00", "9999-12-31T00:00:00Z", "0001-01-01T00:00:00Z",
    "14 May 2027", "", "2027-05-14 06:52:10-04:00", "2027-5-14", "20270514",
]  # fmt: skip


def test_a_time_is_good_for_both_or_for_neither(js):
    found = js("book/instants.js", "data.map(one => [m.isTime(one), m.isInstant(one)])", TIMES)
    for text, (time, instant) in zip(TIMES, found, strict=True):
        when = or_refused(When, text)
        assert time == (when is not None), text
        assert instant == (when is not None and when.instant is not None), text


def test_the_clock_of_the_phone_is_written_with_its_offset(chromium, page_url):
    # invented: the sand clock of three zones, one of them half an hour off, and both sides of a change of the hour
    for zone, ms, wanted in [
        ("America/New_York", 1810291930000, "2027-05-14T06:52:10-04:00"),
        ("America/St_Johns", 1810291930000, "2027-05-14T08:22:10-02:30"),
        ("Pacific/Chatham", 1810291930000, "2027-05-14T23:37:10+12:45"),
        ("America/New_York", 1825480800000, "2027-11-06T02:00:00-04:00"),
        ("America/New_York", 1825574400000, "2027-11-07T03:00:00-05:00"),
    ]:
        page = chromium.new_page(timezone_id=zone)
        page.goto(f"{page_url}/blank")
        here = page.evaluate("ms => import('/book/instants.js').then(m => m.instantHere(ms))", ms)
        page.close()
        assert datetime.fromisoformat(here).timestamp() * 1000 == ms
        assert here == wanted


def test_python_and_this_browser_know_the_same_normal_form(js):
    shown = "e\u0301 \u1e9b\u0323 \u2126"  # Unicode Standard Annex 15, table 1 and figure 3
    assert js("book/canonical.js", "m.admitted(data)", shown) == unicodedata.normalize("NFC", shown)
