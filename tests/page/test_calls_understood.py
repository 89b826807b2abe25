"""The phone understands a call word for word as Python does.

Python is the reference (`haulbook.calls`); the calls are those of the shared cases, of the corpus where it is, and
generated ones. Each batch goes through the browser in one piece.
"""

from __future__ import annotations

import json
import string
from pathlib import Path

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from haulbook.calls import understand
from haulbook.calls.wordbook import grammar, page_module, wordbook
from haulbook.office.kit_taxa import words_of
from haulbook.taxa import PACKS, load_pack

pytestmark = pytest.mark.browser

ROOT = Path(__file__).resolve().parents[2]
CASES = [
    (case["pack"], case["text"])
    for file in sorted((ROOT / "tests/cases").glob("calls*.json"))
    for case in json.loads(file.read_text(encoding="utf-8"))["cases"]
]
READ = "data.map(([pack, text]) => m.understand(text, globalThis.callWords[pack]))"
MOST_CALL_MS, MOST_COMPILE_MS = 10, 100
"""On an idle machine; the best of several tries is held against it, since others may use the machine too."""


def kit_of(key: str) -> dict:
    """Return the parts of a kit that calls are understood by."""
    pack = load_pack(key)
    words = json.loads(words_of(pack).model_dump_json(exclude_defaults=True))
    taxa = [{"key": one, "parent": next(iter(pack.lineage(one)), None)} for one in pack.taxa]
    return {"words": words, "taxa": taxa}


@pytest.fixture
def compiled(js):
    """Make the dictionaries once in the browser."""
    kits = {key: kit_of(key) for key in PACKS}
    made = "Object.fromEntries(Object.entries(data).map(([key, kit]) => [key, m.compileWords(kit)]))"
    there = js("calls/understand.js", "Boolean(globalThis.callWords)")
    if not there:
        js("calls/understand.js", f"void (globalThis.callWords = {made})", kits)
    return js


def assert_alike(js, calls: list[tuple[str, str]]) -> None:
    answers = js("calls/understand.js", READ, [list(call) for call in calls])
    for (pack, text), answer in zip(calls, answers, strict=True):
        assert answer == understand(text, load_pack(pack)).as_json(), (pack, text)


def test_every_case_is_understood_alike_with_both_packs(compiled):
    assert_alike(compiled, [(pack, text) for _, text in CASES for pack in PACKS])


def test_every_call_of_the_corpus_is_understood_alike(compiled, shared_data):
    lines = (shared_data / "calls/calls-dev.jsonl").read_text(encoding="utf-8").splitlines()
    corpus = [json.loads(line) for line in lines]
    assert_alike(compiled, [(case["pack"], case[key]) for case in corpus for key in ("text", "spoken")])


def test_every_name_is_understood_alike(compiled):
    names = [
        (key, name)
        for key in PACKS
        for one in wordbook(load_pack(key)).names
        for name in (*one.spoken, *one.written, *one.short)
    ]
    assert_alike(
        compiled, [(key, said) for key, name in names for said in (f"3 {name}s", f"no {name}, one back")]
    )


NUMBERS = (
    "1", "12", "0", "3.0", "6½", "¾", "x4", "4x", "b2", "45mm", "1,200", "6,5 cm", "2-3", "200+", "x30+", "9999999999",
    "⅓", "half a dozen", "1/2", "3-spine", "6 1/2 inches", "three thousand", "a hundred and five", "12 cm", "…", "③",
    "１２",
)  # fmt: skip
STOPS = ("", "", "", "", ",", ".", ";", ":", "?", " -", " — ", "(", ")", "/", "!", "\n")


@st.composite
def slipped(draw: st.DrawFn, words: st.SearchStrategy[str]) -> str:
    """Return a word with one letter dropped, added, changed or swapped."""
    word = draw(words)
    i = draw(st.integers(0, len(word) - 1))
    letter = draw(st.sampled_from(string.ascii_lowercase))
    kinds = (
        word[:i] + word[i + 1 :],
        word[:i] + letter + word[i:],
        word[:i] + letter + word[i + 1 :],
        word[:i] + word[i + 1 : i + 2] + word[i] + word[i + 2 :],
    )
    return draw(st.sampled_from(kinds))


def _call(key: str) -> st.SearchStrategy[tuple[str, str]]:
    said = grammar()
    names = st.sampled_from([name for one in wordbook(load_pack(key)).names for name in one.spoken])
    phrases = st.sampled_from([phrase for _, _, phrases in said.phrases for phrase in phrases])
    strangers = st.sampled_from([*said.strangers, *wordbook(load_pack(key)).strangers])
    word = st.one_of(
        names, names, phrases, phrases, st.sampled_from(NUMBERS), strangers, st.sampled_from(said.english),
        slipped(names), slipped(phrases), st.text(max_size=8),
    )  # fmt: skip
    joined = st.builds(lambda word, stop: word + stop, word, st.sampled_from(STOPS))
    return st.tuples(st.just(key), st.lists(joined, max_size=9).map(" ".join))


CALLS = st.lists(st.one_of(*map(_call, PACKS)), min_size=1, max_size=25)


@given(calls=CALLS)
@settings(
    max_examples=60,
    deadline=None,
    suppress_health_check=[
        HealthCheck.function_scoped_fixture,
        HealthCheck.too_slow,
        HealthCheck.data_too_large,
    ],
)
def test_any_call_is_understood_alike(compiled, calls):
    assert_alike(compiled, calls)


@given(texts=st.lists(st.text(max_size=40), min_size=1, max_size=20))
@settings(max_examples=30, deadline=None, suppress_health_check=[HealthCheck.function_scoped_fixture])
def test_any_text_is_understood_alike(compiled, texts):
    assert_alike(compiled, [(PACKS[0], text) for text in texts])


def test_the_words_in_the_folder_of_the_page_are_those_of_python():
    kept = (ROOT / "src/haulbook/shore/page/calls/grammar.js").read_text(encoding="utf-8")
    assert kept == page_module(), "run python tools/make_page_words.py"


def test_a_call_is_understood_while_the_finger_is_still_on_the_key(compiled):
    least = """data.map(([pack, text]) => Math.min(...[1, 2, 3, 4].map(() => {
        globalThis.callWords[pack].remembered.clear();
        const at = performance.now();
        m.understand(text, globalThis.callWords[pack]);
        return performance.now() - at;
    })))"""
    took = sorted(compiled("calls/understand.js", least, [list(case) for case in CASES]))
    assert took[int(0.95 * len(took))] < MOST_CALL_MS


def test_the_dictionary_is_made_before_anybody_waits_for_it(js):
    least = """Math.min(...[1, 2, 3, 4, 5].map(() => {
        const at = performance.now();
        m.compileWords(data);
        return performance.now() - at;
    }))"""
    assert js("calls/understand.js", least, kit_of("nepacific")) < MOST_COMPILE_MS
