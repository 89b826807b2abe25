"""The screen in Debian's WebKitGTK: not Safari on a phone, but the nearest engine that runs here."""

from __future__ import annotations

import os
import shutil
import subprocess
import time
import warnings
from pathlib import Path

import pytest

pytestmark = pytest.mark.browser
MINI_BROWSERS = sorted(Path("/usr/lib").glob("*/webkit2gtk-4.*/MiniBrowser"))


@pytest.fixture
def webkit():
    """A browser on a screen that nobody sees."""
    webdriver = pytest.importorskip("selenium.webdriver", reason="selenium is not installed")
    program = shutil.which("WebKitWebDriver")
    if program is None or not MINI_BROWSERS or shutil.which("Xvfb") is None:
        pytest.skip("no WebKitGTK driver on this machine (apt-get install webkit2gtk-driver xvfb)")
    read, write = os.pipe()
    with subprocess.Popen(
        ["Xvfb", "-displayfd", str(write), "-screen", "0", "420x900x24", "-nolisten", "tcp"],
        pass_fds=[write],
        stdout=subprocess.DEVNULL,
        stderr=subprocess.DEVNULL,
    ) as screen:
        os.close(write)
        with os.fdopen(read) as told:
            display = f":{told.readline().strip()}"
        options = webdriver.WebKitGTKOptions()
        options.binary_location = str(MINI_BROWSERS[-1])
        options.add_argument("--automation")
        service = webdriver.WebKitGTKService(executable_path=program, env={**os.environ, "DISPLAY": display})
        with warnings.catch_warnings():
            warnings.simplefilter("ignore", DeprecationWarning)  # selenium warns of what its own driver does
            browser = webdriver.WebKitGTK(options=options, service=service)
        browser.set_script_timeout(30)
        browser.set_window_size(400, 880)
        yield browser
        browser.quit()
        screen.terminate()


PRESS = """const words = arguments[0];
const button = [...document.querySelectorAll('button')]
  .find((one) => one.offsetParent && one.textContent.includes(words));
if (button) button.click();
return Boolean(button);"""


CALLED = """const done = arguments[0];
const look = async () => {
  if (!window.haulbook || !window.haulbook.settled()) return setTimeout(look, 20);
  const moves = (await window.haulbook.store.entries()).filter(({kind}) => kind === 'move');
  return done(moves.flatMap(({body}) => body.lines));
};
look();"""


def _until(true, what):
    until = time.monotonic() + 15
    while not true():
        assert time.monotonic() < until, what
        time.sleep(0.05)


def _press(browser, words):
    _until(lambda: browser.execute_script(PRESS, words), f"no button {words}")


def test_calls_and_taps_are_in_the_book_after_a_reload(webkit, station):
    webkit.get(f"{station.url}#enrol=wrack-0417")
    for words in (
        "Take it along",
        "Start haul 1",
        "Two poles walked",
        "Net is in the water",
        "Landed",
        "good",
        "Note the landing",
    ):
        _press(webkit, words)
    line = webkit.find_element("id", "call")
    _until(line.is_displayed, "the line for calls does not show")
    line.send_keys("four rock gunnel, one young winter flounder, kept\ue007")
    (tile,) = (one for one in webkit.find_elements("class name", "tile") if "tautog" in one.text)
    webkit.execute_script("arguments[0].scrollIntoView({block: 'center'})", tile)
    tile.click()
    tile.click()
    before = webkit.execute_async_script(CALLED)
    webkit.refresh()
    after = webkit.execute_async_script(CALLED)
    assert [(line["taxon"], line["n"], line["to"]) for line in after] == [
        ("rock-gunnel", 4, "bucket 1"),
        ("winter-flounder", 1, "bucket 1"),
        ("tautog", 1, "back"),
        ("tautog", 1, "back"),
    ]
    assert before == after


PHOTO = """const done = arguments[0];
(async () => {
  const {redrawn} = await import('./screen/redraw.js');
  const canvas = Object.assign(document.createElement('canvas'), {width: 2000, height: 500});
  const file = await new Promise((made) => canvas.toBlob(made));
  const {store, pictures, sync} = window.haulbook;
  const [call] = (await store.entries()).filter(({kind}) => kind === 'move');
  await pictures.keep(call.id, await redrawn(file));
  while ((await sync()).unsent);
  for (;;) {
    await pictures.now();
    if (!(await store.unsent()).pictures) return done('sent');
    await new Promise((go) => setTimeout(go, 20));
  }
})().catch((error) => done(String(error)));"""


def test_a_photo_is_redrawn_kept_and_sent(webkit, station):
    webkit.get(f"{station.url}#enrol=wrack-0417")
    for words in (
        "Take it along",
        "Start haul 1",
        "Two poles walked",
        "Net is in the water",
        "Landed",
        "good",
    ):
        _press(webkit, words)
    _press(webkit, "Note the landing")
    line = webkit.find_element("id", "call")
    _until(line.is_displayed, "the line for calls does not show")
    line.send_keys("four rock gunnel, back\ue007")
    webkit.execute_async_script(CALLED)
    assert webkit.execute_async_script(PHOTO) == "sent"
    (picture,) = station.pictures.values()
    assert picture.startswith(b"\xff\xd8\xff")
    assert b"\x01\x90\x06\x40" in picture  # its frame header: 400 high, 1600 wide
