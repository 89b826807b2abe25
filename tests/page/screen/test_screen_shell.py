"""What a phone keeps of the page: every file, and nothing that comes from elsewhere."""

from __future__ import annotations

import gzip
import json
import re
from importlib.resources import files
from pathlib import Path

import pytest

from haulbook.shore.shell import PAGE, SCRIPT, page_files, shell, sprite

FOLDER = Path(str(files("haulbook.shore") / "page"))
TOKENS = files("haulbook.publish").joinpath("templates/tokens.css").read_text(encoding="utf-8")
LARGEST = 300_000


def test_every_file_of_the_page_is_in_the_shell_the_modules_as_one_script():
    page_files.cache_clear()
    here = {path.relative_to(FOLDER).as_posix() for path in FOLDER.rglob("*") if path.is_file()}
    told = shell({"tokens.css": b"", "silhouettes.svg": b""}).files
    alone = {name for name in here if not name.endswith(".js")} - {"index.html"}
    assert set(told) == alone | {PAGE, SCRIPT, "tokens.css", "silhouettes.svg"}
    assert len(told) == len(set(told))


def test_any_changed_byte_is_another_shell():
    one, other = (shell({"tokens.css": content, "silhouettes.svg": b""}) for content in (b"a", b"b"))
    assert one.digest != other.digest
    assert shell({"silhouettes.svg": b"", "tokens.css": b"a"}) == one
    assert json.loads(json.dumps(one.as_json())) == {"digest": one.digest, "files": list(one.files)}


def test_drawings_become_one_sheet_of_symbols_in_the_ink_around_them():
    text = '<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 96 48"><title>flat</title><path d="M0 0"/></svg>'
    sheet = sprite({"flat": text})
    assert '<symbol id="plan-flat" viewBox="0 0 96 48" fill="currentColor"><path d="M0 0"/></symbol>' in sheet
    assert "title" not in sheet


def test_the_page_with_all_it_needs_is_under_300_kb_compressed(station):
    needed = [station.static(address) for address in (*shell(station.beside).files, "sw.js")]
    total = sum(len(gzip.compress(content, 9)) for content in needed)
    assert total < LARGEST, f"{total} bytes"


def test_every_module_that_is_imported_is_there():
    for path in FOLDER.rglob("*.js"):
        for target in re.findall(r'from "(\.[^"]+)"', path.read_text(encoding="utf-8")):
            assert (path.parent / target).resolve().is_file(), f"{path.name} imports {target}"


def test_no_module_of_the_screen_is_longer_than_350_lines():
    for path in (FOLDER / "screen").glob("*.js"):
        lines = path.read_text(encoding="utf-8").count("\n")
        assert lines <= 350, f"{path.name} has {lines} lines"


def test_what_haulbook_says_stands_in_one_module():
    sentence = re.compile(r'"([A-Z][a-z]+ [^"\n]*)"')
    for path in (FOLDER / "screen").glob("*.js"):
        if path.name == "words.js":
            continue
        code = re.sub(r"/\*.*?\*/|//[^\n]*", "", path.read_text(encoding="utf-8"), flags=re.DOTALL)
        said = sentence.findall(code)
        assert not said, f"{path.name} says {said[:3]}: put it into words.js"


def test_no_text_becomes_markup():
    for path in FOLDER.rglob("*.js"):
        assert not re.search(
            r"innerHTML|outerHTML|insertAdjacentHTML|document\.write", path.read_text(encoding="utf-8")
        ), path.name


def _block(selector):
    found = re.search(re.escape(selector) + r"\s*\{([^}]*)\}", TOKENS)
    return dict(re.findall(r"--([\w-]+):\s*([^;]+);", found.group(1)))


def test_dark_as_preferred_and_as_chosen_are_the_same_and_every_theme_names_every_colour():
    light, dark, dawn, sun = (
        _block(selector)
        for selector in (
            ":root",
            ":root:not([data-theme])",
            ':root[data-theme="dawn"]',
            ':root[data-theme="sun"]',
        )
    )
    assert dark == dawn
    assert set(light) - {"sans", "serif"} == set(dawn) == set(sun)


def test_bright_sun_has_no_hue():
    assert set(_block(':root[data-theme="sun"]').values()) == {"#000", "#fff"}


def _luminance(colour):
    """WCAG 2.2, relative luminance."""
    text = colour.lstrip("#")
    text = "".join(c * 2 for c in text) if len(text) == 3 else text
    parts = [int(text[i : i + 2], 16) / 255 for i in (0, 2, 4)]
    red, green, blue = (c / 12.92 if c <= 0.04045 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


PAIRS = [
    ("ink", "paper"), ("ink", "sheet"), ("ink", "wash"), ("pencil", "paper"), ("pencil", "sheet"), ("pencil", "wash"),
    ("kelp", "paper"), ("on-fill", "fill"), ("on-flag", "flag"), ("flagline", "paper"), ("on-stop", "stop"),
    ("on-stop-page", "stop-page"), ("on-flag-page", "flag-page"), ("on-stop-fill", "on-stop-page"),
]  # fmt: skip


@pytest.mark.parametrize("theme", [":root", ':root[data-theme="dawn"]', ':root[data-theme="sun"]'])
def test_every_pair_of_text_and_ground_holds_seven_to_one(theme):
    colours = _block(theme)
    for text, ground in PAIRS:
        high, low = sorted((_luminance(colours[text]), _luminance(colours[ground])), reverse=True)
        assert (high + 0.05) / (low + 0.05) >= 7, f"{text} on {ground}: {(high + 0.05) / (low + 0.05):.1f}"


@pytest.mark.browser
def test_a_newer_page_comes_whole_with_the_next_opening(beach, station):
    phone = beach(worker=True)
    phone.until("navigator.serviceWorker.controller")
    kept = "caches.keys().then((names) => names.filter((name) => name.startsWith('haulbook-shell')))"
    (first,) = phone.page.evaluate(kept)
    station.beside["tokens.css"] += b"\n/* newer */"
    phone.page.evaluate("navigator.serviceWorker.ready.then(({active}) => active.postMessage('look'))")
    phone.page.get_by_text("A newer page is ready.").wait_for()
    phone.page.reload()
    phone.until("window.haulbook?.opened")
    (second,) = phone.page.evaluate(kept)
    assert first != second
    assert "newer" in phone.page.evaluate("fetch('tokens.css').then((answer) => answer.text())")
