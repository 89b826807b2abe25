"""One outing in Debian's WebKitGTK: called, tapped, reloaded, the way to the station broken, closed, and home."""

from __future__ import annotations

import importlib.util
from collections import Counter
from pathlib import Path

import pytest

from haulbook.custody.closing import open_things

pytestmark = pytest.mark.browser
BOOK_TESTS = Path(__file__).parents[1] / "page" / "test_book_webkit.py"


def _fixtures():
    spec = importlib.util.spec_from_file_location("webkit_of_the_page", BOOK_TESTS)
    module = importlib.util.module_from_spec(spec)
    spec.loader.exec_module(module)
    return module.display, module.webkit


display, webkit = _fixtures()  # the driver is the same; its session ends with this file

BUTTON = (
    "//button[normalize-space(.)={0} or @aria-label={0}]"
    " | //*[@role='radio'][starts-with(normalize-space(.), {0})]"
)


class Phone:
    """The page in this browser, and what a recorder does with it. Its clock is the machine's own."""

    def __init__(self, browser, url):
        self.browser, self.url = browser, f"{url}/shore/"
        browser.set_script_timeout(90)

    def open(self, fragment=""):
        self.browser.get("about:blank")
        self.browser.get(self.url + fragment)
        self.until("window.haulbook?.opened")

    def run(self, expression):
        found = self.browser.execute_async_script(
            "const done = arguments[0];"
            f"(async () => ({expression}))().then(value => done({{value}}), off => done({{off: String(off)}}));"
        )
        assert "off" not in found, found["off"]
        return found.get("value")

    def until(self, expression):
        self.run(
            f"(async () => {{ for (let i = 0; i < 2400; i++) {{ if (await ({expression})) return; "
            "await new Promise((go) => setTimeout(go, 25)); } "
            "throw new Error(`not within 60 s, on ${document.body.innerText}`); })()"
        )

    def press(self, words):
        said = f"'{words}'"
        xpath = BUTTON.format(said).replace('"', '\\"')
        self.until(
            f'document.evaluate("{xpath}", document, null, 9, null).singleNodeValue?.getClientRects().length'
        )
        shown = [
            one for one in self.browser.find_elements("xpath", BUTTON.format(said)) if one.is_displayed()
        ]
        shown[0].click()

    def call(self, text):
        self.until("document.getElementById('call').getClientRects().length")
        self.browser.find_element("id", "call").send_keys(text)
        self.press("Enter")
        self.settle()

    def tap(self, key, times=1):
        tile = self.browser.find_element("css selector", f".tile[data-key='{key}|']")
        for _ in range(times):
            tile.click()
        self.settle()

    def settle(self):
        self.until("window.haulbook.settled()")


def test_an_outing_in_another_family_of_browser_comes_home_whole(webkit, station, desk, wire, reckoned):
    code, outing = desk.invite("the tablet"), desk.plan()
    phone = Phone(webkit, wire.url)
    phone.open(f"#enrol={code}")
    phone.press(f"{outing}: Take it along")
    phone.press("recorder (p3)")
    phone.press("Start haul 1")
    phone.press("Two poles walked, straight")
    phone.press("Net is in the water")
    phone.press("Landed")
    phone.press("good")
    phone.press("Note the landing")
    wire.up = False
    phone.call("six atlantic silverside, back")
    phone.call("three grubby, bucket two")
    phone.tap("mummichog", 5)
    wire.up = True
    phone.run("window.haulbook.sync()")
    wire.lose = ["answered"]
    phone.call("two fourspine stickleback, nine sand shrimp, straight back")
    phone.open()  # reloaded; without a signal where the browser keeps a worker
    phone.call("thirty tautog, back")
    phone.call("scratch that")
    phone.tap("tautog", 2)
    phone.press("End haul")
    phone.press("End haul 1")
    phone.press("Sort")
    phone.press("Bucket 2, sort: All back")
    phone.settle()
    phone.press("Close outing")
    phone.settle()
    phone.until("window.haulbook.sync().then((state) => !state.unsent)")

    book = station.book()
    assert reckoned(book, outing) == Counter({
        ("atlantic-silverside", "back"): 6, ("grubby", "back"): 3, ("mummichog", "back"): 5, ("sand-shrimp", "back"): 9,
        ("fourspine-stickleback", "back"): 2, ("tautog", "back"): 2,
    })  # fmt: skip
    assert open_things(book, outing) == ()
    here = phone.run(f"window.haulbook.store.entries('{outing}').then((all) => all.map((one) => one.hash))")
    assert sorted(here) == sorted(one.hash for one in book.entries if one.outing == outing)
