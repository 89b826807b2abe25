from __future__ import annotations

import tomllib

import pytest

from haulbook.exchange.answers import Answer, Question, read_answers, refuse_misfits, write_questions
from haulbook.problems import Refusal

FATE = Question(
    "fate",
    "catch.csv|6/Cove/2|Capelin|One capelin deceased.",
    (4109, 4110),
    "Rows 4109, 4110: Capelin, 2 animals, remark 'One capelin deceased.'\nPerhaps dead-back.",
    {"fate": "?", "n": "?"},
)
ORDER = Question("date-order", "site.csv|Date", (), "6/7/23: is that 6 July or 7 June?")


@pytest.fixture
def answered(tmp_path):
    def write(text):
        path = tmp_path / "C.toml"
        path.write_text(text, encoding="utf-8")
        return path

    return write


def test_questions_are_written_open_and_read_back(tmp_path):
    path = tmp_path / "C.toml"
    assert write_questions(path, [FATE, ORDER]) == 2
    fate, order = read_answers(path)
    assert fate == Answer(FATE.about, FATE.key, FATE.rows, {"fate": "?", "n": "?"})
    assert fate.open
    assert order.open
    text = path.read_text(encoding="utf-8")
    assert "# Perhaps dead-back." in text
    assert "keep this file with the sheet" in text
    assert set(tomllib.loads(text)["answer"][0]) == {"about", "key", "rows", "to"}


def test_a_suggestion_never_stands_where_an_answer_goes(tmp_path):
    path = tmp_path / "C.toml"
    write_questions(path, [FATE, ORDER])
    for table in tomllib.loads(path.read_text(encoding="utf-8"))["answer"]:
        assert table["to"] in ("?", {"fate": "?", "n": "?"})


def test_what_is_only_told_stands_commented_out_and_can_be_answered(tmp_path):
    path = tmp_path / "C.toml"
    assert write_questions(path, [ORDER], told=[FATE]) == 1
    assert [answer.about for answer in read_answers(path)] == ["date-order"]
    text = path.read_text(encoding="utf-8")
    told = text[text.index("# Rows 4109") :]
    path.write_text("\n".join(line.removeprefix("# ") for line in told.splitlines()[2:]), encoding="utf-8")
    assert read_answers(path)[0].key == FATE.key


def test_any_text_of_a_sheet_survives_in_a_key(tmp_path):
    odd = Question("name", 'a "quoted"\\ \u2019 \t|\n#', (2,), "line\n\nline")
    path = tmp_path / "C.toml"
    write_questions(path, [odd])
    assert read_answers(path)[0].key == odd.key


def test_answers_somebody_gave_are_not_overwritten(tmp_path):
    path = tmp_path / "C.toml"
    path.write_text("# mine\n", encoding="utf-8")
    with pytest.raises(Refusal, match="may hold answers"):
        write_questions(path, [FATE])
    assert path.read_text(encoding="utf-8") == "# mine\n"


def test_no_questions_make_a_file_that_reads_as_none(tmp_path):
    path = tmp_path / "C.toml"
    assert write_questions(path, []) == 0
    assert read_answers(path) == ()


def test_all_that_is_wrong_with_an_answers_file_is_said_together(answered):
    path = answered(
        '[[answer]]\nabout = "fates"\nkey = "a"\nrows = [0]\nto = 1\n'
        '[[answer]]\nabout = "fate"\nkeys = "b"\nrows = [2]\nto = 1\n[other]\nx = 1\n'
    )
    with pytest.raises(Refusal) as refused:
        read_answers(path)
    said = str(refused.value)
    assert "C.toml, column answer.1.about: there is no word 'fates'; the nearest is 'fate'" in said
    assert "answer.1.rows: write the rows as whole numbers" in said
    assert "answer.2.keys: there is no key 'keys'; the nearest is 'key'" in said
    assert "answer.2.key: is needed" in said
    assert "column other" in said


def test_what_is_no_toml_or_not_there_is_refused_in_words(answered, tmp_path):
    with pytest.raises(Refusal, match=r"C\.toml: is no TOML"):
        read_answers(answered("[[answer]\n"))
    with pytest.raises(Refusal, match="there is no file"):
        read_answers(tmp_path / "none.toml")


def test_the_same_question_answered_twice_is_refused(answered):
    one = '[[answer]]\nabout = "unit"\nkey = "a"\nrows = [2]\nto = "mm"\n'
    with pytest.raises(Refusal, match=r"answer\.2\.key: 'a' was answered before, by answer\.1"):
        read_answers(answered(one + one))


def test_a_given_answer_that_fits_is_handed_on():
    given = Answer(FATE.about, FATE.key, (4110, 4109), {"fate": "dead-back", "n": 1})
    assert refuse_misfits([given], [FATE], "C.toml") == {("fate", FATE.key): given}


def test_an_answer_whose_rows_or_key_changed_is_refused_naming_it():
    moved = Answer(FATE.about, FATE.key, (4109,), {"fate": "dead-back", "n": 1})
    gone = Answer("fate", "catch.csv|9/Cove/2|Capelin|dead", (7,), {"fate": "dead-back", "n": 1})
    with pytest.raises(Refusal) as refused:
        refuse_misfits([moved, gone], [FATE], "C.toml")
    said = str(refused.value)
    assert "answer.1: no longer fits" in said
    assert "stood on row 4109, now on rows 4109, 4110" in said
    assert (
        "answer.2: no longer fits: the file asks nothing about fate with the key 'catch.csv|9/Cove/2" in said
    )


def test_an_answer_left_open_is_no_misfit_and_is_not_handed_on():
    half = Answer("fate", "gone", (7,), {"fate": "dead-back", "n": "?"})
    assert refuse_misfits([half], [FATE], "C.toml") == {}


@pytest.mark.parametrize(
    "text", ["a = " + "[" * 5000 + "]" * 5000, "a = " + "9" * 5000], ids=["deep", "long"]
)
def test_toml_too_deep_or_too_long_to_read_is_refused_in_words(tmp_path, text):
    path = tmp_path / "C.toml"
    path.write_text(text, encoding="utf-8")
    with pytest.raises(Refusal, match=r"C\.toml: is no TOML of ours"):
        read_answers(path)
