"""Maps proposed for the open data sets, and what reading with them gives.

Sources: kbnerr/nearshore-fish (MIT), Hakai Institute beach seines 2014-2018 (CC BY 4.0), Ninigret class seines (MIT);
every figure is from the READMEs beside the data.
"""

from __future__ import annotations

import tomllib

import pytest

from haulbook.exchange.map_toml import read_sheet_map
from haulbook.exchange.propose import propose
from haulbook.exchange.propose_toml import proposal_toml
from haulbook.exchange.reading import read_sheets
from haulbook.problems import Refusal


def _asked(proposal):
    return "\n".join(str(problem) for problem in proposal.questions)


def _files(proposal):
    return {
        (file["name"], file.get("sheet")): file for file in tomllib.loads(proposal_toml(proposal))["file"]
    }


def _read(paths, proposal, tmp_path, *answers):
    text = proposal_toml(proposal)
    for said, instead in answers:
        assert said in text
        text = text.replace(said, instead)
    path = tmp_path / "MAP.toml"
    path.write_text(text, encoding="utf-8")
    return read_sheets(paths, read_sheet_map(path), ()).as_json()


ALL_BACK = ('# default_fate = "back"', 'default_fate = "back"')


@pytest.fixture
def kachemak_2023(shared_data):
    return sorted((shared_data / "kachemak-beach-seine/2023").glob("2023_kbnerr_*.csv"))


def test_kachemak_2023_is_understood_and_reads_with_1987_animals(kachemak_2023, tmp_path):
    proposal = propose(kachemak_2023)
    files = _files(proposal)
    assert proposal.pack == "nepacific"
    assert [file["role"] for file in files.values()] == ["environment", "catch", "hauls"]
    fish, site = files["2023_kbnerr_fish.csv", None], files["2023_kbnerr_site.csv", None]
    assert fish["columns"] == {
        "SeineID": "haul", "Common": "name", "LifeStage": "stage", "Count": "n", "Length_mm": "length_mm",
        "Deceased": "dead", "Notes": "remark",
    }  # fmt: skip
    assert fish["stages"] == {"YOY": "young", "Juvenile": "young", "Adult": "adult"}
    assert site["date"] == {"column": "Date", "form": "m/d/yy"}
    assert {problem.column for problem in proposal.questions} == {"default_fate", "Time"}
    read = _read(kachemak_2023, proposal, tmp_path, ALL_BACK)
    assert (read["hauls"], read["rows"], read["animals"], read["taxa"]) == (11, 848, 1987, 32)
    assert read["by_taxon"]["Pacific Herring"] == 1079


def test_kachemak_2023_with_its_permit_files_does_not_count_the_catch_twice(kachemak_2023, shared_data):
    permit_files = sorted((shared_data / "kachemak-beach-seine/2023").glob("2023_CF*Summary.csv"))
    assert (
        _files(propose([*kachemak_2023, *permit_files]))["2023_CF-23-073_Summary.csv", None]["role"] == "skip"
    )


def test_kachemak_2018_needs_the_project_in_the_key_and_asks_about_the_misspelt_harbour(
    shared_data, tmp_path
):
    paths = sorted((shared_data / "kachemak-beach-seine/2018").glob("*.csv"))
    proposal = propose(paths)
    fish = _files(proposal)["Fish-Combined.csv", None]
    # Round, site and seine are 130 keys for 142 hauls: two projects fished some of them.
    assert fish["haul_from"] == ["Project", "Round", "Site", "Seine#"]
    assert (
        "site 'Seldovia Harvbor' (91 rows) has no haul in Site-Info.csv; the nearest there is 'Seldovia Harbor'"
        in _asked(proposal)
    )
    assert "rows without a number: 6" in _asked(proposal)
    assert _files(proposal)["Site-Info.csv", None]["columns"]["Smpler's Initials"] == "person"
    assert _read(paths, proposal, tmp_path, ALL_BACK)["animals"] == 35583


@pytest.mark.parametrize(("year", "hauls", "animals"), [("2008", 14, 955), ("2018", 142, 36785)])
def test_kachemak_workbooks_read_sheet_by_sheet(shared_data, tmp_path, year, hauls, animals):
    path = shared_data / f"kachemak-beach-seine/{year}/submission_{year}.xlsx"
    proposal = propose([path])
    roles = {sheet: file["role"] for (_, sheet), file in _files(proposal).items()}
    assert roles == {
        "Read me": "skip",
        "Sites": "sites",
        "Events": "hauls",
        "Catch": "catch",
        "Metadata": "skip",
    }
    catch = _files(proposal)[path.name, "Catch"]
    assert catch["columns"]["Unmeasured"] == "n_unmeasured"
    read = _read([path], proposal, tmp_path, ALL_BACK)
    assert (read["hauls"], read["animals"]) == (hauls, animals)


def test_ninigret_without_headings_reads_with_37727_animals(shared_data, tmp_path):
    path = shared_data / "ninigret-class-seines/Ninigret-Compiled.csv"
    proposal = propose([path])
    file = _files(proposal)[path.name, None]
    assert proposal.pack == "nwatlantic"
    assert (file["header"], file["date"]["form"]) == (0, "yyyy")
    read = _read([path], proposal, tmp_path, ALL_BACK)
    assert (read["animals"], read["taxa"], read["rows"]) == (37727, 74, 137)


@pytest.fixture(scope="module")
def hakai(shared_data):
    paths = sorted((shared_data / "hakai-beach-seine-2014-2018").glob("*.csv"))
    return paths, propose(paths)


def test_hakai_roles_and_keys(hakai):
    files = {name: file for (name, _), file in _files(hakai[1]).items()}
    assert {name: file["role"] for name, file in files.items()} == {
        "bycatch.csv": "catch", "bycatchcodes.csv": "names", "datadictionary.csv": "skip",
        "environmental.csv": "environment", "fishcodes.csv": "names", "habitat.csv": "sites",
        "netdimensions.csv": "effort", "speciesabundance.csv": "catch", "specieslength.csv": "lengths",
        "vegetationcodes.csv": "skip",
    }  # fmt: skip
    assert files["speciesabundance.csv"]["haul_from"] == ["site", "date", "replicate"]
    assert files["netdimensions.csv"]["haul_from"] == ["site", "date", "set"]
    assert files["bycatch.csv"]["haul_from"] == ["id", "date", "replicate"]
    assert files["bycatch.csv"]["columns"]["id"] == "site"
    assert files["bycatch.csv"]["basis"] == "judged"
    assert files["speciesabundance.csv"]["columns"]["entered"] == "person"
    assert files["speciesabundance.csv"]["nothing"] == ["-"]


def test_hakai_asks_what_only_somebody_who_was_there_can_say(hakai):
    asked = _asked(hakai[1])
    for said in (
        "all longitudes are positive",  # dirt 1
        "'pba/2017-04-01/1' (5 rows) has no haul in netdimensions.csv",  # dirt 2
        "haul_no '1&2' (17 rows) has no haul", "haul_no '3' (15 rows) has no haul",  # dirt 3
        "rows without a number: 13",  # blank abundance
        "what do '0', '1', '2', '3' mean? Say it under stages",
        "how did the set go where 1, 2, 3 stands?",
        "in which unit is the area?",
        "which time zone did the clock keep?",
    ):  # fmt: skip
        assert said in asked
    assert (
        "bycatch.csv: site 'sn10' (8 rows) has no haul in netdimensions.csv; the nearest there is 'sni10'"
        in asked
    )


def test_hakai_is_not_read_until_it_is_answered_and_then_holds_314090_fish(hakai, tmp_path):
    paths, proposal = hakai
    with pytest.raises(Refusal, match="is still a question"):
        _read(paths, proposal, tmp_path)
    stages = [
        (f'{code} = "?"', f'{code} = "{stage}"') for code, stage in enumerate(("larva", "young", "adult", ""))
    ]
    fish = [path for path in paths if path.name in ("speciesabundance.csv", "fishcodes.csv", "habitat.csv")]
    read = _read(fish, propose(fish), tmp_path, ALL_BACK, ('["?"]', '["lon"]'), *stages)
    assert read["animals"] == 314090
    assert read["hauls"] == 584
