"""What holds for every name of a pack, for any text, and under slips."""

from __future__ import annotations

import random

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from haulbook.calls import understand
from haulbook.calls.lexicon import lexicon, stage_in
from haulbook.calls.names import listed, plural_of
from haulbook.calls.wordbook import grammar
from haulbook.taxa import PACKS, load_pack

NEIGHBOURS = {
    "a": "sqz", "b": "vn", "c": "xv", "d": "sfe", "e": "wrd", "f": "dgr", "g": "fht", "h": "gju", "i": "uok",
    "j": "hki", "k": "jlo", "l": "kp", "m": "n", "n": "bm", "o": "ipl", "p": "ol", "q": "wa", "r": "etf", "s": "adw",
    "t": "ryg", "u": "yij", "v": "cb", "w": "qes", "x": "zc", "y": "tuh", "z": "xa",
}  # fmt: skip
SOME_WORDS = (
    "two", "six", "no", "a", "cunner", "tautog", "eels", "back", "kept", "dead", "bucket", "young", "not", "yet",
    "and", "all", ",", ".", "3", "0", "make", "that", "sorry",
)  # fmt: skip
SEEDS = range(400)
MOST_WRONG = 0.01
LEAST_UNDERSTOOD = 0.55


def names_of(pack):
    """Return the listed names that one taxon alone bears, as they are called."""
    return [
        (" ".join(words), next(iter(taxa)), stage_in(words, grammar().stages))
        for words, taxa in listed(pack).items()
        if len(taxa) == 1 and "or" not in words
    ]


@pytest.mark.parametrize("key", PACKS)
def test_every_listed_name_is_certain(key):
    pack = load_pack(key)
    wrong = []
    for name, taxon, stage in names_of(pack):
        answer = understand(f"three {name}", pack)
        lines = [(line.count, line.taxon, line.stage) for line in answer.lines]
        if answer.asks or lines != [(3, taxon, stage)]:
            wrong.append((name, lines, answer.asks))
    assert not wrong


@pytest.mark.parametrize("key", PACKS)
def test_a_name_that_two_taxa_bear_is_asked_with_both(key):
    pack = load_pack(key)
    for words, taxa in listed(pack).items():
        if len(taxa) > 1:
            answer = understand(f"three {' '.join(words)}", pack)
            assert not answer.lines
            assert set(answer.asks[0].choices) >= taxa


@given(st.text(max_size=60), st.sampled_from(PACKS))
@settings(max_examples=150, deadline=None)
def test_any_text_has_an_answer_whose_taxa_are_of_the_pack(text, key):
    pack = load_pack(key)
    answer = understand(text, pack)
    assert all(line.taxon in pack.taxa for line in answer.lines)
    assert all(len(ask.choices) <= 4 and set(ask.choices) <= set(pack.taxa) for ask in answer.asks)
    assert understand(text, pack) == answer


@given(st.lists(st.sampled_from(SOME_WORDS), max_size=9))
@settings(max_examples=200, deadline=None)
def test_no_true_zero_without_a_word_for_it(words):
    text = " ".join(words)
    answer = understand(text, load_pack("nwatlantic"))
    zeros = [line for line in answer.lines if line.zero]
    assert len(zeros) <= words.count("no") + words.count("0")
    assert all(line.count == 0 for line in zeros)
    assert not (zeros and "yet" in words and "." not in words and "," not in words)


def slipped(text: str, chance: random.Random) -> str:
    words = text.split()
    at = chance.randrange(1, len(words))
    word = words[at]
    i = chance.randrange(len(word))
    kind = chance.choice(["drop", "double", "swap", "key", "add"])
    near = chance.choice(NEIGHBOURS.get(word[i], "e"))
    if kind == "drop" and len(word) > 3:
        word = word[:i] + word[i + 1 :]
    elif kind == "double":
        word = word[:i] + word[i] + word[i:]
    elif kind == "swap" and i + 1 < len(word):
        word = word[:i] + word[i + 1] + word[i] + word[i + 2 :]
    elif kind == "key":
        word = word[:i] + near + word[i + 1 :]
    else:
        word = word[:i] + near + word[i:]
    words[at] = word
    return " ".join(words)


def test_slips_are_understood_or_asked():
    """Seeded slips of our own in calls of our own: one to three letters in a name, number words left alone."""
    understood, wrong = 0, []
    for seed in SEEDS:
        chance = random.Random(seed)
        pack = load_pack(chance.choice(PACKS))
        name, taxon, stage = chance.choice(names_of(pack))
        *first, last = name.split()
        call = f"seven {' '.join((*first, plural_of(last)))}"
        text = call
        for _ in range(chance.choice([1, 1, 2, 3])):
            text = slipped(text, chance)
        answer = understand(text, pack)
        lines = [(line.count, line.taxon, line.stage) for line in answer.lines]
        if not answer.asks and lines == [(7, taxon, stage)]:
            understood += 1
        elif not answer.asks:
            wrong.append((text, call, lines))
    assert len(wrong) <= MOST_WRONG * len(SEEDS), wrong
    assert understood >= LEAST_UNDERSTOOD * len(SEEDS)


def test_the_dictionary_is_made_once():
    pack = load_pack("nepacific")
    assert lexicon(pack) is lexicon(pack)
