"""Take the pictures in the documentation anew, from the invented season, in the system's own Chromium."""

from __future__ import annotations

import shutil
import subprocess
import sys
import tempfile
from pathlib import Path

from playwright.sync_api import sync_playwright
from station_pictures import picture

ROOT = Path(__file__).resolve().parents[1]
PICTURES = ROOT / "docs/screenshots"
WIDE, HIGH = 1100, 900


def _haulbook(*words: str) -> None:
    done = subprocess.run(
        [sys.executable, "-m", "haulbook", *words], capture_output=True, text=True, check=False
    )
    if done.returncode not in (0, 1):  # 1: something to settle, which the invented season has on purpose
        sys.exit(done.stderr)


def main() -> None:
    """Account for the invented season and plan its next outing; picture both, then a station and a phone."""
    chromium = shutil.which("chromium")
    if chromium is None:
        sys.exit("chromium is needed for pictures: apt-get install chromium")
    with tempfile.TemporaryDirectory() as folder:
        season = Path(folder)
        _haulbook("demo", "--out", folder)
        papers = ["--permit", str(season / "permit.toml"), "--site", str(season / "station.toml")]
        book = str(season / "book.jsonl")
        _haulbook("account", book, *papers, "--out", str(season / "account"))
        _haulbook(
            "plan", *papers, "--book", book, "--from", "2026-09-15", "--to", "2026-10-14",
            "--now", "2026-09-15T12:00", "--out", str(season / "plan"),
        )  # fmt: skip
        PICTURES.mkdir(exist_ok=True)
        with sync_playwright() as playwright:
            browser = playwright.chromium.launch(
                executable_path=chromium, args=["--no-sandbox", "--disable-gpu"]
            )
            page = browser.new_page(viewport={"width": WIDE, "height": HIGH}, color_scheme="light")
            for name in ("account", "plan"):
                page.goto((season / name / f"{name}.html").as_uri())
                page.screenshot(path=PICTURES / f"{name}.png")
                print(PICTURES.relative_to(ROOT) / f"{name}.png")
            picture(browser, PICTURES, season / "station")
            browser.close()


if __name__ == "__main__":
    main()
