"""The same book in Debian's WebKitGTK: recorded, reloaded, sent, the station taken away and brought back.

It is not Safari on a phone, but the same family of engine, and the nearest that runs here.
"""

from __future__ import annotations

import os
import shutil
import subprocess
import warnings
from pathlib import Path

import pytest

from haulbook.custody.chains import chain_faults

pytestmark = pytest.mark.browser
MINI_BROWSERS = sorted(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"))


@pytest.fixture(scope="module")
def display():
    """A screen that nobody sees."""
    if shutil.which("Xvfb") is None:
        pytest.skip("no Xvfb on this machine (apt-get install xvfb)")
    read, write = os.pipe()
    with subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "800x900x24", "-nolisten", "tcp"],
        pass_fds=[write],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as screen:
        os.close(write)
        with os.fdopen(read) as told:
            number = told.readline().strip()
        yield f":{number}"
        screen.terminate()


@pytest.fixture(scope="module")
def webkit(display):
    webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    program = shutil.which("WebKitWebDriver")
    if program is None or not MINI_BROWSERS:
        pytest.skip("no WebKitGTK driver on this machine (apt-get install webkit2gtk-driver)")
    options = webdriver.WebKitGTKOptions()
    options.binary_location = str(MINI_BROWSERS[-1])
    options.add_argument("--automation")
    service = webdriver.WebKitGTKService(executable_path=program, env={**os.environ, "DISPLAY": display})
    with warnings.catch_warnings():
        warnings.simplefilter("ignore", DeprecationWarning)  # selenium warns of what its own driver does
        browser = webdriver.WebKitGTK(options=options, service=service)
    browser.set_script_timeout(30)
    yield browser
    browser.quit()


class Tab:
    """The page's book in this browser, as ``Phone`` is in the other."""

    def __init__(self, browser, station, begin):
        self.browser, self.station, self.beginning = browser, station, begin
        self.open()

    def open(self):
        self.browser.get(f"{self.station.url}/blank")
        self.begin()

    def begin(self):
        self.run(f"({self.beginning})()")

    def run(self, expression, data=None):
        found = self.browser.execute_async_script(
            "const [data, done] = arguments;"
            f"(async () => ({expression}))().then(value => done({{value}}), off => done({{off: String(off)}}));",
            data,
        )
        assert "off" not in found, found["off"]
        return found.get("value")

    def call(self, *texts):
        return self.run("store.append(data.map(call))", texts)

    @property
    def lines(self):
        return self.run("store.entries().then(all => all.map(entry => entry.body.text).filter(text => text))")


@pytest.fixture
def tab(webkit, station, begin):
    return Tab(webkit, station, begin)


def test_what_is_recorded_survives_reloads_and_reaches_the_station_once(tab, station):
    tab.run("store.enrol(data)", station.enrolment("d1"))
    tab.run("store.use({outing: '2027-05-14-a'})")
    tab.call(*[f"{n} cunner" for n in range(1, 21)])
    tab.open()
    tab.call("one grubby")
    assert tab.run("store.unsent()")["n"] == 21

    station.fails = ["stores and dies"]
    assert tab.run("syncOnce()")["unsent"] == 21
    station.stop()
    tab.call("two eels")
    assert tab.run("syncOnce()")["problem"]["what"] == "contact"
    station.start()
    tab.open()
    assert tab.lines == [*(f"{n} cunner" for n in range(1, 21)), "one grubby", "two eels"]
    state = tab.run("syncOnce()")
    assert (state["problem"], state["unsent"]) == (None, 0)
    assert station.lines == tab.lines
    assert not chain_faults(station.held)


def test_a_write_refused_here_is_said_held_and_written_with_the_next(tab, station):
    tab.run("store.enrol(data)", station.enrolment("d2"))
    tab.run("store.use({outing: '2027-05-14-a'})")
    tab.run(
        "(() => { window.add = IDBObjectStore.prototype.add; IDBObjectStore.prototype.add = () => "
        "{ throw new DOMException('', 'QuotaExceededError'); }; })()"
    )
    assert tab.run("store.append([call('one grubby')]).catch(off => off.what)") == "quota"
    tab.run("(() => { IDBObjectStore.prototype.add = window.add; })()")
    tab.call("two eels")
    assert tab.lines[-2:] == ["one grubby", "two eels"]
    assert tab.run("[store.unsaved.length, store.problem]") == [0, None]


def test_many_writes_at_once_make_one_chain_here_too(tab, station):
    tab.run("store.enrol(data)", station.enrolment("d2"))
    tab.run("store.use({outing: '2027-05-14-a'})")
    tab.run("Promise.all(Array.from({length: 60}, (_, n) => store.append([call(`call ${n}`)])))")
    assert tab.run("syncOnce()")["unsent"] == 0
    own = [entry for entry in station.held if entry.device == "d2"]
    assert not chain_faults(own)
    assert [f"call {n}" for n in range(60)] == [entry.body["text"] for entry in own][-60:]
