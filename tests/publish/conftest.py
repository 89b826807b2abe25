"""An invented season for the account page, and a browser to read it in."""

from __future__ import annotations

from datetime import UTC, datetime

import pytest

from haulbook.custody.fates import Fate
from haulbook.custody.when import When
from haulbook.estimate import HaulRow, catches_per_area
from haulbook.gear import CONDITIONS, Area
from haulbook.publish import (
    AccountPage,
    BalanceLine,
    EstimateLine,
    FindingLine,
    HaulLine,
    LimitLine,
    OpenLine,
    Provenance,
    ReportLine,
)

BACK, KEPT, DIED = Fate.RELEASED_ALIVE, Fate.RETAINED_ALIVE, Fate.DIED_RELEASED
KILLED, LOST, ESCAPED, NOT_PLACED = (
    Fate.KILLED_NOT_KEPT,
    Fate.FATE_UNKNOWN,
    Fate.SEEN_ESCAPED,
    Fate.UNACCOUNTED,
)


def _hauls() -> tuple[HaulLine, ...]:
    measured, outing = Area(118.2, "measured"), "Outing 2027-05-21-a"

    def landed(clock: str) -> When:
        return When(f"2027-05-21T{clock}:00-04:00")

    return (
        HaulLine("1", outing, 84, CONDITIONS[1], True, landed("05:52"), "cove", "straight", measured),
        HaulLine(
            "2",
            outing,
            708,
            CONDITIONS[2],
            True,
            landed("06:18"),
            "cove",
            "straight",
            Area(125.4, "assumed", notes=("width not measured: 0.7 of 12 m assumed",)),
            remarks=("leadline lifted over a stone, under a tenth of the path",),
        ),
        HaulLine(
            "3",
            outing,
            47,
            CONDITIONS[3],
            False,
            landed("07:21"),
            "cove",
            "straight",
            None,
            "distance hauled was not measured, so no area and no density",
            ("stopped by algae",),
        ),
    )


def _balance() -> tuple[BalanceLine, ...]:
    return (
        BalanceLine(
            "Atlantic silverside",
            721,
            {BACK: 717, DIED: 3, ESCAPED: 1},
            "Menidia menidia",
            by_haul={"1": 38, "2": 661, "3": 22},
            expanded=600,
        ),
        BalanceLine(
            "northern pipefish",
            17,
            {BACK: 14, KEPT: 3},
            "Syngnathus fuscus",
            by_haul={"1": 5, "2": 9, "3": 3},
            remarks=("1 kept animal died in tank q1 on 23 May 2027",),
        ),
        BalanceLine(
            "rock gunnel", 5, {BACK: 1, KEPT: 4}, "Pholis gunnellus", by_haul={"1": 0, "2": 4, "3": 1}
        ),
        BalanceLine("grubby", 12, {BACK: 9, KEPT: 2, NOT_PLACED: 1}, by_haul={"1": 4, "2": 3, "3": 5}),
        BalanceLine("European green crab", 10, {KILLED: 10}, by_haul={"1": 3, "2": 5, "3": 2}),
        BalanceLine("sand shrimp", 73, {BACK: 72, LOST: 1}, by_haul={"1": 34, "2": 25, "3": 14}, judged=14),
        BalanceLine("blue goby (?)", 1, {BACK: 1}, name_open=True, by_haul={"1": None, "2": 1, "3": None}),
        BalanceLine("skate", 2, {BACK: 2}, unit="egg_mass", by_haul={"1": 1, "2": 1, "3": 0}),
    )


def _estimates() -> tuple[EstimateLine, ...]:
    counts = {
        ("Atlantic silverside", "2025"): [18, 40, 210, 95],
        ("Atlantic silverside", "2026"): [9, 31, 52, 140],
        ("Atlantic silverside", "2027"): [38, 661, None],
        ("northern pipefish", "2025"): [1, 2, 4, 6],
        ("northern pipefish", "2026"): [0, 3, 5, 8],
        ("northern pipefish", "2027"): [5, 9, 3],
        ("rock gunnel", "2025"): [0, 0, 1, 2],
        ("rock gunnel", "2026"): [0, 0, 0, 0],
        ("rock gunnel", "2027"): [0, 4, 1],
    }
    lines = []
    for (taxon, year), ys in counts.items():
        rows = [
            HaulRow(
                f"{year}/{i}",
                y,
                None if (year, i) == ("2027", 3) else 110.0 + 5 * i,
                net="n1",
                set_type="straight",
                light="day",
                flagged=(year, i) == ("2027", 2),
            )
            for i, y in enumerate(ys, 1)
        ]
        lines += [
            EstimateLine(taxon, group.words, year, estimate)
            for group, estimate in catches_per_area(rows).items()
        ]
    return tuple(lines)


@pytest.fixture(scope="session")
def invented_page() -> AccountPage:
    """A page on which every section has something to say; everything in it is invented."""
    return AccountPage(
        title="Season 2027",
        station="Lanyard Cove Shore Station",
        place="Lanyard Cove",
        zone="America/New_York",
        made_at=datetime(2027, 9, 3, 14, 5, tzinfo=UTC),
        captured=838,
        balance=_balance(),
        hauls=_hauls(),
        provenance=Provenance(
            digest="06716a0d618d2f6b76112cde7adb18a9d746c4012e73982fa15c26d64ea921ff",
            entries=214,
            facts=(
                ("Sheet tally.csv", "3b1f0d618d2f6b76112cde7adb18a9d746c4012e73982fa15c26d64ea921ff06"),
                ("Pack", "nwatlantic, 2027-02-01"),
                ("Permit", "EX-27-014, version 1"),
                ("haulbook", "0.1.0"),
            ),
        ),
        permits=("EX-27-014",),
        findings=(
            FindingLine(
                "stop",
                "1 more rock gunnel kept than clause 4b allows in an outing",
                "EX-27-014",
                "4b",
                "Not more than three (3) rock gunnel shall be retained in any outing.",
                "page 3",
                "4 kept in outing 2027-05-21-a: haul 2 gave 3, haul 3 gave 1.",
                "Tell the agency; the animal stays where it is until they answer.",
            ),
            FindingLine(
                "near",
                "1 more northern pipefish may be kept this permit year",
                "EX-27-014",
                "4a",
                "Not more than eight (8) northern pipefish shall be retained in any permit year.",
                "page 3",
                "7 of 8 kept by the end of outing 2027-05-21-a.",
            ),
        ),
        limits=(
            LimitLine(
                "EX-27-014",
                "4a",
                "1 more this permit year",
                "northern pipefish",
                "kept, a permit year",
                4,
                3,
                8,
                "near",
                "near",
            ),
            LimitLine(
                "EX-27-014",
                "4b",
                "1 over in this outing",
                "rock gunnel",
                "kept, an outing",
                0,
                4,
                3,
                "exceeded",
                "stop",
            ),
            LimitLine("EX-27-014", "4d", "2 more this permit year", "grubby", "kept, a permit year", 2, 2, 6),
            LimitLine(
                "EX-27-014",
                "5",
                "662 more this permit year",
                "fish of all kinds",
                "captured, a permit year",
                84,
                754,
                1500,
            ),
            LimitLine("EX-27-014", "8", "no number set", "eelgrass blades", "kept", 0, 0, None),
        ),
        estimates=_estimates(),
        reports=(
            ReportLine(
                "Permit EX-27-014, detail by haul",
                (
                    ("back alive", 814),
                    ("kept alive", 9),
                    ("killed", 10),
                    ("died", 3),
                    ("not placed or lost", 2),
                ),
                838,
                31,
                "EX-27-014-detail.csv",
            ),
        ),
        open=(
            OpenLine(
                "1 grubby of haul 3 is not accounted for",
                "difference",
                "outing 2027-05-21-a, haul 3",
                "Say where it went: put back, died, or miscounted.",
                "five grubby, one kept",
            ),
            OpenLine(
                "“blue goby (?)” is no name of the pack",
                "name",
                "tally.csv, row 88",
                "Name it, or leave it as a kind of its own.",
            ),
        ),
        invented=True,
    )
