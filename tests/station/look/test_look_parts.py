"""The macros: what they say to people, to screen readers and to forms."""

from __future__ import annotations

from types import SimpleNamespace

import pytest
from django import forms

from haulbook.problems import Problem
from haulbook.station.pages.patterns import Mended, Sample

TABLE = """{% set C = {"n": {"head": "animals"}, "area": {"head": "area", "unit": "m²"|unit}} %}
{% call tables.table("Hauls", C) %}
{% call tables.row() %}{{ tables.row_head("1", href="/h/1/", letters=["a"]) }}CELL{% endcall %}
{% endcall %}"""


def test_a_cell_tells_none_from_not_looked_for_from_nothing(written):
    zero = written(TABLE.replace("CELL", "{{ tables.cell(C.n, 0|number) }}"))
    dot = written(TABLE.replace("CELL", "{{ tables.cell(C.n, none|number, looked=false) }}"))
    blank = written(TABLE.replace("CELL", "{{ tables.cell(C.n, none|number) }}"))
    assert 'data-label="animals" class="number">0</td>' in zero
    assert '<span class="dot" aria-hidden="true">·</span><span class="unseen">not looked for</span>' in dot
    assert 'data-label="animals" class="number"></td>' in blank


def test_a_column_carries_its_unit_to_heading_and_label(written):
    said = written(TABLE.replace("CELL", "{{ tables.cell(C.area, 118.2|square_metres(bare=true)) }}"))
    assert '>area, <span class="unit">m²</span></th>' in said
    assert 'data-label="area, m²" class="number">118</td>' in said


def test_a_ring_says_that_its_letter_is_a_remark(written):
    assert '<span class="unseen">remark </span>a' in written(TABLE.replace("CELL", ""))


def test_what_is_handed_in_is_escaped(written):
    said = written(
        '{{ page.quote("<b>five</b>", "page & 3") }}{{ marks.badge("near", "<i>") }}{{ marks.said("</q>") }}'
    )
    assert "&lt;b&gt;five&lt;/b&gt;" in said
    assert "page &amp; 3" in said
    assert "<i>" not in said
    assert said.count("</q>") == 1


def test_a_difference_is_named_and_zero_is_written(written):
    balance = '{{ tables.balance([("back alive", 241)], 242, 241, NAMED) }}'
    assert "Difference: 1 grubby not found" in written(
        balance.replace("NAMED", '1, named="1 grubby not found"')
    )
    assert ">Difference</th><td>0</td>" in written(balance.replace("NAMED", "0"))


def test_a_field_in_error_keeps_what_was_typed_and_is_tied_to_its_words(written):
    form = Mended({"width": "51", "condition": "", "net": ""}, auto_id="f_%s")
    said = written('{{ forms.field(form.width, unit="m") }}', form=form)
    assert 'value="51"' in said
    assert 'aria-invalid="true"' in said
    assert 'aria-describedby="f_width_wrong"' in said
    assert 'id="f_width_wrong"' in said
    assert "51 m is wider than the 12 m net. Was it 5.1?" in said
    assert (
        '<label for="f_width"><span class="name">Width of the haul</span><span class="unit">, m</span>'
        in said
    )


def test_help_and_error_are_both_read_out(written):
    form = Sample({"width": "51"}, auto_id="f_%s")
    said = written("{{ forms.field(form.width) }}", form=form)
    assert 'aria-describedby="f_width_help f_width_wrong"' in said


def test_choices_stand_in_a_fieldset_with_a_legend_and_a_label_each(written):
    said = written("{{ forms.field(form.condition) }}", form=Sample())
    assert "<legend>" in said
    assert said.count('<label class="choice"') == 3
    assert said.count('type="radio"') == 3


def test_what_is_needed_is_said_in_a_word(written):
    field = "{{ forms.field(form[name]) }}"
    assert "needed" in written(field, form=Sample(), name="width")
    assert "needed" not in written(field, form=Sample(), name="water")


def test_the_summary_leads_to_every_field_in_error(written):
    form = Mended({"width": "51"}, auto_id="f_%s")
    form.add_error(None, "The outing was signed meanwhile.")
    said = written("{{ forms.errors(form) }}", form=form)
    for target in ("#f_width", "#f_condition_0", "#f_net"):
        assert f'href="{target}"' in said
    assert "4 things to mend" in said
    assert "The outing was signed meanwhile." in said
    assert "autofocus" in said


def test_several_forms_have_one_summary_and_none_where_all_is_well(written):
    class Line(forms.Form):
        n = forms.IntegerField(label="animals")

    lines = [Line({"n": "x"}, prefix=str(i)) for i in range(3)]
    errors = "{{ forms.errors(lines) }}"
    assert "3 things to mend" in written(errors, lines=lines)
    assert written(errors, lines=[Line({"n": "3"})]).strip() == ""


def test_a_small_form_carries_its_token_and_hidden_values(written):
    said = written('{{ forms.post_button("Strike", "/strike/", {"entry": "<1>"}) }}')
    assert 'name="csrfmiddlewaretoken"' in said
    assert 'name="entry" value="&lt;1&gt;"' in said
    assert 'method="post" action="/strike/"' in said


def test_steps_say_which_is_done_and_which_is_now(written):
    said = written('{{ page.steps(["File", "Questions", "Store"], 2) }}')
    assert said.count('aria-current="step"') == 1
    assert said.count("done:") == 1


def test_the_tab_and_the_theme_in_use_are_marked(render):
    said = render("patterns/patterns.html", **_patterns(), theme="dawn")
    assert '<html lang="en" data-theme="dawn">' in said
    assert said.count('aria-current="page"') == 1
    assert 'value="" aria-pressed="true">Dawn' in said  # pressed again, the page follows the machine
    assert "lead · last line received 21 May, 21:04" in said


def test_the_menu_is_named_after_the_page_it_leads_to(render):
    said = render("people/one_time.html", code="abc", here="gear")
    assert "<summary>Gear</summary>" in said
    assert '<li class="narrow here">' in said
    assert "<summary>More</summary>" in render("people/one_time.html", code="abc")


def test_without_a_choice_the_page_follows_the_machine(render):
    assert '<html lang="en">' in render("patterns/patterns.html", **_patterns())


def test_without_account_there_are_no_tabs(render):
    said = render("people/one_time.html", signed_in=False, code="abc")
    assert 'class="tabs"' not in said
    assert "Sign out" not in said


def test_a_message_says_how_it_went(render):
    told = [SimpleNamespace(level_tag=tag) for tag in ("success", "error")]
    said = render("people/one_time.html", code="abc", messages=told)
    assert '<p class="done" role="status">' in said
    assert '<p class="stop" role="alert">' in said


@pytest.mark.parametrize("name", ["not_yours", "not_here", "refused", "went_wrong", "slow_down"])
@pytest.mark.parametrize("signed_in", [True, False])
def test_every_answer_says_what_happened_where_and_what_to_do(render, name, signed_in):
    problems = [Problem("refused", "the date is no date; write it as 2027-05-14", file="tally.csv", row=3)]
    said = render(f"answers/{name}.html", problems=problems, signed_in=signed_in, roles=["lead"], mark="a1b2")
    assert "tally.csv, row 3: the date is no date; write it as 2027-05-14" in said
    assert "What to do now" in said
    assert "GET /page/" in said
    assert said.count("<h1>") == 1


def _patterns():
    from haulbook.station.pages.patterns import patterns_context

    return patterns_context()
