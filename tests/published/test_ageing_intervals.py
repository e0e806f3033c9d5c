"""Peroxide formers and other things that become dangerous while they stand."""

import pytest

from stockroom.chemistry.formula import check_cas
from stockroom.safety.ageing import ageing_rules, peroxide_class
from stockroom.safety.published import rows

# University of Southern California, Environmental Health and Safety, Inspection reminder: peroxide formers
# (14 April 2021), for stabilised and unstabilised bottles the shorter: months sealed, months opened.
USC = {"a": (6, 3), "b": (12, 12), "c": (12, None)}
USC_TEST_B_IN_AIR = 6
# Kelly, Chem. Health Saf. 3(5), 1996, 28-36, and Prudent Practices in the Laboratory (2011), ch. 4;
# from memory: classes of well-known substances.
CLASSES = {
    "108-20-3": "a", "7440-09-7": "a", "7782-92-5": "a", "75-35-4": "a", "821-08-9": "a",
    "60-29-7": "b", "109-99-9": "b", "123-91-1": "b", "110-83-8": "b", "98-82-8": "b", "77-73-6": "b",
    "111-96-6": "b", "110-71-4": "b", "110-00-9": "b", "119-64-2": "b", "67-63-0": "b", "75-07-0": "b",
    "100-42-5": "c", "79-10-7": "c", "80-62-6": "c", "108-05-4": "c", "107-13-1": "c", "106-99-0": "c",
}  # fmt: skip


@pytest.mark.parametrize(("letter", "months"), USC.items())
def test_no_interval_is_longer_than_published(letter, months):
    rule = ageing_rules()[f"peroxide_former_{letter}"]
    sealed, opened = months
    assert rule.sealed_discard_months <= sealed
    assert opened is None or rule.opened_discard_months <= opened


def test_opened_class_b_is_tested_within_six_months():
    assert ageing_rules()["peroxide_former_b"].opened_test_months <= USC_TEST_B_IN_AIR


@pytest.mark.parametrize(("cas", "letter"), CLASSES.items())
def test_class_of_a_substance(cas, letter):
    assert peroxide_class(cas) == f"peroxide_former_{letter}"


@pytest.mark.parametrize("cas", ["64-17-5", "67-64-1", "108-88-3", "7732-18-5"])
def test_what_makes_no_peroxides(cas):
    """Ethanol, acetone, toluene and water stand in none of the lists."""
    assert peroxide_class(cas) is None


def test_registry_numbers_of_the_list():
    """CAS check digits, American Chemical Society."""
    for row in rows("peroxide_formers"):
        check_cas(row["cas"])


def test_ammoniacal_silver_is_never_kept():
    """Tollens' reagent is made fresh and destroyed at once: common practice, no source."""
    rule = ageing_rules()["silver_ammonia"]
    assert (rule.opened_discard_months, rule.sealed_discard_months) == (0, 0)
