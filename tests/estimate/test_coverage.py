"""How often the interval holds the truth: two cells of the table in docs/explanation, drawn anew.

Expected, k 0.5 and 15 animals a haul: log-t 96 % and exact Poisson 24 % with 3 hauls, 92 % and 26 % with 10.
"""

from __future__ import annotations

import numpy as np
import pytest

from haulbook.estimate.means import log_t_interval, ratio_of_means
from haulbook.estimate.nothing_caught import exact_poisson_limits


@pytest.mark.parametrize(("hauls", "log_t", "poisson"), [(3, 0.96, 0.24), (10, 0.92, 0.26)])
def test_log_t_holds_the_truth_where_counting_statistics_do_not(hauls, log_t, poisson):
    random = np.random.default_rng(2027)
    truth, k, held, held_by_chance, outings = 0.15, 0.5, 0, 0, 0
    while outings < 600:
        areas = 100 * random.uniform(0.7, 1.3, hauls)
        counts = random.poisson(truth * areas * random.gamma(k, 1 / k, hauls))
        if not counts.any():
            continue
        outings += 1
        low, high = log_t_interval(ratio_of_means(counts.tolist(), areas.tolist()))
        held += low <= truth <= high
        low, high = exact_poisson_limits(int(counts.sum()), float(areas.sum()))
        held_by_chance += low <= truth <= high
    assert held / outings == pytest.approx(log_t, abs=0.03)
    assert held_by_chance / outings == pytest.approx(poisson, abs=0.06)
