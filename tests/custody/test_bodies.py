"""The table of kinds: a good body of each, and what is refused in which words."""

from __future__ import annotations

import pytest

from haulbook.custody.bodies import BODIES, faults_of

OUTING = "2027-05-14-a"
HAUL = f"{OUTING}/1"
ENTRY = "01a57dce-bb60-7abc-8def-0123456789ab"
SUM = "0" * 64
LINE = {"taxon": "cunner", "n": 6, "from": "sea", "to": "net", "haul": HAUL}
SCOOPS = {"method": "scoops", "of": 12, "counted": [52, 47, 51], "batch": "tote 1"}

GOOD = [
    (
        "outing-opened",
        {
            "plan": {"site": "cove"},
            "digest": SUM,
            "pack": "nwatlantic",
            "version": "1",
            "permits": [{"permit": "EX-27-014", "version": "1"}],
            "looked_for": ["rock-gunnel"],
        },
    ),
    (
        "outing-opened",
        {"plan": None, "digest": None, "pack": "nwatlantic", "version": "1", "permits": [], "looked_for": []},
    ),
    ("outing-closed", {}),
    ("outing-closed", {"remark": "wind got up"}),
    (
        "outing-signed",
        {"covers": {"d1": 40, "desk": 3}, "digest": SUM, "role": "lead", "report_digests": [SUM]},
    ),
    (
        "haul-started",
        {
            "haul": HAUL,
            "label": "6/Glacier Spit/2",
            "site": "cove",
            "net": "n1",
            "set_type": "straight",
            "lat": 41.46,
            "lon": -71.31,
        },
    ),
    (
        "haul-landed",
        {
            "haul": HAUL,
            "condition": 2,
            "why": "leadline lifted",
            "w": {"m": 6.2, "basis": "measured"},
            "d": {"m": 30, "basis": "assumed"},
            "depth_m": 0.8,
            "area": {"m2": 186, "basis": "measured", "said_by": "p1"},
        },
    ),
    ("haul-ended", {"haul": HAUL}),
    (
        "move",
        {
            "lines": [
                LINE,
                {
                    **LINE,
                    "to": "back",
                    "stage": "young",
                    "sex": "female",
                    "length_mm": 61.5,
                    "length_type": "total",
                    "origin": "wild",
                    "mark": "left pelvic clip",
                    "berried": False,
                    "doubt": "name",
                    "said": "yoy cunner?",
                    "haul_assumed": True,
                },
            ],
            "text": "six cunner",
        },
    ),
    ("move", {"lines": [{**LINE, "n": 600, "basis": "expanded", "subsample": SCOOPS}]}),
    (
        "move",
        {
            "lines": [
                {**LINE, "stage": "egg mass"},
                {**LINE, "unit": "egg_mass"},
                {**LINE, "taxon": "?slimy thing", "basis": "judged", "unit": "gram"},
            ]
        },
    ),
    ("move", {"lines": [{**LINE, "from": "bucket 1", "to": "lost", "cause": "jumped out"}]}),
    (
        "redetermination",
        {
            "lines": [
                {
                    "place": "back",
                    "haul": HAUL,
                    "n": 3,
                    "was": {"taxon": "cottidae", "stage": None},
                    "now": {"taxon": "grubby", "stage": "young"},
                }
            ],
            "why": "photo",
        },
    ),
    (
        "lengths",
        {
            "haul": HAUL,
            "taxon": "cunner",
            "stage": "young",
            "length_type": "total",
            "mm": [41, 38.5],
            "g": [1.2, 0.9],
            "sex": "male",
            "clipped": True,
            "tissue": False,
            "voucher_no": "V-12",
        },
    ),
    ("present", {"haul": HAUL, "taxon": "moon-jelly"}),
    ("searched-and-none", {"haul": HAUL, "taxa": ["american-eel"]}),
    ("place", {"place": "bucket 1", "act": "set-up", "purpose": "keep", "litres": 14, "air_per_h": 3}),
    ("place", {"place": "cooler 2", "act": "left-beach"}),
    (
        "reading",
        {
            "place": "tank q1",
            "instrument": "hyd1",
            "temperature_c": 12.5,
            "salinity": 30.1,
            "oxygen_mg_l": 8,
            "oxygen_percent": 96,
            "ph": 8.1,
            "scale": "NBS",
            "tan_mg_n_l": 0.02,
        },
    ),
    ("counted-again", {"place": "bucket 1", "taxon": "cunner", "stage": "young", "n": 0}),
    ("strike", {"entries": [ENTRY], "reason": "slip", "instead": [ENTRY]}),
    (
        "settled",
        {
            "key": f"double-count:{HAUL} cunner - d1 d2",
            "answer": "both stand",
            "why": "two people called from two ends of the net",
        },
    ),
    (
        "care",
        {
            "place": "tank q1",
            "act": "treated",
            "taxon": "cunner",
            "g": 0.5,
            "what": "salt",
            "prescribed_by": "the veterinarian",
        },
    ),
    ("paper", {"permit": "EX-27-014", "clause": "7", "act": "receipt", "sha256": SUM, "digest": SUM}),
    ("picture", {"of": ENTRY, "sha256": SUM, "bytes": 81234}),
    ("remark", {"text": "a seal looked on", "haul": HAUL}),
]


def faults(kind, body, outing=OUTING, entry=ENTRY):
    return faults_of(kind, body, outing, entry)


@pytest.mark.parametrize(("kind", "body"), GOOD)
def test_a_good_body_of_each_kind_is_taken(kind, body):
    assert faults(kind, body) == []


def test_every_kind_of_the_table_has_a_good_example_here():
    assert {kind for kind, _ in GOOD} == set(BODIES)


@pytest.mark.parametrize("kind", sorted(BODIES))
def test_every_kind_refuses_a_key_that_it_does_not_know(kind):
    good = next(body for name, body in GOOD if name == kind)
    (said,) = faults(kind, {**good, "wether": "fine"})
    assert said.startswith("the body has the key 'wether', which is not known there; ")


@pytest.mark.parametrize(("kind", "body"), [(kind, body) for kind, body in GOOD if body])
def test_every_needed_key_is_missed_by_name(kind, body):
    if kind == "outing-closed":
        return
    assert any("the body lacks " in said for said in faults(kind, {}))


@pytest.mark.parametrize(
    ("change", "words"),
    [
        ({"n": 0}, "line 1, n is 0; it takes a whole number of at least 1"),
        ({"n": True}, "line 1, n is True; it takes a whole number of at least 1"),
        ({"n": 2.5}, "line 1, n is 2.5; it takes a whole number of at least 1"),
        (
            {"taxon": "Six Cunner"},
            "line 1, taxon is 'Six Cunner'; it takes the key of a taxon, or ?the name as written while it is open",
        ),
        ({"taxon": "?"}, "it takes the key of a taxon, or ?the name as written"),
        (
            {"haul": "2027-05-14-a"},
            "line 1, haul is '2027-05-14-a'; it takes outing/number, as 2027-05-14-a/1",
        ),
        ({"haul": "2027-05-14-a/01"}, "it takes outing/number"),
        (
            {"haul": "2027-05-15-a/1"},
            "line 1, haul is '2027-05-15-a/1', which is no haul of the entry's outing 2027-05-14-a",
        ),
        ({"haul": ENTRY}, "what comes from the sea came in a haul, as 2027-05-14-a/1"),
        (
            {"from": "back"},
            "line 1, from is 'back', which nothing leaves: strike the line that put them there",
        ),
        (
            {"from": "bucket"},
            "line 1, from is 'bucket'; it takes sea, born, brought, net, bucket N, cooler N or tank KEY",
        ),
        ({"to": "sea"}, "line 1, to is 'sea', where animals only come from; put back alive is 'back'"),
        (
            {"to": "bucket 01"},
            "line 1, to is 'bucket 01'; it takes net, bucket N, cooler N, tank KEY, escaped, back-in-net, back,",
        ),
        ({"from": "net"}, "line 1 goes from net to net: nothing moved; leave it out"),
        (
            {"from": "net", "to": "escaped"},
            "line 1 escapes from net; escaped means before landing, from sea: one that got away later is lost",
        ),
        (
            {"from": "bucket 1", "to": "back-in-net"},
            "line 1 goes back in the net from bucket 1; that is for animals never taken out",
        ),
        ({"to": "lost"}, "line 1 lacks cause; say how they were lost (jumped out, miscounted ...)"),
        (
            {"stage": "yuong"},
            "line 1, stage is 'yuong'; it takes one of larva, young, adult, egg mass; the nearest is 'young'",
        ),
        ({"unit": "kg"}, "line 1, unit is 'kg'; it takes one of individual, egg_mass, colony, blade, gram"),
        (
            {"stage": "egg mass", "unit": "individual"},
            "line 1, unit is 'individual'; egg masses count in egg_mass",
        ),
        (
            {"stage": "young", "unit": "egg_mass"},
            "line 1, stage is 'young' beside the unit egg_mass; its stage is 'egg mass'",
        ),
        (
            {"basis": "expanded"},
            "line 1 is expanded but lacks subsample; say which scoops were counted, or call it judged",
        ),
        ({"subsample": SCOOPS}, "line 1 has a subsample, so its basis is 'expanded', not 'counted'"),
        (
            {"n": 599, "basis": "expanded", "subsample": SCOOPS},
            "line 1, n is 599; 12 scoops, of which the counted held 52 47 51, make 600 (rounded up)",
        ),
        (
            {"basis": "expanded", "subsample": {**SCOOPS, "of": 2}},
            "line 1, subsample counted 3 scoops of only 2",
        ),
        (
            {"basis": "expanded", "subsample": {**SCOOPS, "counted": []}},
            "line 1, subsample, counted is empty; it takes at least 1 scoop",
        ),
        (
            {"basis": "expanded", "subsample": {**SCOOPS, "counted": [3, -1]}},
            "line 1, subsample, scoop 2 is -1; it takes a whole number of at least 0",
        ),
        ({"to": ["net"]}, "line 1, to is a list; it takes net, bucket N, cooler N"),
        ({"to": 7}, "line 1, to is 7"),
        ({"length_mm": 12}, "line 1 lacks length_type; a length says what was measured"),
        ({"length_type": "total"}, "line 1 lacks length_mm"),
        (
            {"lenght_mm": 12},
            "line 1 has the key 'lenght_mm', which is not known there; the nearest known one is 'length_mm'",
        ),
        ({"sex": "f"}, "line 1, sex is 'f'; it takes one of female, male, hermaphrodite"),
        ({"berried": 1}, "line 1, berried is 1; it takes true or false"),
    ],
)
def test_a_line_of_a_move_is_refused_in_words(change, words):
    said = faults("move", {"lines": [{**LINE, **change}]})
    assert len(said) == 1
    assert words in said[0]


def test_scoops_are_rounded_up_because_a_permit_counts_whole_animals():
    # 3 of 12 scoops with 41, 36, 52 make 516: the check of the project's methods page (Cochran 1977, ch. 2).
    good = {
        **LINE,
        "n": 516,
        "basis": "expanded",
        "subsample": {"method": "scoops", "of": 12, "counted": [41, 36, 52]},
    }
    assert faults("move", {"lines": [good]}) == []
    # All three scoops of three were counted: nothing is left to estimate.
    whole = {**good, "n": 129, "subsample": {"method": "scoops", "of": 3, "counted": [41, 36, 52]}}
    assert faults("move", {"lines": [whole]}) == []
    # 10 scoops with 1, 0, 0 in three are 3.33 animals: four.
    up = {
        **LINE,
        "n": 4,
        "basis": "expanded",
        "subsample": {"method": "scoops", "of": 10, "counted": [1, 0, 0]},
    }
    assert faults("move", {"lines": [up]}) == []


def test_animals_born_or_brought_carry_the_id_of_their_entry_as_haul():
    line = {**LINE, "from": "brought", "to": "tank q1", "haul": ENTRY}
    assert faults("move", {"lines": [line]}, outing=None) == []
    (said,) = faults("move", {"lines": [{**line, "haul": HAUL}]})
    assert (
        "brought animals carry the id of this entry, 01a57dce-bb60-7abc-8def-0123456789ab, as their haul"
        in said
    )


def test_all_lines_are_looked_at():
    said = faults("move", {"lines": [{**LINE, "n": 0}, LINE, {**LINE, "to": "bin"}]})
    assert [words.split(",")[0] for words in said] == ["line 1", "line 3"]


@pytest.mark.parametrize(
    ("kind", "body", "words"),
    [
        ("haul-landed", {"haul": HAUL, "condition": 6}, "condition is 6; it takes one of 1, 2, 3, 4, 5, 9"),
        ("haul-landed", {"haul": HAUL, "condition": 1, "w": 6.2}, "w is 6.2; it takes an object"),
        (
            "haul-landed",
            {"haul": HAUL, "condition": 1, "w": {"m": 0, "basis": "guessed"}},
            "w, m is 0; it takes a number above 0 (metres)",
        ),
        (
            "haul-started",
            {"haul": HAUL, "lat": 41.4},
            "the body has lat but lacks lon; a position needs both",
        ),
        (
            "haul-started",
            {"haul": HAUL, "lat": 141.4, "lon": 0},
            "lat is 141.4; it takes a number from -90 to 90 (degrees north, EPSG:4326)",
        ),
        (
            "haul-started",
            {"haul": "2027-05-15-a/1"},
            "haul is '2027-05-15-a/1', which is no haul of the entry's outing 2027-05-14-a",
        ),
        (
            "place",
            {"place": "bucket 1", "act": "purpose"},
            "the body lacks purpose; say what bucket 1 is for: keep, hold or release",
        ),
        (
            "place",
            {"place": "cooler 1", "act": "set-up", "purpose": "keep"},
            "cooler 1 has a purpose; only buckets are to keep, to hold or to release",
        ),
        (
            "place",
            {"place": "tank q1", "act": "left-beach"},
            "tank q1 left the beach, where no tank stands; name the bucket or cooler",
        ),
        (
            "place",
            {"place": "back", "act": "set-up"},
            "place is 'back'; it takes net, bucket N, cooler N or tank KEY",
        ),
        (
            "reading",
            {"instrument": "hyd1", "salinity": 30},
            "a reading is taken in a place or in a haul: give one of the two",
        ),
        (
            "reading",
            {"instrument": "hyd1", "haul": HAUL},
            "a reading lacks what was read; give at least one of temperature_c, salinity",
        ),
        (
            "reading",
            {"instrument": "m", "haul": HAUL, "ph": 8},
            "the body has ph but lacks scale; a pH says on which scale it was read",
        ),
        (
            "lengths",
            {"haul": HAUL, "taxon": "cunner", "length_type": "total", "mm": [1, 2], "g": [1]},
            "2 lengths and 1 weights; give one weight a length, or none",
        ),
        (
            "redetermination",
            {
                "lines": [
                    {"place": "sea", "haul": HAUL, "n": 1, "was": {"taxon": "a"}, "now": {"taxon": "b"}}
                ],
                "why": "x",
            },
            "line 1, place is 'sea'",
        ),
        (
            "redetermination",
            {
                "lines": [
                    {
                        "place": "back",
                        "haul": HAUL,
                        "n": 1,
                        "was": {"taxon": "a"},
                        "now": {"taxon": "a", "stage": None},
                    }
                ],
                "why": "x",
            },
            "line 1 turns a into itself: nothing changed; leave it out",
        ),
        (
            "redetermination",
            {
                "lines": [
                    {
                        "place": "back",
                        "haul": HAUL,
                        "n": 1,
                        "was": {"taxon": "a"},
                        "now": {"taxon": "a", "stage": "egg mass"},
                    }
                ],
                "why": "x",
            },
            "turns animals into egg masses or back, which count in another unit",
        ),
        (
            "outing-signed",
            {"covers": {}, "digest": SUM, "role": "lead", "report_digests": []},
            "covers is empty; it takes at least one key",
        ),
        (
            "outing-signed",
            {"covers": {"d1": 0}, "digest": "x", "role": "", "report_digests": []},
            "covers, d1 is 0; it takes a whole number of at least 1",
        ),
        ("settled", {"key": "x", "answer": "y"}, "the body lacks why"),
        (
            "strike",
            {"entries": ["first"], "reason": "slip"},
            "entry 1 is 'first'; it takes the id of an entry (a UUID in lower case)",
        ),
    ],
)
def test_other_kinds_are_refused_in_words(kind, body, words):
    assert any(words in said for said in faults(kind, body)), faults(kind, body)


@pytest.mark.parametrize(
    ("kind", "body"),
    [
        ("haul-ended", {"haul": HAUL}),
        ("outing-closed", {}),
        ("place", {"place": "bucket 1", "act": "lid"}),
        ("counted-again", {"place": "net", "taxon": "cunner", "n": 1}),
    ],
)
def test_what_belongs_to_an_outing_is_refused_without_one(kind, body):
    (said,) = faults(kind, body, outing=None)
    assert said.startswith(f"{kind} of ")
    assert said.endswith("belongs to an outing, and this entry has none")


def test_work_on_tanks_and_papers_needs_no_outing():
    assert faults("place", {"place": "tank q1", "act": "water-changed"}, outing=None) == []
    assert faults("counted-again", {"place": "tank q1", "taxon": "cunner", "n": 1}, outing=None) == []
    assert faults("paper", {"permit": "EX-27-014", "act": "report-sent"}, outing=None) == []
