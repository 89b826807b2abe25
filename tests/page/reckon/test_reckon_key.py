"""The page's key asks, ranks and warns as ``haulbook.identify`` does, from the whole numbers of the kit."""

from __future__ import annotations

import json
import random

import numpy as np
import pytest

from haulbook.custody.ledger import account_of
from haulbook.demo.season import season
from haulbook.identify import found_in, load_model, prior, read_observations
from haulbook.identify.apart import parted_by
from haulbook.identify.characters import BODY_PLAN, COSTS
from haulbook.identify.groups import groups, leave_at, told_by_body
from haulbook.identify.notices import notices
from haulbook.identify.posterior import posterior
from haulbook.identify.question import LEAST_BITS, SURE, information, next_question
from haulbook.shore import kit_bytes

pytestmark = pytest.mark.browser

NEAR = 0.02
"""Kit scores are rounded to thousandths of a natural log: shares and bits may differ by so much of themselves."""


@pytest.fixture(scope="module")
def kit_json(tool):
    return json.loads(kit_bytes(tool("case_kits").demo_kit()))


@pytest.fixture(scope="module")
def model():
    return load_model("nwatlantic")


@pytest.fixture(scope="module")
def before(model, tool):
    plan = tool("case_kits").PLAN
    account = account_of(season()[1])
    return prior(model.matrix, found_in(account, plan.site, plan.date.month).found)


def observed(model, answers):
    return read_observations([f"{key}={state}" for key, state in answers], (), model.matrix.characters)


class Known:
    """What the identify room says after some looks, part by part."""

    def __init__(self, model, answers, skipped, before):
        seen = observed(model, answers)
        bodies = [each.states for each in seen if each.character == BODY_PLAN]
        self.nobody = bool(bodies) and not any(
            model.matrix.states(t, BODY_PLAN) & bodies[0] for t in model.taxa
        )
        self.chances = posterior(model, seen, before)
        self.shares = dict(zip(model.taxa, self.chances.tolist(), strict=True))
        self.sure = self.chances.max() >= SURE
        self.question = None if self.nobody else next_question(model, self.chances, seen, skipped)
        self.left_at = None if self.nobody or not seen else leave_at(model, self.chances)
        self.told_by_body = () if self.sure else told_by_body(model.matrix, seen)
        weighed = np.zeros_like(self.chances) if self.nobody else self.chances
        self.notices = notices(model, weighed, self.left_at, self.told_by_body) if seen else ()
        near = [self.chances.max(), *(each.probability for each in groups(model, self.chances))]
        self.near_sure = any(abs(p - SURE) < NEAR for p in near)


def walks(model, before, n):
    """Ways through the key: its own questions, answered or skipped at random; one that is sure ends a walk."""
    found = []
    for seed in range(n):
        rng = random.Random(seed)
        answers, skipped = [], []
        for _ in range(rng.randint(0, 9)):
            question = Known(model, answers, skipped, before).question
            if question is None:
                break
            if rng.random() < 0.2:
                skipped.append(question.character.key)
            else:
                answers.append((question.character.key, rng.choice(question.states)))
        found.append((answers, skipped))
    return found


WALK = """data.walks.map(([answers, skipped]) => {
  let state = m.start(data.kit, data.choices ?? []);
  for (const [character, key] of answers) state = m.answer(state, {key}, character);
  for (const character of skipped) state = m.answer(state, null, character);
  const question = m.question(state);
  return {ranking: m.ranking(state), leave: m.leaveAt(state), body: m.toldByBody(state), warnings: m.warnings(state),
    question: question && {...question, options: question.options.map(({key}) => key)}};
})"""


def test_walks_through_the_key_rank_and_ask_as_the_identify_room_does(js, kit_json, model, before):
    ways = walks(model, before, 100)
    found = js("reckon/key.js", WALK, {"kit": kit_json, "walks": ways})
    asked = 0
    for (answers, skipped), page in zip(ways, found, strict=True):
        wanted = Known(model, answers, skipped, before)
        shares = {one["taxon"]: one["p"] for one in page["ranking"]}
        assert bool(shares) != wanted.nobody
        for taxon, p in wanted.shares.items() if shares else ():
            assert shares[taxon] == pytest.approx(p, rel=NEAR, abs=1e-9), answers
        if not wanted.near_sure:
            asked += _same_question(page["question"], wanted, model)
            assert (page["leave"] and page["leave"]["taxon"]) == (wanted.left_at and wanted.left_at.taxon)
            assert sorted(page["body"]) == sorted(each.taxon for each in wanted.told_by_body)
        _same_warnings(page["warnings"], wanted)
    assert asked > 20


def _same_question(page, wanted, model):
    """The same look; another one only where two tell as much for their cost, within the rounding of the kit."""
    question = wanted.question
    if question is None:
        assert page is None
        return False
    if page["character"] != question.character.key:
        looks = [model.matrix.characters[key] for key in (page["character"], question.character.key)]
        one, other = (
            information(wanted.chances, model.answers[look.key]) / COSTS[look.cost] for look in looks
        )
        assert one == pytest.approx(other, rel=0.05)
        return False
    assert page["options"] == list(question.states)
    assert page["words"] == question.character.question
    assert page["bits"] == pytest.approx(question.bits, rel=NEAR, abs=0.01)
    assert sorted(page["between"] or ()) == sorted(question.between or ())
    return True


def _same_warnings(page, wanted):
    """The notices of what is possible; those of a group that stands for all speak at the station only."""
    weighed = {(one.kind, one.taxon): one for one in wanted.notices if one.probability is not None}
    for one in page:
        if one["p"] is None:
            continue
        other = weighed.get((one["kind"], one["taxon"]))
        if other is None:  # just at the threshold
            assert one["p"] == pytest.approx(0.01, rel=0.1) or one["p"] == pytest.approx(0.05, rel=0.1)
        else:
            assert one["words"] == other.message
    strong = {key for key, one in weighed.items() if one.probability > 0.06}
    assert strong <= {(one["kind"], one["taxon"]) for one in page}


def test_a_question_about_two_names_ranks_only_those(js, kit_json, model, before):
    (found,) = js(
        "reckon/key.js",
        WALK,
        {"kit": kit_json, "walks": [[[], []]], "choices": ["rainbow-smelt", "atlantic-silverside"]},
    )
    assert {one["taxon"] for one in found["ranking"]} == {"rainbow-smelt", "atlantic-silverside"}
    assert sum(one["p"] for one in found["ranking"]) == pytest.approx(1)
    parts = parted_by(model.matrix, "rainbow-smelt", "atlantic-silverside")
    assert found["question"]["bits"] > LEAST_BITS
    assert found["question"]["between"] is None or found["question"]["character"] in parts


def test_the_looks_that_part_two_taxa_are_those_of_the_identify_room(js, kit_json, model):
    taxa = list(model.taxa)
    rng = random.Random(3)
    pairs = [rng.sample(range(len(taxa)), 2) for _ in range(400)]
    found = js(
        "reckon/apart.js",
        "data.pairs.map(([one, other]) => m.partedBy(data.kit.identify, one, other).map(({key}) => key))",
        {"kit": kit_json, "pairs": pairs},
    )
    for (one, other), page in zip(pairs, found, strict=True):
        assert tuple(page) == parted_by(model.matrix, taxa[one], taxa[other])
    assert sum(map(len, found)) > 400


def test_look_alikes_stand_side_by_side_with_what_decides(js, kit_json):
    taxa = ["fourspine-stickleback", "threespine-stickleback", "northern-pipefish", "no-such-fish"]
    card = js("reckon/apart.js", "m.sideBySide(data[0], data[1])", [kit_json, taxa])
    assert card["taxa"] == taxa[:3]
    for look in card["looks"]:
        assert len({json.dumps(one["states"]) for one in look["of"]}) > 1
    assert card["looks"]


def test_going_back_takes_the_last_answer_away(js, kit_json):
    answers = js(
        "reckon/key.js",
        """(() => {
          const s = m.answer(m.answer(m.start(data), {key: 'torpedo'}, 'body_plan'), null, 'adipose');
          const one = m.back(s); const none = m.back(one);
          return [[s.answers.length, s.skipped.length], [one.answers.length, one.skipped.length],
            [none.answers.length, none.skipped.length]]; })()""",
        kit_json,
    )
    assert answers == [[1, 1], [1, 0], [0, 0]]
