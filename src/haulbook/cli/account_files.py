"""The files that an account becomes."""

from __future__ import annotations

import hashlib
from collections.abc import Iterable, Sequence
from datetime import datetime
from pathlib import Path

import haulbook
from haulbook.exchange.bookfile import book_lines
from haulbook.exchange.station_toml import Station
from haulbook.office.account_book import Accounted
from haulbook.office.account_page import account_page, estimate_lines
from haulbook.problems import Problem
from haulbook.publish import csv_bytes, estimates_sheet, render_account, xlsx_bytes


def invented_by(station: Station | None) -> bool:
    """Say whether a station file says of itself that the station is invented."""
    return station is not None and "invented" in station.name.casefold()


def account_files(
    done: Accounted,
    *,
    station: Station | None,
    made_at: datetime,
    paths: Sequence[Path],
    problems: Iterable[Problem],
    invented: bool,
) -> dict[str, bytes]:
    """Return everything ``haulbook account`` writes, by file name."""
    sources = [(path.name, f"SHA-256 {hashlib.sha256(path.read_bytes()).hexdigest()}") for path in paths]
    sources += [
        ("taxon pack", f"{done.pack.key}, version {done.pack.version}"),
        ("haulbook", haulbook.__version__),
    ]
    page = account_page(
        done, station=station, made_at=made_at, sources=sources, problems=problems, invented=invented
    )  # fmt: skip
    files = {
        "book.jsonl": b"".join(book_lines(done.book.entries)),
        "account.html": render_account(page).encode(),
        "estimates.csv": csv_bytes(estimates_sheet(estimate_lines(done))),
    }
    for report in done.reports:
        sheets = report.sheets()
        files[f"{report.name}.xlsx"] = xlsx_bytes(sheets, made_at)
        for sheet in sheets:
            files[f"{report.name}-{sheet.name}.csv"] = csv_bytes(sheet)
    return files
