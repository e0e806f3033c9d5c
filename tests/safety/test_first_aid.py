"""One sentence of first aid for each way a thing can reach a person, in every reagent of the catalogue."""

import re
import tomllib
from collections import defaultdict

import pytest

from stockroom.catalogue.loader import DATA, load

REAGENTS = load().reagents.values()
ROUTES = {"Eyes", "Skin", "Swallowed", "Breathed in", "Burn by heat", "Frostbite", "Cut"}
#: hazard class, how it begins -> the way of reaching a person for which the row must say what to do
NEEDED = {
    "acute_tox_oral": "Swallowed",
    "asp_tox": "Swallowed",
    "acute_tox_dermal": "Skin",
    "acute_tox_inhalation": "Breathed in",
    "skin_corr": "Skin",
    "skin_irrit": "Skin",
    "eye_dam": "Eyes",
    "eye_irrit": "Eyes",
    "stot_se_3": "Breathed in",
    "resp_sens": "Breathed in",
}


def by_route(text):
    """Route -> what is said of it; the sentences that name none are left out."""
    found = defaultdict(list)
    for sentence in re.split(r"(?<=\.) (?=[A-Z])", text):
        route, colon, _ = sentence.partition(":")
        if colon and route in ROUTES:
            found[route].append(sentence)
    return found


def test_one_sentence_for_each_way_of_reaching_a_person():
    said = defaultdict(set)
    for row in REAGENTS:
        for route, sentences in by_route(row.first_aid).items():
            # What some need besides, such as lungs that suffer late, comes after the one that all have.
            said[route].add(sentences[0])
    assert said["Eyes"] and all(len(sentences) == 1 for sentences in said.values()), said


def test_eyes_at_least_fifteen_minutes_and_never_made_to_vomit():
    for row in REAGENTS:
        found = by_route(row.first_aid)
        assert all("at least 15 minutes" in one for one in found["Eyes"]), row.key
        assert all("do not induce vomiting" in one for one in found["Swallowed"]), row.key
        assert not re.search(r"\b(?:[0-9]|1[0-4]) minutes", row.first_aid), row.key


@pytest.mark.parametrize("row", REAGENTS, ids=lambda row: row.key)
def test_a_hazard_class_has_its_first_aid(row):
    found = by_route(row.first_aid)
    for key in row.hazard_classes:
        for begins, route in NEEDED.items():
            assert not key.startswith(begins) or found[route], (key, route)


def test_words_of_an_emergency_are_the_plain_ones():
    text = " ".join(f"{row.protection} {row.first_aid} {row.spill} {row.disposal}" for row in REAGENTS)
    wrong = (
        *("make sick", "poison centre", "to hospital", "ambulance", "much water", "well-aired"),
        *("undiluted", "set apart", "set it apart", "throw away"),
    )
    assert [words for words in wrong if words in text.lower()] == []


def test_every_sentence_is_used():
    told = tomllib.loads((DATA / "first_aid.toml").read_text(encoding="utf-8"))
    rows = tomllib.loads((DATA / "handling.toml").read_text(encoding="utf-8"))
    used = {name for row in rows.values() for name in row["first_aid"]}
    used |= {name for names in told["class"].values() for name in names}
    assert used == set(told["route"]) | set(told["besides"])


def test_silver_in_ammonia_is_acidified_first():
    silver = [row for row in REAGENTS if "silver" in row.name and "Collect" in row.disposal]
    assert silver
    for row in silver:
        if "ammonia" in row.disposal:
            assert row.disposal.startswith("Mixed with ammonia: acidify it now, then collect it with silver.")


@pytest.mark.parametrize("row", REAGENTS, ids=lambda row: row.key)
def test_asthma_and_late_harm_have_their_sentence(row):
    """29 CFR 1910.1200 App. C: P342+P311 for respiratory sensitizers, P308+P313 for what harms late."""
    asthma, late = ("asthma" in row.first_aid), ("get medical advice, even without symptoms" in row.first_aid)
    assert asthma == any(key.startswith("resp_sens") for key in row.hazard_classes)
    assert late == any(key.startswith(("carc", "muta", "repr")) for key in row.hazard_classes)


@pytest.mark.parametrize("row", REAGENTS, ids=lambda row: row.key)
def test_what_damages_the_eye_asks_for_goggles(row):
    """ANSI/ISEA Z87.1: splash and dust goggles seal around the eyes, spectacles do not."""
    if any(key.startswith(("eye_dam", "skin_corr")) for key in row.hazard_classes):
        assert re.search("goggles|face shield", row.protection, re.IGNORECASE), row.protection
