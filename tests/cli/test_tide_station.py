"""A station by number, by name, or from a file of its own constants."""

from __future__ import annotations

import pytest

from haulbook.cli.tide_station import tide_station
from haulbook.problems import Refusal


def test_a_number_is_a_packaged_station():
    assert tide_station("8452660").name == "Newport"


def test_a_file_in_another_encoding_is_refused_by_name(tmp_path):
    (tmp_path / "dock.csv").write_bytes("name,Île\n".encode("latin-1"))
    with pytest.raises(Refusal, match=r"dock\.csv: can't be read as text in UTF-8"):
        tide_station("dock.csv", tmp_path)


def test_a_missing_file_is_named(tmp_path):
    with pytest.raises(Refusal, match=r"there is no file .*dock\.csv"):
        tide_station("dock.csv", tmp_path)
