"""``haulbook read`` of a million tally rows beside an analytical engine that reads and groups the same file.

Both run as whole processes, one after the other, three times; the ratio of their medians is printed with the
most memory that each took. The file is invented: 50 000 hauls of 20 taxa, drawn from a fixed seed.
"""

from __future__ import annotations

import csv
import os
import random
import statistics
import subprocess
import sys
import tempfile
import time
from pathlib import Path

ROWS, PER_HAUL, TIMES = 1_000_000, 20, 3
MOST_RATIO, MOST_MB = 4.0, 1500

MAP = """
pack = "nwatlantic"
default_fate = "back"
[[file]]
name = "tally.csv"
role = "catch"
columns = {haul = "haul", site = "site", set = "haul_no", name = "name", stage = "stage", n = "n", remark = "remark"}
date = {column = "day", form = "iso"}
"""

READ = "from haulbook.cli.app import main; main()"
GROUP = """
import sys, duckdb
found = duckdb.sql(f"select haul, name, stage, sum(n) from '{sys.argv[1]}' group by all").fetchall()
print(len(found))
"""


def write_tally(path: Path) -> None:
    draw = random.Random(27)
    taxa = [f"invented taxon {i}" for i in range(60)]
    with path.open("w", encoding="utf-8", newline="") as out:
        writer = csv.writer(out)
        writer.writerow(["haul", "day", "site", "set", "name", "stage", "n", "remark"])
        for haul in range(ROWS // PER_HAUL):
            fixed = [
                f"H{haul:05d}",
                f"20{10 + haul // 5000}-0{1 + haul % 9}-1{haul % 10}",
                f"site {haul % 70}",
                haul % 3 + 1,
            ]
            for name in draw.sample(taxa, PER_HAUL):
                n = draw.choice([1, 1, 1, 2, 3, 5, 8, 13, 40, draw.randrange(1, 400)])
                remark = "low light" if draw.random() < 0.01 else ""
                writer.writerow([*fixed, name, draw.choice(["", "young", "adult"]), n, remark])


def run(command: list[str], *, good: tuple[int, ...]) -> tuple[float, float]:
    """Run one process; return its seconds of wall clock and its most memory in MB."""
    start = time.perf_counter()
    process = subprocess.Popen(command, stdout=subprocess.DEVNULL)
    _, status, usage = os.wait4(process.pid, 0)
    seconds = time.perf_counter() - start
    if os.waitstatus_to_exitcode(status) not in good:
        sys.exit(f"failed: {' '.join(command)}")
    return seconds, usage.ru_maxrss / 1024


def main() -> None:
    with tempfile.TemporaryDirectory() as folder:
        tally, sheet_map = Path(folder, "tally.csv"), Path(folder, "map.toml")
        write_tally(tally)
        sheet_map.write_text(MAP, encoding="utf-8")
        read = [sys.executable, "-c", READ, "read", str(tally), "--map", str(sheet_map), "--json"]
        group = [sys.executable, "-c", GROUP, str(tally)]
        ours, theirs = [], []
        for _ in range(TIMES):
            ours.append(run(read, good=(0, 1)))
            theirs.append(run(group, good=(0,)))
    seconds, other = (statistics.median(s for s, _ in found) for found in (ours, theirs))
    memory, other_memory = (max(mb for _, mb in found) for found in (ours, theirs))
    print(f"haulbook read of {ROWS:,} rows: {seconds:.2f} s, {memory:.0f} MB")
    print(f"read and group by the engine: {other:.2f} s, {other_memory:.0f} MB")
    print(f"ratio {seconds / other:.2f} (at most {MOST_RATIO:g}); memory at most {MOST_MB} MB")
    if seconds / other > MOST_RATIO or memory > MOST_MB:
        sys.exit("reading a million rows takes too long or too much memory")
