"""Nothing called is lost on the phone: reload, kill, two tabs, a clock set back, storage refused or cleared."""

from __future__ import annotations

import json
import os
import signal
import time
from pathlib import Path

import pytest

from haulbook.custody.book import Book
from haulbook.custody.chains import chain_faults
from haulbook.custody.entry import entry_from_json
from haulbook.exchange.bookfile import verify_book

pytestmark = pytest.mark.browser
CALLS = [f"{n} cunner" for n in range(1, 41)]
# What stands in for a full or broken disk: the browser's own refusal, at the call and when the transaction ends.
THROWS = """window.add = IDBObjectStore.prototype.add;
IDBObjectStore.prototype.add = () => { throw new DOMException('', '%s'); }"""
ENDS_BADLY = """window.add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = function (...given) {
  const request = window.add.apply(this, given);
  setTimeout(() => { try { this.transaction.abort(); } catch (over) { /* it is over */ } });
  return request;
}"""
WORKS_AGAIN = "IDBObjectStore.prototype.add = window.add"
REFUSED = """store.append([call(data)]).then(() => null, refused => ({
  name: refused.name, what: refused.what, texts: refused.texts, words: refused.message, held: store.unsaved.length}))"""


def whole_chain(phone, device="d1"):
    """The entries of a device on a phone, their hashes checked by Python, with no gap and no fork."""
    entries = [entry_from_json(one) for one in phone.run("store.entries()")]
    own = [entry for entry in entries if entry.device == device]
    assert not chain_faults(own)
    assert [entry.seq for entry in own] == list(range(1, len(own) + 1))
    return own


def test_what_was_called_is_there_after_a_reload(phone):
    (first, second) = phone.call("six cunner", "one grubby")
    phone.open()
    assert phone.lines == ["six cunner", "one grubby"]
    assert (first["seq"], second["seq"], second["prev"]) == (1, 2, first["hash"])
    assert phone.run("store.unsent()") == {"n": 2, "oldestAt": first["made_at"], "rejected": 0, "pictures": 0}
    third = phone.call("two eels")[0]
    assert (third["seq"], third["prev"], third["outing"], third["by"]) == (
        3,
        second["hash"],
        "2027-05-14-a",
        "p3",
    )


def test_a_call_and_its_correction_stand_together_or_not_at_all(phone):
    (six,) = phone.call("six cunner")
    strike, five = phone.run(
        """(() => { const id = store.newId(); return store.append([
          {kind: 'strike', body: {entries: [data], reason: 'make that five', instead: [id]}},
          {...call('five cunner'), id}]); })()""",
        six["id"],
    )
    assert strike["body"]["instead"] == [five["id"]]
    assert len(whole_chain(phone)) == 3


def test_a_line_that_is_not_well_formed_is_refused_whole_and_holds_up_nothing(phone):
    refused = phone.run(
        """store.append([call('six cunner'), {kind: 'present', body: {haul: '2027-05-14-a/1'}}])
        .then(() => null, off => [off.name, off.faults])"""
    )
    assert refused == ["Refused", ["present lacks taxon"]]
    assert phone.run("[store.unsaved.length, store.problem]") == [0, None]
    too_long = "store.append([{kind: 'remark', body: {text: 'x'.repeat(65536)}}]).catch(off => off.faults)"
    assert phone.run(too_long) == ["the entry is over 64 kB; write it as several"]
    phone.call("one grubby")
    assert phone.lines == ["one grubby"]


def test_two_tabs_of_one_phone_never_fork_its_chain(phone, phones):
    other = phones(tab_of=phone)
    for tab, words in ((phone, "here"), (other, "there")):
        # not waited for: the tabs write at the same time
        tab.page.evaluate(
            """words => { window.done = Promise.all(Array.from({length: 40},
            (_, n) => store.append([call(`${n} ${words}`)]))); }""",
            words,
        )
    for tab in (phone, other):
        tab.run("done")
    assert len(whole_chain(phone)) == 80
    assert (
        sorted(phone.lines)
        == sorted(other.lines)
        == sorted(f"{n} {w}" for n in range(40) for w in ("here", "there"))
    )


def test_a_tab_hears_what_another_wrote(phone, phones):
    other = phones(tab_of=phone)
    other.do("window.news = new Promise(heard => store.onChange(heard));")
    phone.call("six cunner")
    heard = other.run("news")
    assert (heard["what"], heard["elsewhere"], heard["entries"][0]["body"]["text"]) == (
        "entries",
        True,
        "six cunner",
    )


def test_a_clock_set_back_a_day_is_said_and_changes_no_order(phone):
    phone.call("six cunner", "one grubby")
    phone.do("const real = Date.now; Date.now = () => real() - 86400000;")
    (late,) = phone.call("two eels")
    assert late["seq"] == 3
    assert "went back 24 h 0 min" in phone.run("store.clock.words")
    assert phone.lines == ["six cunner", "one grubby", "two eels"]
    first, _, third = whole_chain(phone)
    assert third.made_at < first.made_at
    assert phone.run("store.unsent()")["oldestAt"] == first.made_at


@pytest.mark.parametrize(
    ("breaks", "what"),
    [(THROWS % "QuotaExceededError", "quota"), (THROWS % "DataError", "write"), (ENDS_BADLY, "write")],
    ids=["disk full", "write refused", "transaction broken off"],
)
def test_a_line_the_phone_would_not_store_is_said_loudly_held_and_written_with_the_next(phone, breaks, what):
    phone.call("six cunner")
    phone.do(breaks)
    refused = phone.run(REFUSED, "one grubby")
    assert (refused["name"], refused["what"], refused["texts"], refused["held"]) == (
        "NotStored",
        what,
        ["one grubby"],
        1,
    )
    assert refused["words"].endswith(
        "1 line is only in this open page: keep it open, or save them as a file."
    )
    assert phone.run("store.problem") == {"what": what, "words": refused["words"]}
    assert phone.run(REFUSED, "two eels")["held"] == 2
    assert phone.lines == ["six cunner"]
    phone.do(WORKS_AGAIN)
    (written,) = phone.call("three shore crab")
    assert written["body"]["text"] == "three shore crab"
    assert phone.lines == ["six cunner", "one grubby", "two eels", "three shore crab"]
    assert phone.run("[store.unsaved.length, store.problem]") == [0, None]
    assert len(whole_chain(phone)) == 4


def test_what_could_not_be_stored_survives_a_reload_where_the_browser_has_a_corner(phone):
    phone.do(THROWS % "QuotaExceededError")
    phone.run(REFUSED, "one grubby")
    phone.open()
    assert phone.lines == ["one grubby"]
    assert phone.run("[store.unsaved.length, store.problem]") == [0, None]
    phone.open()
    assert phone.lines == ["one grubby"]


def test_what_could_not_be_stored_can_be_saved_as_a_file_and_brought_in_once(phone):
    phone.do(THROWS % "QuotaExceededError")
    phone.run(REFUSED, "one grubby")
    text = phone.run("import('./book/copy.js').then(copy => copy.unsavedText(store.unsaved))")
    assert json.loads(text)["body"]["text"] == "one grubby"
    phone.do(WORKS_AGAIN)
    for _ in range(2):
        brought = phone.run("import('./book/copy.js').then(copy => store.bringIn(copy.readCopy(data)))", text)
        assert brought == {"fresh": 0, "others": 0, "drafts": 1}
    assert phone.lines == ["one grubby"]
    assert phone.run("store.retry()") is True
    assert phone.lines == ["one grubby"]


def test_lines_somebody_takes_back_are_not_written_behind_their_back(phone):
    phone.do(THROWS % "QuotaExceededError")
    phone.run(REFUSED, "one grubby")
    gone = phone.run("store.letGo(store.unsaved.map(draft => draft.id))")
    assert [draft["body"]["text"] for draft in gone] == ["one grubby"]
    phone.do(WORKS_AGAIN)
    phone.call("two eels")
    phone.open()
    assert phone.lines == ["two eels"]


def test_a_browser_that_gives_no_place_at_all_still_takes_calls_and_says_so(phones):
    phone = phones(None)
    phone.page.add_init_script(
        "IDBFactory.prototype.open = () => { throw new DOMException('', 'SecurityError'); }"
    )
    phone.open()
    assert phone.run("store.problem.what") == "open"
    phone.run("store.use({outing: '2027-05-14-a', by: 'p3'})")
    assert phone.run(REFUSED, "one grubby")["what"] == "open"
    assert phone.run("store.unsaved.map(draft => draft.body.text)") == ["one grubby"]


def test_a_phone_that_was_never_enrolled_holds_lines_until_it_is(phones):
    phone = phones(None)
    phone.run("store.use({outing: '2027-05-14-a', by: 'p3'})")
    assert phone.run(REFUSED, "one grubby")["what"] == "device"
    phone.enrol("d2")
    assert phone.lines == ["one grubby"]
    assert len(whole_chain(phone, "d2")) == 1


def test_storage_that_is_cleared_under_the_page_forks_no_chain(phone):
    """The browser may clear everything; the page then does not go on from 1 under its old key."""
    phone.call("six cunner")
    phone.run("new Promise(done => { indexedDB.deleteDatabase('haulbook').onsuccess = done; })")
    refused = phone.run(REFUSED, "one grubby")
    assert (refused["what"], refused["held"]) == ("device", 1)
    assert phone.run("store.device") is None
    phone.enrol("d2")
    assert [(entry.device, entry.seq) for entry in whole_chain(phone, "d2")] == [("d2", 1)]
    assert phone.lines == ["one grubby"]


def test_a_phone_that_comes_back_to_cleared_storage_says_so_at_once(phone):
    phone.run("new Promise(done => { indexedDB.deleteDatabase('haulbook').onsuccess = done; })")
    phone.run("store.refresh()")
    assert phone.run("[store.device, store.problem.what]") == [None, "device"]


def test_lines_held_in_one_tab_are_stored_when_the_phone_is_enrolled_in_another(phones):
    phone = phones(None)
    other = phones(tab_of=phone)
    phone.run("store.use({outing: '2027-05-14-a', by: 'p3'})")
    phone.run(REFUSED, "one grubby")
    other.enrol("d1")
    phone.until("store.unsaved.length === 0")
    assert other.lines == ["one grubby"]
    assert phone.run("store.problem") is None


def test_a_write_that_hangs_is_said_and_its_line_is_held_beside(phone):
    phone.page.clock.install()
    phone.do(
        """window.write = IDBDatabase.prototype.transaction;
        IDBDatabase.prototype.transaction = function (...given) {
          const hung = window.write.apply(this, given);
          Object.defineProperty(hung, 'oncomplete', {set(listener) { window.goOn = listener; }});
          return hung;
        };
        window.writing = store.append([call('one grubby')]); """
    )
    phone.until("window.goOn")
    phone.page.clock.run_for(6001)
    assert phone.run("[store.problem.what, store.unsaved.length]") == ["slow", 1]
    phone.do("IDBDatabase.prototype.transaction = window.write; setTimeout(window.goOn);")
    phone.page.clock.run_for(10)
    phone.page.evaluate("writing")
    assert phone.run("[store.problem, store.unsaved.length]") == [None, 0]
    assert phone.lines == ["one grubby"]


def test_a_listener_that_fails_makes_no_line_look_unstored(phone):
    phone.do("store.onChange(() => { throw new Error('the screen fell over'); });")
    phone.call("six cunner")
    assert phone.run("[store.problem, store.unsaved.length]") == [None, 0]


def test_a_connection_the_browser_dropped_is_opened_again(phone):
    phone.call("six cunner")
    phone.run("store.connection.opened().then(db => db.close())")
    phone.call("one grubby")
    assert phone.lines == ["six cunner", "one grubby"]


def test_a_write_that_was_told_to_have_failed_but_had_not_is_not_written_twice(phone):
    phone.do(
        """const name = 'oncomplete', real = Object.getOwnPropertyDescriptor(IDBTransaction.prototype, name);
        Object.defineProperty(IDBTransaction.prototype, name, {configurable: true, set() {
          Object.defineProperty(IDBTransaction.prototype, name, real);
          real.set.call(this, () => this.onabort());
        }});"""
    )
    assert phone.run(REFUSED, "six cunner")["what"] == "write"
    phone.call("one grubby")
    assert phone.lines == ["six cunner", "one grubby"]
    assert phone.run("store.unsaved.length") == 0


def test_settings_kits_and_the_persist_question_answer(phone):
    asked = phone.run("store.persist()")
    assert asked["asked"] is True
    assert asked["granted"] in (True, False)
    phone.run("store.setting('theme', 'sun')")
    phone.open()
    assert phone.run("store.setting('theme')") == "sun"
    assert phone.run("Promise.all([store.kit(), store.kits()])") == [None, []]
    phone.do("Object.defineProperty(navigator, 'storage', {value: undefined});")
    assert phone.run("store.persist()") == {"asked": False, "granted": False}


def test_the_four_events_of_a_page_that_may_not_come_back_are_heard(phone):
    phone.run(
        """import('./book/life.js').then(life => { window.left = []; window.stop = life.watchLife(store, {
        onLeave: () => { life.keepTyped('nine sho'); left.push('left'); }, onBack: () => left.push('back')}); })"""
    )
    phone.run(
        """(async () => { for (const [target, name] of [[window, 'pagehide'], [document, 'freeze']])
        target.dispatchEvent(new Event(name));
        Object.defineProperty(document, 'visibilityState', {configurable: true, get: () => 'hidden'});
        document.dispatchEvent(new Event('visibilitychange')); delete document.visibilityState;
        document.dispatchEvent(new Event('visibilitychange')); document.dispatchEvent(new Event('resume'));
        await new Promise(later => setTimeout(later, 200)); })()"""
    )
    assert phone.run("left") == ["left", "left", "left", "back", "back"]
    assert phone.run("import('./book/life.js').then(life => life.typed())") == "nine sho"
    asks = """(() => { const leaving = new Event('beforeunload', {cancelable: true});
    window.dispatchEvent(leaving); return leaving.defaultPrevented; })()"""
    assert phone.run(asks) is False
    phone.do(THROWS % "QuotaExceededError")
    phone.run(REFUSED, "one grubby")
    assert phone.run(asks) is True
    phone.do(WORKS_AGAIN)
    phone.do("document.dispatchEvent(new Event('resume'));")
    phone.until("store.unsaved.length === 0")
    phone.run("stop()")


def test_a_second_tab_is_noticed_by_both_and_its_going_too(phone, phones):
    watch = """import('./book/life.js').then(life => {
    window.stop = life.watchLife(store, {onSecondTab: n => { window.others = n; }}); })"""
    other = phones(tab_of=phone)
    for tab in (phone, other):
        tab.run(watch)
    for tab in (phone, other):
        tab.until("window.others === 1")
    other.page.close()
    phone.until("window.others === 0")


def browser_processes(profile: Path) -> list[int]:
    """Processes that were started with this profile, from the process table of Linux."""
    found = []
    for entry in Path("/proc").glob("[0-9]*"):
        try:
            words = (entry / "cmdline").read_bytes()
        except OSError:
            continue
        if str(profile).encode() in words:
            found.append(int(entry.name))
    return found


@pytest.mark.skipif(
    not Path("/proc/self/cmdline").exists(), reason="needs Linux's process table to find the browser"
)
def test_every_line_is_there_after_every_browser_process_was_killed(
    driver, chromium_path, station, tmp_path, phones
):
    profile = tmp_path / "profile"
    # the test's conftest makes phones of a tab; this one lives in a profile on the disk
    phone_of = type(phones(None))
    context = driver.chromium.launch_persistent_context(
        profile, executable_path=chromium_path, headless=True, args=KILLABLE
    )
    phone = phone_of(context.pages[0], station)
    phone.enrol("d1")
    for text in CALLS:
        phone.call(text)
    pids = browser_processes(profile)
    assert pids
    for pid in pids:
        os.kill(pid, signal.SIGKILL)
    deadline = time.monotonic() + 10
    while browser_processes(profile) and time.monotonic() < deadline:
        time.sleep(0.05)
    context = driver.chromium.launch_persistent_context(
        profile, executable_path=chromium_path, headless=True, args=KILLABLE
    )
    phone = phone_of(context.pages[0], station)
    assert phone.lines == CALLS
    assert phone.run("store.unsent()")["n"] == 40
    assert len(whole_chain(phone)) == 40
    context.close()


KILLABLE = [
    "--no-sandbox",
    "--disable-gpu",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-sync",
]


def test_a_saved_copy_is_a_book_file_and_brings_back_what_a_cleared_phone_lost(phone, phones, tmp_path):
    phone.call(*CALLS[:5])
    with phone.page.expect_download() as download:
        phone.run(
            """import('./book/copy.js').then(async copy =>
            copy.downloadCopy(copy.copyText(await store.entries()), 'copy.jsonl'))"""
        )
    file = tmp_path / download.value.suggested_filename
    download.value.save_as(file)
    assert file.name == "copy.jsonl"
    found = verify_book(file)
    assert not found.problems
    assert len(found.book.entries) == 5

    bring = "import('./book/copy.js').then(copy => store.bringIn(copy.readCopy(data)))"
    again = phones("d1")  # the same key on a phone that was cleared
    assert again.run(bring, file.read_text("utf-8")) == {"fresh": 5, "others": 0, "drafts": 0}
    assert again.run("store.unsent()")["n"] == 5
    again.call("six cunner")
    assert len(whole_chain(again)) == 6
    assert again.run(bring, file.read_text("utf-8"))["fresh"] == 0

    other = phones("d2")
    assert other.run(bring, file.read_text("utf-8")) == {"fresh": 5, "others": 5, "drafts": 0}
    assert other.run("store.unsent()")["n"] == 0  # it can't hand in what another device wrote
    assert Book.of(entry_from_json(one) for one in other.run("store.entries()")) == found.book
