"""Animals as published descriptions have them: the key puts the right one first."""

from __future__ import annotations

import pytest

# Each row: pack, taxon, what the source says it shows, source as named on the look-alike pages.
DESCRIBED = [
    (
        "nepacific",
        "bay-pipefish",
        "body_plan=pipe body_cover=rings pelvics=absent",
        "Burke Museum, family Syngnathidae",
    ),
    (
        "nepacific",
        "tube-snout",
        "body_plan=pipe free_spines=many_24 tail_fin=forked",
        "STRI species page, Aulorhynchus flavidus",
    ),
    (
        "nepacific",
        "buffalo-sculpin",
        "body_plan=bighead cheek_spine=long_straight lateral_line=raised_plates",
        "WDFW species page",
    ),
    (
        "nepacific",
        "starry-flounder",
        "body_plan=flat fin_bars=bold body_cover=star_plates",
        "ODFW flatfish key",
    ),
    (
        "nepacific",
        "english-sole",
        "body_plan=flat eyed_side=right snout=pointed eye_from_blind=yes",
        "ODFW flatfish key",
    ),
    ("nepacific", "rock-sole", "body_plan=flat eyed_side=right lateral_line=high_arch", "WDFW and ODFW"),
    (
        "nepacific",
        "european-green-crab",
        "body_plan=crab carapace_shape=fan carapace_teeth=five widest_tooth=fifth",
        "Washington crab guide; Exotics Guide",
    ),
    (
        "nepacific",
        "helmet-crab",
        "body_plan=crab carapace_teeth=six shell_top=bristly",
        "Washington crab guide",
    ),
    (
        "nepacific",
        "dungeness-crab",
        "body_plan=crab carapace_teeth=nine_ten widest_tooth=tenth claw_top=serrated",
        "Washington crab guide",
    ),
    (
        "nepacific",
        "graceful-crab",
        "body_plan=crab carapace_teeth=nine_ten widest_tooth=ninth claw_top=smooth",
        "Washington crab guide",
    ),
    ("nepacific", "high-cockscomb", "body_plan=ribbon head_crest=yes", "encyclopaedia page"),
    ("nepacific", "clinging-jelly", "body_plan=jelly bell=cross", "WHOI page on the clinging jelly"),
    (
        "nwatlantic",
        "fourspine-stickleback",
        "body_plan=torpedo free_spines=two_to_five belly_ridge=yes pelvic_colour=red",
        "Bigelow & Schroeder 1953 p. 311",
    ),
    (
        "nwatlantic",
        "ninespine-stickleback",
        "body_plan=torpedo free_spines=seven_plus",
        "FishBase, Pungitius pungitius",
    ),
    (
        "nwatlantic",
        "atlantic-silverside",
        "body_plan=torpedo dorsal_fins=two silver_band=yes belly_edge=round",
        "Bigelow & Schroeder 1953 p. 302",
    ),
    (
        "nwatlantic",
        "alewife",
        "body_plan=torpedo belly_edge=strong_saw eye_snout=wider back_colour=grey_green",
        "Bigelow & Schroeder 1953 p. 101",
    ),
    (
        "nwatlantic",
        "winter-flounder",
        "body_plan=flat eyed_side=right eye_gap_skin=rough",
        "Bigelow & Schroeder 1953 p. 283",
    ),
    (
        "nwatlantic",
        "windowpane",
        "body_plan=flat eyed_side=left see_through=yes dorsal_fringe=yes",
        "VIMS page after the FAO guide",
    ),
    (
        "nwatlantic",
        "cunner",
        "body_plan=torpedo dorsal_spine_feel=mixed gill_cover=scaly head_profile=flat_pointed",
        "Bigelow & Schroeder 1953 p. 473",
    ),
    (
        "nwatlantic",
        "tautog",
        "body_plan=torpedo dorsal_spine_feel=mixed gill_cover=naked head_profile=high_blunt",
        "Bigelow & Schroeder 1953 p. 473",
    ),
    (
        "nwatlantic",
        "longhorn-sculpin",
        "body_plan=bighead cheek_top_spine=four_times",
        "Bigelow & Schroeder 1953 p. 449",
    ),
    ("nwatlantic", "sea-raven", "body_plan=bighead head_tabs=yes ragged_fin=yes", "Maine DMR sheet"),
    (
        "nwatlantic",
        "rock-gunnel",
        "body_plan=ribbon pelvics=tiny back_marks=ringed_spots anal_tail=notched",
        "Bigelow & Schroeder 1953 p. 492",
    ),
    (
        "nwatlantic",
        "american-eel",
        "body_plan=ribbon pelvics=absent fin_start=far_back",
        "Bigelow & Schroeder 1953 pp. 150-151",
    ),
    (
        "nwatlantic",
        "lumpfish",
        "body_plan=ball skin_knobs=rows depth_ratio=two pelvics=disc",
        "Bigelow & Schroeder 1953 p. 459",
    ),
    (
        "nwatlantic",
        "atlantic-tomcod",
        "body_plan=torpedo dorsal_fins=three pelvic_feeler=half tail_fin=rounded",
        "Bigelow & Schroeder 1953 p. 196",
    ),
    (
        "nwatlantic",
        "asian-shore-crab",
        "body_plan=crab carapace_shape=square carapace_teeth=three leg_bands=yes",
        "Massachusetts CZM card",
    ),
    (
        "nwatlantic",
        "lady-crab",
        "body_plan=crab carapace_teeth=five last_legs=paddles shell_dots=purple_clusters",
        "Barnegat page; encyclopaedia page",
    ),
    (
        "nwatlantic",
        "daggerblade-grass-shrimp",
        "body_plan=shrimp rostrum=long_toothed teeth_behind_eye=one spike_tip=bare_dagger",
        "Texas A&M guide",
    ),
    ("nwatlantic", "forbes-sea-star", "body_plan=star sieve_plate=orange star_arms=plump", "URI page"),
]


@pytest.mark.parametrize(("pack", "taxon", "shows", "source"), DESCRIBED, ids=[row[1] for row in DESCRIBED])
def test_a_described_animal_leads(look, pack, taxon, shows, source):
    found = look(pack, *shows.split())
    assert found.ranking[0][0] == taxon, f"{source}: {found.ranking[:3]}"
    assert not found.contradictions


def test_one_slip_among_five_looks_leaves_the_described_animal_first_and_is_named(look):
    # Bigelow & Schroeder 1953 p. 302, with one look misread: the belly edge is called a sharp saw.
    found = look(
        "nwatlantic",
        "body_plan=torpedo",
        "dorsal_fins=two",
        "silver_band=yes",
        "adipose=absent",
        "belly_edge=strong_saw",
    )
    assert found.ranking[0][0] == "atlantic-silverside"
    assert found.contradictions[0].character == "belly_edge"
    assert "the leader, Atlantic silverside, has: round and smooth" in found.contradictions[0].message
