"""Hauls, catch, effort, water and sites meet by key and day; what does not meet is asked. Invented sheets."""

from __future__ import annotations

import pytest

from haulbook.exchange.answers import Answer
from haulbook.problems import Refusal

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "hauls.csv"
role = "hauls"
columns = {haul = "haul", site = "site", no = "haul_no", lat = "lat", lon = "lon", net = "net", score = "condition"}
date = {column = "day", form = "m/d/yy"}
time = {column = "time", form = "H:M", zone = "America/New_York"}
conditions = {ok = 1, snagged = 2}
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", name = "name", n = "n"}
"""
HAULS = """haul,site,no,lat,lon,net,score,day,time
A1,cove,1,41.0,-70.0,n1,ok,5/14/27,6:52
A2,cove,2,41.0,-70.0,n1,snagged,5/14/27,7:40
B1,point,1,41.3,-70.0,n1,,5/15/27,
"""


def asked(reading):
    return [(p.file, p.row, p.message) for p in reading.problems if p.kind == "asked"]


def answer(question, to):
    return Answer(question.about, question.key, question.rows, to)


def test_hauls_carry_their_facts(read):
    first, second, third = read(MAP, hauls__csv=HAULS, catch__csv="haul,name,n\nA1,scup,3\n").hauls
    assert (first.site, first.no, first.at, first.condition) == ("cove", "1", "2027-05-14T06:52:00-04:00", 1)
    assert (first.lat, first.lon, first.net, first.listed) == (41.0, -70.0, "n1", True)
    assert second.condition == 2
    assert (third.at, third.condition) == ("2027-05-15", None)


def test_a_key_without_partner_is_asked_with_the_nearest_and_its_animals_still_count(read):
    reading = read(
        MAP, hauls__csv=HAULS, catch__csv="haul,name,n\nA1,scup,3\nB l,scup,4\nB1x,eel,5\nB1x,scup,1\n"
    )
    assert reading.animals == 13
    assert reading.by_haul == {"A1": 3, "A2": 0, "B1": 0, "B l": 4, "B1x": 6}
    questions = [q for q in reading.questions if q.about == "haul-key"]
    assert [(q.key, q.rows) for q in questions] == [("catch.csv|B l", (3,)), ("catch.csv|B1x", (4, 5))]
    assert "the nearest without a partner is 'B1'" in questions[1].ask
    assert [haul.listed for haul in reading.hauls] == [True, True, True, False, False]


def test_an_answered_key_joins_or_stays_a_haul_of_its_own(read):
    sheets = {"hauls__csv": HAULS, "catch__csv": "haul,name,n\nA1,scup,3\nB1x,eel,5\n"}
    (question,) = read(MAP, **sheets).questions
    assert read(MAP, [answer(question, "B1")], **sheets).by_haul == {"A1": 3, "A2": 0, "B1": 5}
    own = read(MAP, [answer(question, "own")], **sheets)
    assert own.by_haul == {"A1": 3, "A2": 0, "B1": 0, "B1x": 5}
    assert asked(own) == []
    with pytest.raises(Refusal, match="it takes the key of a haul of the other files, or 'own'"):
        read(MAP, [answer(question, "C9")], **sheets)


def test_an_answer_that_no_longer_fits_is_refused(read):
    sheets = {"hauls__csv": HAULS, "catch__csv": "haul,name,n\nA1,scup,3\nB1x,eel,5\n"}
    with pytest.raises(Refusal, match="no longer fits"):
        read(MAP, [Answer("haul-key", "catch.csv|B1x", (7,), "B1")], **sheets)
    with pytest.raises(Refusal, match="asks nothing about haul-key"):
        read(MAP, [Answer("haul-key", "catch.csv|gone", (3,), "B1")], **sheets)


def test_keys_that_never_meet_are_one_problem(read):
    catch = "haul,name,n\n" + "".join(f"2027-{i},scup,1\n" for i in range(9))
    reading = read(MAP, hauls__csv=HAULS, catch__csv=catch)
    ((_, _, message),) = asked(reading)
    assert "none of its 9 haul keys is in the other files: here '2027-0', there 'A1'" in message
    assert reading.animals == 9


def test_a_haul_listed_twice_is_asked_and_its_second_row_not_taken(read):
    reading = read(
        MAP,
        hauls__csv=HAULS + "A1,point,1,41.3,-70.0,n1,ok,5/16/27,8:00\n",
        catch__csv="haul,name,n\nA1,scup,3\n",
    )
    assert asked(reading)[0][:2] == ("hauls.csv", 5)
    assert reading.hauls[0].site == "cove"


def test_a_condition_nobody_explained_and_impossible_positions_are_refused_by_row(read):
    hauls = HAULS.replace(",ok,", ",fine,").replace("41.3,-70.0", "95,-70.0")
    reading = read(MAP, hauls__csv=hauls, catch__csv="haul,name,n\nA1,scup,3\n")
    found = [(p.row, p.column) for p in reading.problems if p.kind == "refused"]
    assert found == [(2, "score"), (4, "lat")]


def test_a_haul_far_from_its_site_is_told(read):
    reading = read(MAP, hauls__csv=HAULS.replace("2,41.0", "2,42.0").replace("point", "cove"),
                   catch__csv="haul,name,n\nA1,scup,3\n")  # fmt: skip
    # one degree of latitude is 111.2 km on a sphere of 6371 km (pi / 180 x 6371): 111 km from 41.0, 78 km from 41.3
    assert [p.message for p in reading.problems if "km from the other hauls" in p.message] == [
        "haul 'A1' lies 33 km from the other hauls of 'cove'",
        "haul 'A2' lies 78 km from the other hauls of 'cove'",
    ]


def test_positive_longitudes_of_a_western_coast_are_asked_and_not_used_meanwhile(read):
    sheets = {"hauls__csv": HAULS.replace("-70.0", "70.0"), "catch__csv": "haul,name,n\nA1,scup,3\n"}
    reading = read(MAP, **sheets)
    (question,) = reading.questions
    assert (question.about, question.rows) == ("unit", (2, 3, 4))
    assert reading.hauls[0].lon is None
    assert read(MAP, [answer(question, "west")], **sheets).hauls[0].lon == -70.0
    assert read(MAP, [answer(question, "east")], **sheets).hauls[0].lon == 70.0
    with pytest.raises(Refusal, match="it takes 'west' or 'east'"):
        read(MAP, [answer(question, "negate")], **sheets)
    negated = read(
        MAP.replace('net = "net"', 'net = "net"', 1).replace(
            'role = "hauls"', 'role = "hauls"\nnegate = ["lon"]'
        ),
        **sheets,
    )
    assert negated.hauls[0].lon == -70.0
    assert asked(negated) == []


@pytest.mark.parametrize(
    ("days", "form"), [("5/14/27", "m/d/yy"), ("14/5/27", "d/m/yy"), ("2027-05-14", "iso")]
)
def test_a_date_form_is_found_from_the_whole_column(read, days, form):
    text = MAP.replace(', form = "m/d/yy"', "")
    hauls = f"haul,site,no,lat,lon,net,score,day,time\nA1,cove,1,,,,,{days},6:52\n"
    assert read(text, hauls__csv=hauls, catch__csv="haul,name,n\nA1,scup,3\n").hauls[0].day == "2027-05-14"


def test_day_and_month_that_could_be_either_are_asked_once(read):
    text = MAP.replace(', form = "m/d/yy"', "")
    hauls = "haul,site,no,lat,lon,net,score,day,time\nA1,cove,1,,,,,5/6/27,6:52\nA2,cove,2,,,,,7/8/27,\n"
    sheets = {"hauls__csv": hauls, "catch__csv": "haul,name,n\nA1,scup,3\n"}
    reading = read(text, **sheets)
    (question,) = reading.questions
    assert question.about == "date-order"
    assert [haul.day for haul in reading.hauls] == [None, None]
    assert [haul.day for haul in read(text, [answer(question, "d/m/yy")], **sheets).hauls] == [
        "2027-06-05",
        "2027-08-07",
    ]


def test_a_date_that_is_none_is_refused_by_row(read):
    hauls = HAULS.replace("5/15/27", "2/30/27")
    reading = read(MAP, hauls__csv=hauls, catch__csv="haul,name,n\nA1,scup,3\n")
    assert [(p.row, p.column) for p in reading.problems if p.kind == "refused"] == [(4, "day")]


SETS = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
haul_from = ["site", "date", "set"]
columns = {site = "site", set = "haul_no", name = "name", n = "n"}
date = {columns = ["y", "m", "d"]}
time = {column = "clock", form = "hhmm", zone = "America/New_York"}
[[file]]
name = "effort.csv"
role = "effort"
haul_from = ["site", "date", "set"]
set_type = "rectangle_half_disc"
date = {columns = ["y", "m", "d"]}
[[file.set]]
no = "1"
columns = {out1 = "b_m", wide1 = "w_ft", area1 = "area_ha"}
[[file.set]]
no = "2"
columns = {out2 = "b_m", wide2 = "w_ft", area2 = "area_ha"}
[[file]]
name = "water.csv"
role = "environment"
columns = {site = "site", t = "temperature_c", ph = "ph", z = "depth_m"}
date = {columns = ["y", "m", "d"]}
"""


def test_effort_side_by_side_reaches_its_sets_in_metres(read):
    catch = (
        "site,y,m,d,set,clock,name,n\ncove,2027,5,14,1,652,scup,3\n"
        "cove,2027,5,14,2,730,scup,2\ncove,2027,5,14,1&2,800,eel,1\n"
    )
    effort = (
        "site,y,m,d,out1,wide1,area1,out2,wide2,area2\n"
        "cove,2027,5,14,20,30,0.015,n/a,n/a,n/a\ncave,2027,5,14,,,,18,30,\n"
    )
    water = "site,y,m,d,t,ph,z\ncove,2027,5,14,9.5,8.1,0\ncove,2027,5,14,9.1,11.2,1\nreef,2027,5,14,9,8,0\n"
    reading = read(SETS, catch__csv=catch, effort__csv=effort, water__csv=water)
    first, second, pooled = reading.hauls
    assert first.key == "cove/2027-05-14/1"
    assert first.at == "2027-05-14T06:52:00-04:00"
    # 30 ft are 9.144 m and 0.015 ha 150 m2 (NIST SP 811, appendix B.8)
    assert (dict(first.measures), first.area_m2) == ({"b": 20.0, "w": 9.144}, pytest.approx(150.0))
    assert dict(second.measures) == {}
    ((file, row, message),) = asked(reading)
    assert (file, row) == ("effort.csv", 3)
    assert "Haul 'cave/2027-05-14/2'" in message
    notes = [p.message for p in reading.problems if p.kind == "note"]
    assert f"haul {pooled.key!r} has no effort in effort.csv: no area, no catch per area" in notes
    assert "no haul was made at reef/2027-05-14; these readings belong to none" in notes
    assert any("ph 11.2 is unusual" in note for note in notes)
    assert [(r.haul, r.depth_m, dict(r.values)) for r in reading.readings] == [
        (first.key, 0.0, {"temperature_c": 9.5, "ph": 8.1}),
        (first.key, 1.0, {"temperature_c": 9.1, "ph": 11.2}),
    ]


def test_two_times_of_one_haul_are_told_and_the_first_kept(read):
    catch = "site,y,m,d,set,clock,name,n\ncove,2027,5,14,1,652,scup,3\ncove,2027,5,14,1,700,eel,2\n"
    reading = read(SETS, catch__csv=catch)
    (altered,) = [p for p in reading.problems if p.kind == "altered"]
    assert (altered.row, altered.column) == (3, "clock")
    assert "07:00 here, 06:52 before" in altered.message


NAMES = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "catch.csv"
role = "catch"
columns = {haul = "haul", code = "name", n = "n", note = "remark"}
[[file]]
name = "codes.csv"
role = "names"
columns = {code = "code", common = "name", latin = "scientific", of = "members"}
[[file]]
name = "lengths.csv"
role = "lengths"
columns = {haul = "haul", code = "name", mm = "length_mm"}
"""


def test_codes_outside_the_list_are_asked_and_groups_told(read):
    reading = read(
        NAMES,
        catch__csv="haul,code,n,note\nH1,scup,3,\nH1,cunr,4,\nH1,cunr,4,x\n",
        codes__csv="code,common,latin,of\nscup,scup,Stenotomus chrysops,\ncunn,cunner,,\n"
        "skate,a skate,Leucoraja spp,Leucoraja_erinacea Leucoraja_ocellata\n",
    )
    question = next(q for q in reading.questions if q.about == "name")
    assert (question.key, question.rows) == ("cunr", (3, 4))
    assert "The nearest there is 'cunn'" in question.ask
    assert any(p.row == 4 and "a group of 2" in p.message for p in reading.problems)
    assert reading.codes.names_of("scup") == ("Stenotomus chrysops", "scup")
    assert reading.by_taxon == {"scup": 3, "cunr": 8}


def test_lengths_are_met_with_counts(read):
    lengths = "haul,code,mm\n" + "H1,scup,50\n" * 12 + "H1,scup,4\nH1,eel,300\nH9,scup,50\n"
    reading = read(NAMES, catch__csv="haul,code,n,note\nH1,scup,3,\n", lengths__csv=lengths)
    notes = {p.row: p.message for p in reading.problems if p.kind == "note" and p.file == "lengths.csv"}
    assert notes[2] == "13 scup of haul 'H1' were measured, more than the 3 counted"
    assert notes[15] == "1 eel of haul 'H1' were measured, and none was counted"
    assert notes[14] == "scup of 4 mm; half of the 14 here are below 50 mm"
    assert [(group.haul, group.name, len(group.mm)) for group in reading.lengths] == [
        ("H1", "scup", 13), ("H1", "eel", 1), ("H9", "scup", 1),
    ]  # fmt: skip


def test_remarks_that_count_on_and_dittos_are_told(read):
    catch = (
        "haul,code,n,note\n"
        + "".join(f"H{i},scup,1,low for rep {i}\n" for i in range(1, 5))
        + 'H9,scup,1,""""\n'
    )
    notes = {p.row: p.message for p in read(NAMES, catch__csv=catch).problems if p.column == "note"}
    assert "from here to row 5 the number in the remark counts on from 1 to 4" in notes[2]
    assert "perhaps the same as above" in notes[6]


def test_fates_in_remarks_are_asked_once_a_block_and_their_answer_kept(read):
    dead = "scup,1,One scup deceased\n"
    catch = f"haul,code,n,note\nH1,{dead}H1,{dead}H1,scup,8,\nH2,{dead}"
    reading = read(NAMES, catch__csv=catch)
    fates = [q for q in reading.questions if q.about == "fate"]
    assert [(q.key, q.rows) for q in fates] == [
        ("catch.csv|H1|scup|One scup deceased", (2, 3)),
        ("catch.csv|H2|scup|One scup deceased", (5,)),
    ]
    answered = read(NAMES, [answer(fates[0], {"fate": "dead-back", "n": 1})], catch__csv=catch)
    (settled,) = answered.remark_fates
    assert (settled.rows, settled.n, settled.fate) == ((2, 3), 1, "dead-back")
    with pytest.raises(Refusal, match="these rows hold 2 animals"):
        read(NAMES, [answer(fates[0], {"fate": "dead-back", "n": 3})], catch__csv=catch)
    with pytest.raises(Refusal, match="the nearest is 'dead-back'"):
        read(NAMES, [answer(fates[0], {"fate": "dead-bak", "n": 1})], catch__csv=catch)


def test_listed_hauls_without_catch_and_sites_in_no_file_are_told(read):
    text = (
        MAP
        + '[[file]]\nname = "sites.csv"\nrole = "sites"\ncolumns = {site = "site", lat = "lat", lon = "lon"}\n'
    )
    hauls = HAULS.replace("2,41.0,-70.0", "2,,").replace("point,1", "piont,1")
    sites = "site,lat,lon\ncove,41.05,-70.05\npoint,41.3,-70\n"
    reading = read(text, hauls__csv=hauls, catch__csv="haul,name,n\nA1,scup,3\n", sites__csv=sites)
    notes = [(p.row, p.message) for p in reading.problems if p.kind == "note"]
    assert (3, "haul 'A2' stands in no sheet of catch; taken as a haul that caught nothing") in notes
    assert (4, "site 'piont' is in no file of sites; the nearest there is 'point'") in notes
    assert [(haul.lat, haul.lon) for haul in reading.hauls] == [(41.0, -70.0), (41.05, -70.05), (41.3, -70.0)]


def test_readings_repeated_on_every_row_of_a_catch_are_taken_once_a_haul(read):
    text = MAP.replace('n = "n"}', 'n = "n", t = "temperature_c"}')
    catch = "haul,name,n,t\nA1,scup,3,9.5\nA1,cunner,1,9.5\nA2,scup,1,9.7\n"
    reading = read(text, hauls__csv=HAULS, catch__csv=catch)
    assert [(r.haul, dict(r.values)) for r in reading.readings] == [
        ("A1", {"temperature_c": 9.5}), ("A2", {"temperature_c": 9.7}),
    ]  # fmt: skip


def test_one_haul_on_two_days_is_asked(read):
    text = MAP.replace(
        'columns = {haul = "haul", name',
        'date = {column = "day", form = "iso"}\ncolumns = {haul = "haul", name',
    )
    catch = "haul,name,n,day\nA1,scup,3,2027-05-14\nA1,scup,4,2027-06-14\n"
    reading = read(text, hauls__csv=HAULS, catch__csv=catch)
    assert [row for _, row, message in asked(reading) if "needs another column" in message] == [3]
    assert reading.animals == 7
