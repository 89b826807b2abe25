"""Every case of ``tests/cases/care-*.json``: published and derived values, each with its source and tolerance."""

from __future__ import annotations

import importlib.util
import json
import math
from pathlib import Path

import pytest

from haulbook.problems import Refusal

CASES = Path(__file__).resolve().parents[1] / "cases"
FILES = sorted(CASES.glob("care-*.json"))

_spec = importlib.util.spec_from_file_location(
    "case_functions", Path(__file__).with_name("case_functions.py")
)
_module = importlib.util.module_from_spec(_spec)
_spec.loader.exec_module(_module)
FUNCTIONS = _module.FUNCTIONS


def _cases(path: Path) -> list[dict]:
    return json.loads(path.read_text(encoding="utf-8"))["cases"]


def _near(found, expected, tolerance, where: str) -> None:
    if isinstance(expected, dict):
        assert set(found) == set(expected), where
        for key, value in expected.items():
            _near(found[key], value, tolerance, f"{where} {key}")
    elif isinstance(expected, list):
        assert len(found) == len(expected), where
        for index, value in enumerate(expected):
            each = tolerance[index] if isinstance(tolerance, list) else tolerance
            _near(found[index], value, each, f"{where} [{index}]")
    elif expected is None or isinstance(expected, str | bool):
        assert found == expected, where
    else:
        assert found is not None, f"{where}: never, instead of {expected}"
        assert math.isfinite(found), where
        assert abs(found - expected) <= tolerance, (
            f"{where}: {found!r} is not {expected!r} within {tolerance}"
        )


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_every_case_agrees_with_its_source_within_its_tolerance(path):
    failures = []
    for case in _cases(path):
        where = f"{case['function']}({case['inputs']}) from {case['source']}"
        try:
            if case["expected"] == "refused":
                with pytest.raises(Refusal):
                    FUNCTIONS[case["function"]](**case["inputs"])
            else:
                _near(
                    FUNCTIONS[case["function"]](**case["inputs"]), case["expected"], case["tolerance"], where
                )
        except (AssertionError, pytest.fail.Exception) as failure:
            failures.append(f"{where}: {failure}")
    assert not failures, "\n".join(failures)


@pytest.mark.parametrize("path", FILES, ids=[path.stem for path in FILES])
def test_every_case_names_its_source_and_why_it_is_allowed_to_differ(path):
    for case in _cases(path):
        assert set(case) == {"function", "inputs", "expected", "tolerance", "tolerance_reason", "source"}
        assert case["source"], case
        assert case["tolerance_reason"], case


def test_every_function_offered_to_other_languages_has_a_case():
    used = {case["function"] for path in FILES for case in _cases(path)}
    assert used == set(FUNCTIONS)
