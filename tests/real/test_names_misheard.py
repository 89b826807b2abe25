"""The misheard and misspelt names that publishers corrected by hand, against our packs.

Sources: Hakai Institute nearshore programme, list of corrected names (HakaiInstitute/seagrass-fish-inverts
at 9f46d3d, CC BY 4.0); class seines of a Rhode Island coastal pond (bigboss3333/seining_diversity at
79c1209, MIT). What a correction is in our packs is judged here by hand.
"""

from __future__ import annotations

import csv

from haulbook.taxa import load_pack
from haulbook.taxa.names import resolve
from haulbook.taxa.pairs import resolve_pair

RIGHT = {
    # the publisher's corrected name -> our taxon; what is missing here is not in the pack, so never certain
    "goby/bay": "bay-goby", "goby/blackeye": "blackeye-goby", "pipefish/bay": "bay-pipefish", "sole/c-o": "c-o-sole",
    "sole/english": "english-sole", "sole/rock": "rock-sole", "sole/sand": "sand-sole",
    "sole/unknown": "pleuronectiformes",
    "greenling/white-spotted": "whitespotted-greenling", "flounder/pacific_sanddab": "pacific-sanddab",
    "sculpin/poacher": "agonidae", "prickleback/snake": "snake-prickleback",
    "rockfish/black-yellowtail_complex": "black-yellowtail",
    "threespine_stickleback": "threespine-stickleback", "cod/unknown": "gadidae",
    "flatfish/unknown": "pleuronectiformes",
    "crab/hermit": "pagurus", "crab/dungeness": "dungeness-crab", "crab/northern_kelp": "northern-kelp-crab",
    "crab/pugettia": "pugettia", "crab/cryptic_kelp": "cryptic-kelp-crab", "crab/red_rock": "red-rock-crab",
    "crab/cancer": "cancridae", "crab/unknown": "brachyura", "seastar/evasterias": "mottled-star",
    "seastar/dermasterias": "leather-star", "nudibranch/unknown": "nudibranchia", "urchin/sand_dollar": "sand-dollar",
    "seacucumber/other": "holothuroidea", "shrimp/pandalus": "pandalus", "snail/unknown": "gastropoda",
}  # fmt: skip
LEAST_CERTAIN_MISHEARD = 45
LEAST_CERTAIN_PAIRS = 50


def corrections(shared_data):
    with (shared_data / "hakai-seagrass-shoots/seagrass_namestofix.csv").open(encoding="utf-8") as file:
        rows = list(csv.DictReader(file))
    fish = [(row["fish_name"], row["fish_replace"]) for row in rows if row["fish_name"]]
    return fish + [(row["inverts_name"], row["inverts_replace"]) for row in rows if row["inverts_name"]]


def test_no_corrected_name_is_wrong_while_certain(shared_data):
    pack = load_pack("nepacific")
    pairs = corrections(shared_data)
    assert len(pairs) == 114
    certain = [(said, right, match.taxon) for said, right in pairs if (match := resolve(said, pack)).certain]
    wrong = [(said, right, taxon) for said, right, taxon in certain if RIGHT.get(right) != taxon]
    assert not wrong
    assert len(certain) >= LEAST_CERTAIN_MISHEARD, "asking everything is no answer either"


def ninigret(shared_data):
    path = shared_data / "ninigret-class-seines/Ninigret-Compiled.csv"
    with path.open(encoding="utf-8-sig", newline="") as file:
        return [(row[0], f"{row[1].strip()} {row[2].strip()}".strip()) for row in csv.reader(file)]


OURS = {
    # the binomial that each class meant, where our pack has it
    "Menidia menidia": "atlantic-silverside", "Fundulus majalis": "striped-killifish",
    "Fundulus heteroclitus": "mummichog", "Syngnathus fuscus": "northern-pipefish",
    "Cyprinodon variegatus": "sheepshead-minnow", "Apeltes quadracus": "fourspine-stickleback",
    "Alosa pseudoharengus": "alewife", "Anguilla rostrata": "american-eel", "Clupea harengus": "atlantic-herring",
    "Myoxocephalus aenaeus": "grubby", "Myoxocephalus octodecemspinosus": "longhorn-sculpin",
    "Sphoeroides maculatus": "northern-puffer", "Paralichthys dentatus": "summer-flounder",
    "Pseudopleuronectes americanus": "winter-flounder",
}  # fmt: skip
MEANT = {
    # misspelt or outdated binomials, and rows without one, read by hand
    "Menidia minidia": "Menidia menidia", "Minidia minidia": "Menidia menidia",
    "Cypronodon vareigatus": "Cyprinodon variegatus", "Anguila rostrata": "Anguilla rostrata",
    "Pleuronectes americanus": "Pseudopleuronectes americanus",
}  # fmt: skip
GROUPS = {"clupeiformes sp": "clupeiformes", "sculpin sp.": "cottidae", "stickleback": "gasterosteidae"}
DISAGREEING = {("summer flounder", "Pseudopleuronectes americanus"), ("Longhorn sculpin", "Cottus cognatus")}


def test_no_class_spelling_is_wrong_while_certain(shared_data):
    pack = load_pack("nwatlantic")
    rows = ninigret(shared_data)
    assert len(rows) == 137
    certain = 0
    for common, scientific in rows:
        match = resolve_pair(common, scientific, pack)
        if match.certain:
            certain += 1
            assert match.taxon == (OURS.get(MEANT.get(scientific, scientific)) or GROUPS.get(common)), (
                common,
                scientific,
            )
        if (common, scientific) in DISAGREEING:
            assert not match.certain
    assert certain >= LEAST_CERTAIN_PAIRS


def test_killifishes_of_the_classes_stay_three(shared_data):
    pack = load_pack("nwatlantic")
    found = {
        scientific: resolve_pair(common, scientific, pack).taxon
        for common, scientific in ninigret(shared_data)
        if scientific.startswith("Fundulus")
    }
    assert found == {
        "Fundulus majalis": "striped-killifish", "Fundulus heteroclitus": "mummichog",
        "Fundulus diaphanus": None, "Fundulus diaphanous": None,
    }  # fmt: skip
