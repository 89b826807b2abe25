"""Every line reaches the station once, whatever answers, fails to, or answers in its place."""

from __future__ import annotations

import itertools
import json
from datetime import timedelta

import pytest

from haulbook.custody.canonical import canonical, sha256_of
from haulbook.custody.chains import chain_faults
from haulbook.custody.entry import Draft, chain, uuid8

pytestmark = pytest.mark.browser
OUTING = "2027-05-14-a"


def of_desk(count, device="desk"):
    """Remarks typed at the station, for phones to hear of."""
    at = "2027-05-14T06:00:00-04:00"
    drafts = [
        Draft(uuid8(f"{device} {n}".encode()), at, at, "p1", OUTING, "remark", {"text": f"{device} {n}"})
        for n in range(1, count + 1)
    ]
    return list(chain(drafts, device))


def test_what_was_called_reaches_the_station_once_and_stays_on_the_phone(phone, station):
    phone.call("six cunner", "one grubby")
    state = phone.sync()
    assert (state["problem"], state["unsent"], state["rejected"], state["sending"]) == (None, 0, 0, False)
    assert state["lastOk"] > 0
    assert station.lines == ["six cunner", "one grubby"]
    phone.sync()
    assert len(station.requests[-1].entries) == 0
    phone.open()
    assert phone.lines == ["six cunner", "one grubby"]
    assert phone.run("store.unsent()") == {"n": 0, "oldestAt": None, "rejected": 0, "pictures": 0}


def test_a_station_that_fails_is_asked_again_and_nothing_is_doubled(phone, station):
    for fails in ("dies", "stores and dies", 500, 503, 429):
        phone.call(f"before {fails}")
        station.fails = [fails]
        state = phone.sync()
        assert (state["unsent"], state["problem"]["loud"]) == (1, False), fails
        assert phone.run("store.unsent()")["n"] == 1
        phone.call(f"after {fails}")
        assert phone.sync()["problem"] is None
        assert station.lines[-2:] == [f"before {fails}", f"after {fails}"]
    assert len(station.held) == 10


def test_the_page_comes_back_by_itself_when_the_station_does(phone, station):
    """The browser still believes that it is online, or offline: neither is believed."""
    station.stop()
    phone.do("Object.defineProperty(navigator, 'onLine', {get: () => false});")
    phone.do(
        "window.states = []; window.running = syncing.startSync(store, {onState: state => states.push(state)});"
    )
    phone.call("six cunner")
    phone.until("states.some(state => state.problem && state.problem.what === 'contact')")
    station.start()
    phone.until("running.state.lastOk && !running.state.unsent && !running.state.problem")
    assert station.lines == ["six cunner"]
    phone.call("one grubby")  # sent by itself soon after it was written
    phone.until("(await store.unsent()).n === 0")
    assert station.lines == ["six cunner", "one grubby"]
    phone.do("running.stop();")


def test_a_phone_that_was_turned_away_says_so_and_keeps_everything(phone, station):
    phone.call("six cunner")
    del station.tokens["token-1"]
    problem = phone.sync()["problem"]
    assert (problem["what"], problem["loud"]) == ("token", True)
    assert phone.run("store.unsent()")["n"] == 1
    station.tokens["token-9"] = "d1"
    phone.enrol("d1")
    assert phone.sync()["problem"] is None
    assert station.lines == ["six cunner"]


def test_lines_of_a_phone_that_got_another_key_are_turned_down_one_by_one_and_shown(phone, station):
    phone.call("six cunner")
    phone.enrol("d2")
    phone.call("one grubby")
    state = phone.sync()
    assert (state["unsent"], state["rejected"], state["problem"]) == (1, 1, None)
    (rejected,) = phone.run("store.rejected()")
    assert rejected["entry"]["body"]["text"] == "six cunner"
    assert "the entry is of d1, and d2 sent it" in rejected["why"]
    assert station.lines == ["one grubby"]
    assert phone.lines == ["six cunner", "one grubby"]
    phone.enrol("d1")
    phone.run("store.sendAgain()")
    phone.sync()
    assert station.lines == ["six cunner", "one grubby"]
    assert phone.run("store.unsent()") == {"n": 0, "oldestAt": None, "rejected": 0, "pictures": 0}


SAYS = {"answers": [], "entries": [], "cursor": "b1:9", "more": False, "server_time": "2027-05-14T10:00:00Z"}
STRANGE = [
    "<!doctype html><title>Free harbour wifi: sign in</title>",
    "{}",
    "null",
    "[]",
    json.dumps({**SAYS, "cursor": 7}),
    json.dumps({**SAYS, "server_time": "soon"}),
    json.dumps({**SAYS, "answers": {}}),
]


def test_an_answer_that_is_not_the_stations_changes_nothing(phone, station):
    phone.call("six cunner")
    for says in STRANGE:
        station.fails = [says]
        problem = phone.sync()["problem"]
        assert (problem["what"], problem["loud"]) == ("answer", True), says
        assert phone.run("[store.cursor, store.lastOk]") == [None, None]
    assert phone.sync()["unsent"] == 0
    assert station.lines == ["six cunner"]


def test_an_answer_that_leaves_a_verdict_out_leaves_the_line_waiting(phone, station):
    first, second = phone.call("six cunner", "one grubby")
    verdicts = [
        {"id": first["id"], "answer": "stored", "why": None},
        {"id": second["id"], "answer": "perhaps", "why": None},
        {"id": "somebody else's", "answer": "stored", "why": None},
        None,
    ]
    station.fails = [json.dumps({**SAYS, "answers": verdicts})]
    assert phone.sync()["problem"]["what"] == "answer"
    waiting = phone.run("store.batch(500, 1e6)")
    assert [entry["body"]["text"] for entry in waiting] == ["one grubby"]


def test_a_long_queue_goes_in_batches_of_at_most_500_in_order(phone, station):
    phone.run("store.append(Array.from({length: 620}, (_, n) => call(`call ${n}`)))")
    assert phone.sync()["unsent"] == 0
    assert max(len(request.entries) for request in station.requests) <= 500
    assert len(station.requests) <= 4
    assert station.lines == [f"call {n}" for n in range(620)]
    assert not chain_faults(station.held)


def test_what_others_wrote_comes_down_in_pages_and_never_twice(phone, station):
    station.held = of_desk(1203)
    phone.call("six cunner")
    state = phone.sync()
    assert state["problem"] is None
    assert len(phone.lines) == 1204
    asked = len(station.requests)
    assert asked == 3
    phone.sync()
    assert len(station.requests) == asked + 1
    assert phone.run("store.unsent()")["n"] == 0
    heard = phone.run("store.entries()")
    assert {entry["hash"] for entry in heard} == {entry.hash for entry in station.held}


def test_a_lost_answer_in_the_middle_of_a_long_queue_is_taken_up_where_it_broke(phone, station):
    station.held = of_desk(520)
    phone.run("store.append(Array.from({length: 620}, (_, n) => call(`call ${n}`)))")
    for fails in ([503], ["stores and dies"], ["dies"], ["{}"]):
        station.fails = fails
        phone.sync()
    assert phone.sync()["unsent"] == 0
    assert station.lines[-520:] == [f"desk {n}" for n in range(1, 521)]
    assert station.lines[:-520] == [f"call {n}" for n in range(620)]
    assert len(phone.lines) == 1140


def test_an_entry_that_came_damaged_is_not_taken_in(phone, station):
    (good, bad) = (entry.as_json() for entry in of_desk(2))
    bad["body"] = {"text": "changed on the way"}
    station.fails = [json.dumps({**SAYS, "entries": [good, bad, {"hash": 1}, None]})]
    problem = phone.sync()["problem"]
    assert (problem["what"], problem["loud"], problem["words"][:9]) == ("answer", True, "3 entries")
    assert phone.lines == ["desk 1"]


def test_a_phone_that_lost_its_last_lines_gets_them_back_and_goes_on_after_them(phone, phones, station):
    """As after a restored phone backup, or the same key on a cleared phone."""
    phone.call("six cunner", "one grubby")
    phone.sync()
    again = phones("d1")
    again.sync()
    assert again.lines == ["six cunner", "one grubby"]
    again.call("two eels")
    again.sync()
    assert station.lines == ["six cunner", "one grubby", "two eels"]
    assert not chain_faults(station.held)


def test_a_station_brought_back_from_an_old_backup_gets_everything_again(phone, station):
    phone.call("six cunner", "one grubby")
    phone.sync()
    station.held, station.book = station.held[:1], "b2"  # bringing a backup back gives the book another name
    phone.call("two eels")
    state = phone.sync()
    assert state["problem"] is None
    assert station.lines == ["six cunner", "one grubby", "two eels"]
    assert phone.sync()["problem"] is None


def test_a_request_refused_for_one_entry_is_halved_until_that_one_is_found(phone, station):
    phone.call("one", "two", "three", "four", "five")
    plain, statuses = station.sync, itertools.cycle([400, 413, 422])

    def picky(device, text):
        if "three" in text.decode():
            return next(statuses), {"problems": [{"message": "the word three is not liked here"}]}
        return plain(device, text)

    station.sync = picky
    state = phone.sync()
    assert (state["problem"], state["unsent"], state["rejected"]) == (None, 1, 1)
    assert station.lines == ["one", "two", "four", "five"]
    (rejected,) = phone.run("store.rejected()")
    assert (rejected["entry"]["body"]["text"], rejected["why"]) == (
        "three",
        "the word three is not liked here",
    )


def test_a_station_that_refuses_every_request_blames_no_line(phone, station):
    phone.call("one", "two", "three")
    station.fails = [400] * 20
    problem = phone.sync()["problem"]
    assert (problem["what"], problem["loud"]) == ("refused", True)
    assert "it is 400 here" in problem["words"]
    assert phone.run("store.unsent()") == {
        "n": 3,
        "oldestAt": phone.run("store.entries()")[0]["made_at"],
        "rejected": 0,
        "pictures": 0,
    }
    station.fails = []
    assert phone.sync()["unsent"] == 0


def test_a_station_that_is_not_there_any_more_is_said_loudly(phone, station):
    phone.call("one")
    station.fails = [404]
    problem = phone.sync()["problem"]
    assert (problem["what"], problem["loud"], "404" in problem["words"]) == ("address", True, True)


def test_a_phone_that_is_not_enrolled_says_that_nothing_is_sent(phones):
    assert phones(None).sync()["problem"]["what"] == "enrol"


def test_two_phones_and_two_tabs_come_to_the_same_book(phones, station):
    one, other = phones("d1"), phones("d2")
    tab = phones(tab_of=one)
    one.call("six cunner")
    tab.call("one grubby")
    other.call("two eels")
    for phone in (one, tab, other, one):
        assert phone.sync()["problem"] is None
    assert one.lines == tab.lines == other.lines == ["six cunner", "one grubby", "two eels"]
    assert len(station.held) == 3


def test_a_clock_that_is_off_is_seen(phone, station):
    station.clock_ahead = timedelta(minutes=5)
    state = phone.sync()
    assert -302 <= state["clockOffS"] <= -298
    assert state["serverTime"]


def kit(outing=OUTING, made_at="2027-05-13T18:00:00-04:00", entries=()):
    """A kit no larger than its form needs, sealed as a kit is."""
    content = {
        "kit": 1,
        "made_at": made_at,
        "plan": {"outing": outing, "site": "cove"},
        "taxa": [],
        "entries": list(entries),
    }
    return {**content, "digest": sha256_of(canonical(content))}


FETCH = "import('./book/fetching.js').then(fetching => fetching.fetchKit(store))"
FETCHED = f"{FETCH}.then(kit => kit.made_at, off => [off.what, off.message])"


def test_a_newer_kit_is_told_of_fetched_and_kept_with_its_entries(phone, station):
    said = [entry.as_json() for entry in of_desk(2)]
    old, new = kit(entries=said[:1]), kit(made_at="2027-05-14T05:00:00-04:00", entries=said)
    station.kits[OUTING], station.kit_digest = old, old["digest"]
    assert phone.sync()["newKit"] is True
    assert phone.run(FETCHED) == old["made_at"]
    assert phone.lines == ["desk 1"]
    assert phone.sync()["newKit"] is False
    station.kits[OUTING], station.kit_digest = new, new["digest"]
    assert phone.sync()["newKit"] is True
    assert phone.run(FETCHED) == new["made_at"]
    assert phone.run("store.keepKit(data)", old) is False
    assert phone.run("store.kit()")["made_at"] == new["made_at"]
    assert phone.run("store.kits()") == [
        {"outing": OUTING, "site": "cove", "made_at": new["made_at"], "digest": new["digest"]}
    ]
    assert phone.lines == ["desk 1", "desk 2"]
    assert phone.sync()["newKit"] is False


def test_a_kit_that_is_not_there_or_came_damaged_is_said_and_not_kept(phone, station):
    assert phone.run(FETCHED) == ["refused", f"no kit was made for {OUTING} yet"]
    station.kits[OUTING] = {**kit(), "taxa": [{"key": "cunner"}]}
    assert phone.run(FETCHED) == ["answer", "The kit came damaged: fetch it again."]
    station.stop()
    assert phone.run(FETCHED)[0] == "contact"
    assert phone.run("store.kit()") is None


def test_a_phone_enrols_with_a_code_and_what_it_held_goes_out(phones, station):
    phone = phones(None)
    phone.run("store.use({outing: '2027-05-14-a', by: 'p3'})")
    phone.run("store.append([call('six cunner')]).catch(() => null)")
    enrol = "import('./book/fetching.js').then(fetching => fetching.enrolWith(store, data)).catch(off => off.message)"
    assert phone.run(enrol, "d9") == "there is no such code"
    assert phone.run(enrol, " d2 ") == "d2"
    assert phone.sync()["problem"] is None
    assert station.lines == ["six cunner"]
