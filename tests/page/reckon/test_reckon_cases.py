"""The committed cases: what Python says now, and what the page says."""

from __future__ import annotations

import pytest

CURRENT = "run `python tools/make_cases.py` and look at what changed"


@pytest.fixture(scope="module")
def made(tool):
    return tool("make_cases").texts()


@pytest.mark.parametrize("name", ["kit", "ledger", "left", "bucket", "tide", "key", "scoops"])
def test_the_committed_cases_are_what_python_says_now(made, name, case_text):
    assert made[f"{name}.json"] == case_text(name), CURRENT


@pytest.mark.browser
def test_ledgers(js, case):
    cases = case("ledger")["cases"]
    expression = """data.map(({entries}) => { const s = m.replay(entries); return [s.outOfSea, [...s.struck].sort(),
      s.animals.map(({haul, taxon, n, stage, fate, place}) => [haul, taxon, n, stage, fate, place])]; })"""
    for one, (sea, struck, animals) in zip(cases, js("reckon/ledger.js", expression, cases), strict=True):
        answer = one["answer"]
        keys = ("haul", "taxon", "n", "stage", "fate", "place")
        assert (sea, struck) == (answer["out_of_sea"], answer["struck"])
        assert sorted(animals, key=str) == sorted(
            ([lot[key] for key in keys] for lot in answer["animals"]), key=str
        )


@pytest.mark.browser
def test_standings(js, case):
    cases = case("left")["cases"]
    expression = """(async () => {
      const { replay } = await import('/reckon/ledger.js');
      const row = ({clause, n, possible, of, ofPossible, left, leftAtWorst}) => (
        [clause.permit, clause.id, n, possible, of, ofPossible, left, leftAtWorst]);
      return data.cases.map(({entries, standings}) => Object.fromEntries(Object.keys(standings).map((haul) => (
        [haul, m.standings(data.kit, replay(entries), haul || null).map(row)]))));
    })()"""
    found = js("reckon/left.js", expression, {"kit": case("kit"), "cases": cases})
    assert found == [one["standings"] for one in cases]


@pytest.mark.browser
def test_minutes_of_oxygen(js, case):
    cases = case("bucket")["cases"]
    expression = """data.cases.map(({place, reading, now}) => m.minutes(data.kit, place,
      reading && {...reading, at: new Date(reading.at_ms).toISOString()}, now))"""
    for one, page in zip(
        cases, js("reckon/bucket.js", expression, {"kit": case("kit"), "cases": cases}), strict=True
    ):
        for found, wanted in ((page, one["answer"]["target"]), (page["act"], one["answer"]["act"])):
            assert found["words"] == wanted["words"]
            for name in ("low", "mid", "high"):
                assert found[name] == (wanted[name] and pytest.approx(wanted[name], rel=1e-5, abs=1e-5))


@pytest.mark.browser
def test_tides(js, case):
    cases = case("tide")["cases"]
    expression = "data.cases.map(({t}) => [m.heightAt(data.kit, t), m.nextTurn(data.kit, t)])"
    found = js("reckon/tide.js", expression, {"kit": case("kit"), "cases": cases})
    for one, (cm, turn) in zip(cases, found, strict=True):
        assert cm == pytest.approx(one["cm"], abs=2)
        assert turn["kind"] == one["turn"]["kind"]
        assert abs(turn["t"] - one["turn"]["t"]) <= 30_000


@pytest.mark.browser
def test_keys(js, case):
    cases = case("key")["cases"]
    expression = """data.cases.map(({answers}) => {
      const state = answers.reduce((before, [character, key]) => m.answer(before, {key}, character), m.start(data.kit));
      return [m.ranking(state).slice(0, 4).map(({taxon, p}) => [taxon, p]), m.question(state)?.character ?? null,
        m.leaveAt(state)?.taxon ?? null];
    })"""
    for one, page in zip(
        cases, js("reckon/key.js", expression, {"kit": case("kit"), "cases": cases}), strict=True
    ):
        ranking, following, leave_at = page
        assert dict(ranking) == {taxon: pytest.approx(p, rel=0.02, abs=1e-3) for taxon, p in one["ranking"]}
        assert (following, leave_at) == (one["next"], one["leave_at"])


@pytest.mark.browser
def test_scoops(js, case):
    cases = case("scoops")["cases"]
    for one, page in zip(cases, js("reckon/scoops.js", "data.map(m.estimate)", cases), strict=True):
        assert page["n"] == pytest.approx(one["n"])
        assert page["se"] == (one["se"] and pytest.approx(one["se"], abs=1e-6))
        assert page["rounded"] == one["rounded"]
