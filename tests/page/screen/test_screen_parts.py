"""What each part of the screen says and writes: limits, buckets, the tide, notices, sorting, measuring, scoops."""

from __future__ import annotations

from collections import Counter
from datetime import timedelta

import pytest

from haulbook.custody.ledger import account_of

pytestmark = pytest.mark.browser


def last(phone, kind):
    return [entry for entry in phone.entries() if entry.kind == kind][-1]


def where(phone):
    """Animals of the book by taxon and place."""
    found = Counter()
    for lot in account_of(phone.book()).animals:
        found[lot.taxon, lot.place] += lot.n
    return found


def test_what_was_kept_says_what_may_still_be_kept_and_more_is_asked_first(beach):
    phone = beach()
    phone.start()
    phone.call("four rock gunnel, kept")
    phone.page.locator(".understood").get_by_text("2 more this outing (4b)").wait_for()
    phone.call("three rock gunnel, kept")
    phone.page.get_by_text("3 rock gunnel: 2 of these may be kept.").wait_for()
    assert account_of(phone.book()).animals[0].n == 4  # nothing of it is written before the answer
    phone.press("2 kept, 1 back")
    phone.page.locator(".understood").get_by_text("None left").wait_for()
    assert where(phone) == {("rock-gunnel", "bucket 1"): 6, ("rock-gunnel", "back"): 1}


def test_what_no_clause_lets_be_kept_is_asked_and_goes_back(beach):
    phone = beach()
    phone.start()
    phone.call("two mummichog, kept")
    phone.page.get_by_text("no clause of the permit lets you keep it").wait_for()
    phone.press("All back")
    phone.settle()
    assert [lot.place for lot in account_of(phone.book()).animals] == ["back"]


def test_tiles_tell_before_the_tap_what_may_be_kept(beach):
    phone = beach()
    phone.start()
    phone.press("Kept", exact=False)
    tile = phone.page.locator(".tile").filter(has_text="rock gunnel")
    tile.get_by_text("6 may be kept").wait_for()
    tile.click()
    tile.get_by_text("5 may be kept").wait_for()
    phone.page.locator(".tile").filter(has_text="tautog").get_by_text("none may be kept").wait_for()


def test_a_phone_that_is_not_the_keepers_says_whom_to_ask(beach, station):
    station.device = "d2"
    phone = beach()
    phone.start()
    phone.button("Kept ask the keeper").wait_for()
    phone.call("nine rock gunnel, kept")
    phone.page.locator(".understood").get_by_text("Ask the keeper (d1) before it is kept").wait_for()
    assert account_of(phone.book()).animals[0].n == 9  # a device never refuses what it has not seen


def test_each_tap_holds_until_it_is_changed_also_over_a_reload(beach):
    phone = beach()
    phone.start()
    phone.press("Each tap")
    phone.press("Bucket 2 sort")
    phone.tap("grubby", 2)
    phone.settle()
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    phone.tap("grubby")
    phone.settle()
    assert where(phone) == {("grubby", "bucket 2"): 3}


def test_a_tile_that_is_held_asks_how_many(beach):
    phone = beach()
    phone.start()
    phone.settle()
    phone.page.locator(".tile").filter(has_text="northern pipefish").hover()  # it waits until nothing moves
    phone.page.mouse.down()
    phone.page.get_by_text("How many northern pipefish?").wait_for()
    phone.page.mouse.up()
    phone.press("1")
    phone.press("7")
    phone.press("Enter 17")
    phone.settle()
    assert [(lot.taxon, lot.n) for lot in account_of(phone.book()).animals] == [("northern-pipefish", 17)]


SHIFT = """document.querySelector('.tally').prepend(
  Object.assign(document.createElement('div'), {style: 'height: 300px'}))"""


@pytest.mark.parametrize("slides", [False, True])
def test_a_tile_that_moves_away_under_a_still_pointer_is_held_and_one_slid_off_is_not(beach, slides):
    phone = beach()
    phone.start()
    phone.settle()
    phone.page.locator(".tile").filter(has_text="northern pipefish").hover()
    phone.page.mouse.down()
    if slides:
        phone.page.mouse.move(5, 5)
    else:
        phone.page.evaluate(SHIFT)
    phone.page.wait_for_timeout(1_500)
    assert phone.page.get_by_text("How many northern pipefish?").is_visible() != slides
    phone.page.mouse.up()
    phone.settle()
    assert not account_of(phone.book()).animals


def test_tiles_start_with_what_is_looked_for_then_by_own_past_and_keep_their_place(beach):
    phone = beach()
    names = "[...document.querySelectorAll('.tile .name')].map((node) => node.textContent.trim())"
    before = phone.page.evaluate(names)
    assert before[:2] == ["northern pipefish", "rock gunnel"]
    phone.start()
    phone.call("one lumpfish, back")
    phone.page.locator(".tile").filter(has_text="lumpfish").wait_for()
    assert phone.page.evaluate(names) == [*before, "lumpfish"]


def test_a_call_comes_behind_the_tap_before_it_however_quick(beach):
    phone = beach()
    phone.start()
    phone.page.evaluate("""() => {
      [...document.querySelectorAll('.tile')].find((one) => one.textContent.includes('northern pipefish')).click();
      document.querySelector('#call').value = 'thirty tautog, back';
      document.querySelector('form.call').requestSubmit();
    }""")
    phone.settle()
    phone.call("scratch that")
    assert where(phone) == {("northern-pipefish", "back"): 1}


def test_a_missed_tap_counts_nothing(beach):
    phone = beach()
    phone.start()
    one, other = (phone.page.locator(".tile").nth(i).bounding_box() for i in (0, 1))
    between = (one["x"] + one["width"] + other["x"]) / 2
    phone.page.mouse.click(between, one["y"] + 30)
    phone.settle()
    assert not account_of(phone.book()).animals


def test_the_tide_band_and_the_heads_up_when_the_tide_turns(beach):
    phone = beach()
    band = phone.page.locator(".band")
    assert band.get_attribute("aria-label").startswith("13:24, low 13:50, turns in 26 min")
    phone.page.clock.run_for(27 * 60_000)
    phone.page.get_by_text("The tide turned at 13:50: the water rises").first.wait_for()
    phone.press("Seen")
    phone.page.locator(".warning").filter(has_text="The tide turned").wait_for(state="detached")


def test_a_protected_animal_stops_everything_and_starts_the_agencys_clock(beach):
    phone = beach()
    phone.start()
    phone.page.clock.run_for(7 * 60_000)
    phone.call("one atlantic salmon")
    notice = phone.page.get_by_role("alertdialog")
    notice.get_by_text("23 h 5").wait_for()
    said = notice.inner_text()
    assert "to tell the duty officer" in said
    assert "by 13:24 on 27 September 2026: the clock runs from the landing" in said
    assert "“Any capture of Atlantic salmon shall be reported" in said
    phone.press("It swam off alive")
    phone.settle()
    assert [lot.place for lot in account_of(phone.book()).animals] == ["back"]
    phone.press("More")
    phone.press("Sort and close")
    phone.page.get_by_text("tell the duty officer of Atlantic salmon, by 13:24").wait_for()


def test_a_notice_goes_by_another_name_and_the_line_is_entered_under_it(beach):
    phone = beach()
    phone.start()
    phone.call("one atlantic salmon")
    phone.press("Another name")
    phone.page.get_by_label("Part of the name").fill("rainbow sm")
    phone.press("rainbow smelt", exact=False)
    phone.settle()
    assert [lot.taxon for lot in account_of(phone.book()).animals] == ["rainbow-smelt"]
    assert last(phone, "strike").body["reason"] == "another name"


def test_an_invasive_animal_fills_the_screen_once_an_outing(beach):
    phone = beach()
    phone.start()
    phone.call("two asian shore crab")
    phone.press("Killed, taken along")
    phone.settle()
    phone.call("three asian shore crab, dead")
    phone.page.locator(".understood").get_by_text("3 Asian shore crab").wait_for()
    assert not phone.page.get_by_role("alertdialog").count()


def test_a_name_put_off_counts_as_it_was_said_and_stays_open(beach):
    phone = beach()
    phone.start()
    phone.call("two pipefish, back, one corner")
    phone.press("Ask me later")
    phone.settle()
    assert "?corner" in {lot.taxon for lot in account_of(phone.book()).animals}


def test_a_call_before_any_haul_asks_which_and_keeps_what_was_called(beach):
    phone = beach()
    phone.call("six cunner, back")
    phone.page.get_by_text("Which haul is it from?").wait_for()
    phone.press("Start haul 1 now")
    phone.page.get_by_role("radio", name="Two poles walked").click()
    phone.press("Net is in the water")
    phone.settle()
    phone.page.locator(".understood").get_by_text("6 cunner back").wait_for()
    assert account_of(phone.book()).animals[0].haul == "2026-09-26-a/1"


def test_some_of_a_bucket_go_elsewhere_with_sex_and_eggs_noted(beach):
    phone = beach()
    phone.start()
    phone.call("five sand shrimp, bucket two")
    phone.page.locator(".bucket").filter(has_text="2 sort").click()
    phone.press("sand shrimp: Move")
    phone.page.get_by_label("How many?").fill("2")
    phone.page.get_by_role("radio", name="Female").click()
    phone.press("Berried")
    phone.press("Bucket 3 release")
    phone.settle()
    line = last(phone, "move").body["lines"][0]
    assert line == {
        "taxon": "sand-shrimp",
        "n": 2,
        "from": "bucket 2",
        "to": "bucket 3",
        "haul": "2026-09-26-a/1",
        "sex": "female",
        "berried": True,
    }


def test_counting_again_asks_at_once_how_the_missing_were_lost(beach):
    phone = beach()
    phone.start()
    phone.call("five grubby, bucket two")
    phone.page.locator(".bucket").filter(has_text="2 sort").click()
    phone.press("grubby: Move")
    phone.press("Count again")
    phone.press("4")
    phone.press("Enter 4")
    phone.press("jumped out")
    phone.settle()
    assert last(phone, "counted-again").body["n"] == 4
    assert last(phone, "move").body["lines"][0]["cause"] == "jumped out"


def test_lengths_are_measured_by_name_and_number(beach):
    phone = beach()
    phone.start()
    phone.call("three cunner, back")
    phone.press("More")
    phone.press("Measure lengths")
    phone.press("cunner")
    field = phone.page.get_by_label("mm")
    field.fill("45 52,5 61")
    phone.press("Fin clipped")
    field.press("Enter")
    phone.page.get_by_text("3 measured").wait_for()
    assert last(phone, "lengths").body == {
        "haul": "2026-09-26-a/1",
        "taxon": "cunner",
        "length_type": "total",
        "mm": [45, 52.5, 61],
        "clipped": True,
    }


def test_scoops_are_expanded_with_all_that_the_estimate_rests_on(beach):
    # Cochran (1977), ch. 2, as worked in tests/estimate: 3 of 12 scoops with 41, 36, 52 make 516, SE 49.1.
    phone = beach()
    phone.start()
    phone.press("More")
    phone.press("Count by scoops")
    phone.page.get_by_label("Scoops in all").fill("12")
    phone.press("Another name")
    phone.page.get_by_label("Part of the name").fill("atlantic silver")
    phone.press("Atlantic silverside", exact=False)
    for i, n in enumerate((41, 36, 52), 1):
        phone.page.get_by_label(f"In scoop {i}").fill(str(n))
    phone.page.get_by_text("516, standard error 49.1").wait_for()
    phone.press("Enter the estimate")
    phone.settle()
    line = last(phone, "move").body["lines"][0]
    assert (line["n"], line["basis"], line["subsample"]) == (
        516,
        "expanded",
        {"method": "scoops", "of": 12, "counted": [41, 36, 52]},
    )


def test_a_reading_goes_to_its_bucket_and_a_ph_asks_for_its_scale(beach):
    phone = beach()
    phone.start()
    phone.press("More")
    phone.press("Reading")
    phone.page.get_by_role("radio", name="Bucket 1").click()
    phone.page.get_by_label("Instrument").fill("hyd1")
    phone.page.get_by_label("Temperature, °C").fill("17,4")
    phone.page.get_by_label("pH", exact=True).fill("8.1")
    phone.press("Note the reading")
    phone.page.get_by_text("Say on which scale the pH was read.").wait_for()
    phone.page.get_by_role("radio", name="Ordinary buffers").click()
    phone.press("Note the reading")
    phone.settle()
    assert last(phone, "reading").body == {
        "place": "bucket 1",
        "instrument": "hyd1",
        "temperature_c": 17.4,
        "ph": 8.1,
        "scale": "nbs",
    }


def test_a_landing_may_wait_and_is_asked_before_the_haul_ends(beach):
    phone = beach()
    phone.press("Start haul 1")
    phone.page.get_by_role("radio", name="Two poles walked").click()
    phone.press("Net is in the water")
    phone.press("Landed")
    phone.press("Tally first")
    phone.page.clock.run_for(4 * 60_000)
    phone.tap("tautog")
    phone.settle()
    phone.press("End haul")
    phone.press("End haul 1")
    phone.page.get_by_role("radio", name="not known").click()
    phone.press("Note the landing")
    phone.page.get_by_text("Haul 1 ended").wait_for()
    landed, ended = last(phone, "haul-landed"), last(phone, "haul-ended")
    assert ended.when.instant - landed.when.instant >= timedelta(minutes=4)


def test_looked_for_and_none_is_written_from_the_list_that_is_read_back(beach):
    phone = beach()
    phone.start()
    phone.press("End haul")
    phone.page.get_by_text("Nothing was called from this haul.").wait_for()
    phone.press("None: we looked")
    phone.settle()
    assert last(phone, "searched-and-none").body["taxa"] == ["northern-pipefish"]


def test_the_key_asks_looks_and_enters_what_it_is(beach):
    phone = beach()
    phone.start()
    phone.press("More")
    phone.press("Which one is it?")
    phone.press("fish lying on one side", exact=False)
    phone.page.get_by_text("Likely").wait_for()
    phone.page.get_by_role("button", name="Enter as").first.click()
    phone.settle()
    assert len(account_of(phone.book()).animals) == 1


def test_without_kit_and_without_station_it_says_what_to_do_and_keeps_what_is_called(beach, station):
    phone = beach(ready=False)
    phone.button("Take it along", exact=False).wait_for()
    station.away = True
    phone.press("Look again")
    phone.page.get_by_text("No contact with the station.").wait_for()
    phone.press("Write without a kit")
    phone.page.get_by_label("What is called").fill("six cunner, two kept")
    phone.press("Keep this line")
    phone.page.get_by_text("kept as written").wait_for()
    entry = last(phone, "remark")
    assert (entry.outing, entry.body["text"]) == ("2026-09-26-d1", "six cunner, two kept")


def test_older_lines_are_struck_in_the_list_and_stay_to_be_read(beach):
    phone = beach()
    phone.start()
    phone.call("six cunner, back")
    phone.call("two tautog, back")
    phone.press("More")
    phone.press("All lines", exact=False)
    phone.press("Strike this: 6 cunner, back")
    phone.page.locator(".what.struck").filter(has_text="6 cunner").wait_for()
    assert [lot.taxon for lot in account_of(phone.book()).animals] == ["tautog"]


def test_everything_works_by_keyboard(beach):
    phone = beach()
    phone.start()
    tile = phone.page.locator(".tile").filter(has_text="tautog")
    tile.focus()
    phone.page.keyboard.press("Enter")
    phone.page.keyboard.press("Space")
    phone.settle()
    assert where(phone) == {("tautog", "back"): 2}
    assert tile.evaluate("(node) => getComputedStyle(node).outlineWidth") == "3px"


def test_what_was_sorted_can_be_struck_at_once(beach):
    phone = beach()
    phone.start()
    phone.call("five grubby, bucket two")
    phone.page.locator(".bucket").filter(has_text="2 sort").click()
    phone.press("All back")
    phone.settle()
    phone.press("Return")
    phone.page.locator(".understood").get_by_text("5 grubby out of bucket 2, back").wait_for()
    phone.press("Strike")
    phone.settle()
    assert where(phone) == {("grubby", "bucket 2"): 5}


def test_two_lines_of_one_call_share_the_room_of_a_clause(beach):
    phone = beach()
    phone.start()
    phone.call("four rock gunnel, kept")
    phone.call("one rock gunnel, two rock gunnel, kept")
    phone.page.get_by_text("2 rock gunnel: 1 of these may be kept.").wait_for()
    assert where(phone)["rock-gunnel", "bucket 1"] == 5


def test_escape_and_the_back_key_take_the_top_panel_away(beach):
    phone = beach()
    phone.press("More")
    phone.press("Light and dark")
    phone.page.keyboard.press("Escape")
    phone.page.get_by_role("heading", name="More").wait_for()
    phone.page.go_back()
    phone.button("Start haul 1").wait_for()
    assert phone.page.evaluate("document.activeElement.textContent") == "More"


def test_a_press_that_has_begun_counts_although_the_screen_is_brought_up_to_date(beach):
    phone = beach()
    phone.start()
    phone.call("five grubby, bucket two")
    phone.press("More")
    phone.press("Sort and close")
    box = phone.button("Bucket 2, sort: All back").bounding_box()
    phone.page.mouse.move(box["x"] + 20, box["y"] + 20)
    phone.page.mouse.down()
    phone.page.clock.run_for(20_000)
    phone.page.mouse.up()
    phone.settle()
    assert where(phone) == {("grubby", "back"): 5}
