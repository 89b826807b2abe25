"""``haulbook account`` of 100 000 tally rows, as seconds, memory, and a ratio to ``haulbook read`` of the same file.

Then the readings that a station keeps of the same book: all of it at once, and outing by outing, stored and read
back. The file is invented: 5 000 hauls of 20 taxa of the NW Atlantic pack, drawn from a fixed seed.
"""

from __future__ import annotations

import csv
import random
import sys
import tempfile
import time
from collections import defaultdict
from pathlib import Path

from bench.read_million import READ, run
from haulbook.custody.book import Book
from haulbook.custody.chains import ChainRow
from haulbook.custody.entry import Entry
from haulbook.custody.facts_json import outing_as_json, outing_from_json
from haulbook.custody.reading_chains import read_chains
from haulbook.custody.reading_once import read_once
from haulbook.custody.reading_outing import joined, read_outing
from haulbook.exchange.bookfile import read_book
from haulbook.taxa import load_pack

ROWS, PER_HAUL = 100_000, 20

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "tally.csv"
role = "catch"
date = {column = "day", form = "iso"}
[file.columns]
haul = "haul"
site = "site"
set = "haul_no"
name = "name"
stage = "stage"
n = "n"
area = "area_m2"
ok = "condition"
"""


def write_tally(path: Path) -> None:
    draw = random.Random(27)
    taxa = [
        taxon.scientific_name for taxon in load_pack("nwatlantic").taxa.values() if taxon.rank == "species"
    ][:60]
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["haul", "day", "site", "set", "name", "stage", "n", "area", "ok"])
        for haul in range(ROWS // PER_HAUL):
            day = f"20{10 + haul // 1000}-0{1 + haul % 9}-1{haul // 90 % 10}"
            fixed = [f"H{haul:05d}", day, f"site {haul % 40}", haul % 3 + 1]
            for name in draw.sample(taxa, PER_HAUL):
                stage = draw.choice(["", "young", "adult"])
                writer.writerow([*fixed, name, stage, draw.choice([1, 1, 1, 2, 3, 5, 8, 13, 40]), 120, 1])


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        tally, sheet_map, out = Path(folder, "tally.csv"), Path(folder, "map.toml"), Path(folder, "out")
        write_tally(tally)
        sheet_map.write_text(MAP, encoding="utf-8")
        command = [sys.executable, "-c", READ]
        words = [str(tally), "--map", str(sheet_map), "--json"]
        read_s, _ = run([*command, "read", *words], good=(0, 1))
        account_s, memory = run([*command, "account", *words, "--out", str(out)], good=(0, 1))
        size = (out / "book.jsonl").stat().st_size / 1e6
        book = read_book(out / "book.jsonl")
    print(f"account of {ROWS} rows: {account_s:.1f} s, {memory:.0f} MB; the book has {size:.0f} MB")
    print(f"read of the same file: {read_s:.1f} s; account takes {account_s / read_s:.0f} times as long")
    readings(book)


def readings(book: Book) -> None:
    within = load_pack("nwatlantic").is_within
    begun = time.process_time()
    whole = read_once(book, within)
    print(f"all {len(book.entries)} entries read at once: {time.process_time() - begun:.1f} s")
    rows: dict[str, list[Entry]] = defaultdict(list)
    for entry in book.entries:
        rows[entry.outing or ""].append(entry)
    begun = time.process_time()
    found = [read_outing(entries, outing, within) for outing, entries in rows.items()]
    each = (time.process_time() - begun) / len(rows)
    assert joined(one.account for one in found) == whole.account
    print(f"{len(rows)} outings of {len(book.entries) / len(rows):.0f} entries: {each * 1000:.1f} ms each")
    texts = [outing_as_json(one) for one in found]
    begun = time.process_time()
    back = [outing_from_json(text) for text in texts]
    seconds = time.process_time() - begun
    assert back == found
    lots = len(whole.account.animals)
    print(f"stored: {sum(map(len, texts)) / 1e6:.0f} MB; {lots} lots of animals read back in {seconds:.2f} s")
    links = [ChainRow(one.device, one.seq, one.hash, one.prev, one.id, one.outing) for one in book.entries]
    begun = time.process_time()
    read_chains(links)
    print(f"chains of {len(links)} entries: {time.process_time() - begun:.2f} s")
