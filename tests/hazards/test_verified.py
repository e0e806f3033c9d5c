"""One meaning of "verified", on the model and in SQL; one meaning of "present"."""

import pytest

from stockroom.hazards.models import ReagentHazard
from stockroom.hazards.sheet_verification import not_verified
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, Reagent
from stockroom.inventory.models.container import is_present

pytestmark = pytest.mark.django_db
STATES = Reagent.HazardState


@pytest.mark.parametrize("own", [True, False])
@pytest.mark.parametrize("classes", [(), (True,), (True, False)])
@pytest.mark.parametrize("state", [STATES.UNKNOWN, STATES.NONE])
def test_verified_is_one_thing(make_reagent, today, own, classes, state):
    reagent = make_reagent("Acid", "volume", checked_on=today if own else None)
    for key, checked in zip(("skin_corr_1b", "eye_dam_1"), classes, strict=False):
        ReagentHazard.objects.create(reagent=reagent, hazard_class=key, checked_on=today if checked else None)
    Reagent.objects.filter(pk=reagent.pk).update(hazard_state=STATES.CLASSIFIED if classes else state)
    reagent = Reagent.objects.get(pk=reagent.pk)
    assert reagent.is_verified == (own and all(classes))
    listed = Reagent.objects.filter(not_verified()).contains(reagent)
    assert listed == (reagent.is_classified and not reagent.is_verified)


def test_the_label_of_what_nobody_classified_says_so(make_reagent):
    reagent = make_reagent("Powder")
    assert reagent.hazard_keys is None and not reagent.label.classified
    reagent.hazard_state = STATES.NONE
    assert reagent.hazard_keys == [] and reagent.label.classified


def test_what_is_gone_is_not_present(make_reagent, make_container, technician, today):
    reagent = make_reagent("Salt")
    kept, thrown = make_container(reagent, 1_000_000), make_container(reagent, 1_000_000)
    ledger.discard(thrown, who=technician, why="broken", on=today)
    assert list(Container.objects.present()) == [kept] == list(reagent.containers.present())
    assert list(Container.objects.filter(is_present())) == [kept]
    assert Container.objects.get(pk=thrown.pk).is_gone and not kept.is_gone
