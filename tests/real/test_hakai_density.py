"""Areas and catch per area of the Hakai beach seines, read with nothing but csv.

Hakai Institute, Beach Seine Survey Dataset - BC Central Coast - 2014-2018, v1.0.0, CC BY 4.0. The figures
were computed from those files in R and awk, apart from this project.
"""

from __future__ import annotations

import csv
from collections import defaultdict

import pytest

from haulbook.custody.facts import Measure
from haulbook.estimate import HaulRow, catch_per_area
from haulbook.gear import swept_area, wedge_volume_m3

SET_KEYS = ("site", "year", "month", "day")


def rows(folder, name):
    with (folder / "hakai-beach-seine-2014-2018" / name).open(encoding="utf-8", newline="") as lines:
        yield from csv.DictReader(lines)


@pytest.fixture(scope="module")
def sets_with_area(shared_data):
    """One entry a set: reach, width, depth, area and volume as the file gives them."""
    found = {}
    for row in rows(shared_data, "netdimensions.csv"):
        visit = tuple(row[key] for key in SET_KEYS)
        for n in "12":
            if row[f"area_set{n}"] not in ("", "n/a"):
                found[(*visit, n)] = {
                    "b": float(row[f"net_extent_set_{n}"]),
                    "w": float(row[f"net_width_set_{n}"]),
                    "depth": row[f"depth_extent_set_{n}"],
                    "area": float(row[f"area_set{n}"]),
                    "volume": row[f"vol_set{n}"],
                }
    return found


@pytest.fixture(scope="module")
def catches(shared_data):
    """Counts by set and code, and the success code of each set; blank abundance counts as nothing."""
    counts: dict[tuple[str, ...], dict[str, int]] = defaultdict(lambda: defaultdict(int))
    success = {}
    for row in rows(shared_data, "speciesabundance.csv"):
        key = (*(row[k] for k in SET_KEYS), row["replicate"])
        counts[key][row["species"]] += int(row["abundance"]) if row["abundance"].isdigit() else 0
        success[key] = row["success"]
    return counts, success


def computed(found):
    return swept_area(
        "rectangle_half_disc", {letter: Measure(found[letter], "measured") for letter in ("w", "b")}
    )


def test_all_425_areas_and_volumes_come_out_of_reach_and_width(sets_with_area):
    assert len(sets_with_area) == 425
    for found in sets_with_area.values():
        area = computed(found)
        assert round(area.m2) == found["area"]
        assert area.basis == "measured"
        if found["volume"] not in ("", "n/a"):
            volume = wedge_volume_m3(area.m2, float(found["depth"]))
            assert volume == pytest.approx(float(found["volume"]), abs=0.5)


def haul_rows(sets_with_area, catches, code=None):
    counts, _ = catches
    return [
        HaulRow(
            label="/".join(key),
            count=counts[key][code] if code else sum(counts[key].values()),
            area_m2=sets_with_area[key]["area"],
        )
        for key in sorted(sets_with_area)
        if key in counts
    ]


def test_joined_catch_and_area_as_a_ratio_of_sums(sets_with_area, catches):
    hauls = haul_rows(sets_with_area, catches)
    assert len(hauls) == 422
    assert sum(haul.count for haul in hauls) == 239_719
    assert sum(haul.area_m2 for haul in hauls) == 125_829
    assert catch_per_area(hauls).per_100_m2 == pytest.approx(190.5117, abs=5e-5)


@pytest.mark.parametrize(
    ("code", "animals", "present", "ratio", "mean_of_hauls"),
    [
        ("bapi", 6845, 253, 5.439922, 6.497444),
        ("tube", 1922, 114, 1.527470, 2.305042),
        ("shpe", 14474, 239, 11.50291, 16.01313),
    ],
)
def test_two_means_that_are_not_the_same_are_both_reproduced_under_their_own_names(
    sets_with_area, catches, code, animals, present, ratio, mean_of_hauls
):
    hauls = haul_rows(sets_with_area, catches, code)
    estimate = catch_per_area(hauls)
    assert sum(haul.count for haul in hauls) == animals
    assert estimate.n_positive == present
    assert estimate.per_100_m2 == pytest.approx(ratio, rel=5e-7)
    assert estimate.mean_of_hauls_per_100_m2 == pytest.approx(mean_of_hauls, rel=5e-7)
    assert estimate.low < estimate.per_100_m2 < estimate.high


def test_only_sets_called_a_success_and_the_rest_listed_with_the_reason(sets_with_area, catches):
    counts, success = catches
    hauls = [
        HaulRow(
            label="/".join(key),
            count=sum(counts[key].values()),
            area_m2=sets_with_area[key]["area"],
            eligible=success[key] == "1",
            why_not=f"success {success[key]}",
        )
        for key in sorted(sets_with_area)
        if key in counts
    ]
    estimate = catch_per_area(hauls)
    assert estimate.n_hauls == 399
    assert estimate.per_100_m2 == pytest.approx(100 * 233_531 / 120_606, rel=1e-12)
    assert len(estimate.left_out) == 23
    assert all(left.why.startswith("success ") for left in estimate.left_out)
