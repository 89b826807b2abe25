"""Facts written down and read back are the same facts, whatever the names, numbers and gaps in them."""

from __future__ import annotations

import hypothesis.strategies as st
from hypothesis import given, settings

from haulbook.custody.facts import Account, Animals, Haul, Later, Lengths, Measure, Short, Subsample
from haulbook.custody.facts_json import account_as_json, account_from_json
from haulbook.custody.fates import Fate
from haulbook.custody.when import When

texts = st.text(st.characters(codec="utf-8"), max_size=6)
numbers = st.integers(1, 2**53 - 1)
measures = st.floats(-1e6, 1e6) | st.integers(-1000, 1000)
whens = st.one_of(
    st.datetimes().map(lambda at: f"{at.replace(microsecond=0, year=2027).isoformat()}-04:00"),
    st.dates().map(str),
    st.just("2027-05"),
    st.just("2027"),
).map(When)
scoops = st.builds(
    Subsample,
    method=st.just("scoops"),
    of=numbers,
    counted=st.lists(numbers, max_size=3).map(tuple),
    batch=st.none() | texts,
    entry=texts,
)
laters = st.builds(
    Later, kind=st.sampled_from(["died", "killed", "given", "back", "lost"]), at=whens, entry=texts
)
animals = st.builds(
    Animals,
    haul=texts, taxon=texts, n=numbers, fate=st.sampled_from(Fate), place=texts, called=whens,
    stage=st.none() | texts, unit=texts, basis=st.sampled_from(["counted", "expanded", "judged"]),
    sex=st.none() | texts, origin=st.none() | texts, mark=st.none() | texts, berried=st.none() | st.booleans(),
    length_mm=st.none() | measures, length_type=st.none() | texts, said=st.none() | texts,
    doubt=st.none() | texts, cause=st.none() | texts, haul_assumed=st.booleans(), fated=st.none() | whens,
    later=st.lists(laters, max_size=2).map(tuple), entries=st.lists(texts, max_size=3).map(tuple),
    subsample=st.none() | scoops,
)  # fmt: skip
hauls = st.builds(
    Haul,
    key=texts, outing=texts, label=st.none() | texts, site=st.none() | texts, started=st.none() | whens,
    landed=st.none() | whens, condition=st.none() | st.integers(1, 9), why=st.none() | texts,
    measures=st.dictionaries(
        st.sampled_from("wdcb"), st.builds(Measure, measures, st.sampled_from(["measured", "assumed"]))
    ),
    depth_m=st.none() | measures, area_m2=st.none() | measures, remarks=st.lists(texts, max_size=2).map(tuple),
    lat=st.none() | measures, lon=st.none() | measures,
)  # fmt: skip
shorts = st.builds(Short, st.none() | texts, texts, texts, texts, st.none() | texts, texts, numbers)
lengths = st.builds(
    Lengths,
    haul=texts, taxon=texts, length_type=texts, mm=st.lists(measures, max_size=3).map(tuple), entry=texts,
    g=st.lists(measures, max_size=3).map(tuple), clipped=st.none() | st.booleans(),
)  # fmt: skip
pairs = st.lists(st.tuples(texts, texts), max_size=3).map(tuple)


def several(strategy):
    return st.lists(strategy, max_size=3).map(tuple)


accounts = st.builds(
    Account,
    hauls=several(hauls), animals=several(animals), present=pairs, none_found=pairs,
    looked_for=st.dictionaries(texts, several(texts), max_size=3), short=several(shorts), lengths=several(lengths),
)  # fmt: skip


@settings(max_examples=150, deadline=None)
@given(accounts)
def test_an_account_is_read_back_as_it_was(account):
    back = account_from_json(account_as_json(account))
    assert back == account
    assert repr(back) == repr(account)  # equal numbers of another type would be equal, too
