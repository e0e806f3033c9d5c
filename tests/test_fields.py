"""Every editable field of a noun is asked for, shown and in the admin, or named here with the reason."""

import re

import pytest
from django.contrib import admin
from django.contrib.auth import get_user_model
from django.db.models import Model

from demos import models as demos
from demos.library.forms.demonstration import DemonstrationForm
from demos.planning.forms.booking import BookingForm
from stockroom import models as stock
from stockroom.handling.forms.acts import RECEIVED, ReceiveForm
from stockroom.handling.forms.container import ContainerForm
from stockroom.handling.forms.reagent import ReagentForm
from stockroom.inventory.forms.chemical import ChemicalForm
from stockroom.preparation.forms.preparation import PreparationForm
from stockroom.purchasing.forms.order import BudgetForm, ReceiveLineForm
from stockroom.purchasing.forms.supplier import OfferForm, SupplierForm
from stockroom.storage.forms.limit import DepartmentLimitForm
from stockroom.storage.forms.location import LocationForm
from stockroom.waste.forms.sewer import DrainPermissionForm
from tests.house import ROOT

#: noun -> (its form, the words by which templates speak of one)
NOUNS = {
    stock.Chemical: (ChemicalForm, "chemical"),
    stock.Reagent: (ReagentForm, "reagent"),
    stock.Container: (ContainerForm, "container|row"),
    stock.Location: (LocationForm, "location"),
    stock.Supplier: (SupplierForm, "supplier"),
    stock.Offer: (OfferForm, "offer|row"),
    stock.Preparation: (PreparationForm, "preparation"),
    stock.DepartmentLimit: (DepartmentLimitForm, "limit"),
    stock.DrainPermission: (DrainPermissionForm, "leave"),
    stock.Budget: (BudgetForm, "budget"),
    demos.Demonstration: (DemonstrationForm, "demonstration"),
    demos.Booking: (BookingForm, "booking"),
}
#: (noun, field) -> why no form of the noun asks for it
BY_TICK = "written by ticking it against the sheet"
ONCE = "said once, when it comes; then the ledger's"
NOT_ASKED = {
    (stock.Reagent, "checked_by"): BY_TICK,
    (stock.Reagent, "checked_on"): BY_TICK,
    (stock.Container, "reagent"): ONCE,
    (stock.Container, "location"): ONCE,
    (stock.Container, "received_on"): ONCE,
    (stock.Container, "pack_amount"): ONCE,
    (demos.Booking, "teacher"): "whoever books it",
    (demos.Booking, "how_it_went"): "asked after the class, by a form of its own",
}
#: (noun, field) -> where else it is shown
HEADS = "the noun's own name, by which it is called everywhere"
NOT_SHOWN = {
    (stock.Chemical, "name"): HEADS,
    (stock.Reagent, "name"): HEADS,
    (stock.Reagent, "checked_by"): "hazards/partials/verified.html, of any row with a source",
    (stock.Reagent, "checked_on"): "hazards/partials/verified.html, of any row with a source",
    (stock.Supplier, "name"): HEADS,
    (stock.Offer, "price_date"): "a column of its table",
    (stock.Preparation, "name"): HEADS,
    (stock.Preparation, "method"): "as steps",
    (stock.DepartmentLimit, "measure"): "by the unit of its amount",
    (stock.Budget, "name"): HEADS,
    (demos.Demonstration, "title"): HEADS,
    (demos.Demonstration, "cleanup_stream"): "by the stream's name",
}
#: (noun, field) -> what the admin shows in its place
NOT_IN_ADMIN = {
    (stock.Container, "pack_amount"): "size, in the reagent's unit",
}


def fields_of(model: type[Model]) -> list[str]:
    return [field.name for field in model._meta.concrete_fields if field.editable and not field.primary_key]


def templates() -> str:
    return "\n".join(path.read_text() for path in sorted((ROOT / "templates").rglob("*.html")))


def shown_in(text: str, words: str) -> set[str]:
    """Names of what a template says of a noun: `container.lot`, `container.get_material_display`."""
    found = re.findall(rf"\b(?:{words})\.(?:get_)?(\w+)", text)
    return {name.removesuffix("_display") for name in found} | set(found)


@pytest.mark.parametrize("model", NOUNS, ids=lambda model: model.__name__)
def test_every_field_is_asked_for_or_excused(model):
    form, _ = NOUNS[model]
    asked = {*form.base_fields, *(form._meta.fields or ())}
    excused = {field for noun, field in NOT_ASKED if noun is model}
    assert set(fields_of(model)) - asked == excused


@pytest.mark.parametrize("model", NOUNS, ids=lambda model: model.__name__)
def test_every_field_is_shown_or_excused(model):
    excused = {field for noun, field in NOT_SHOWN if noun is model}
    assert set(fields_of(model)) - shown_in(templates(), NOUNS[model][1]) == excused


@pytest.mark.parametrize("model", [model for model in NOUNS if model in admin.site._registry])
def test_every_field_is_in_the_admin_or_excused(rf, model):
    request = rf.get("/")
    request.user = get_user_model()(is_superuser=True, is_staff=True)
    found = set(admin.site._registry[model].get_fields(request))
    assert set(fields_of(model)) - found == {field for noun, field in NOT_IN_ADMIN if noun is model}


def test_what_can_be_changed_on_a_container_can_be_written_down_when_it_comes():
    changed = set(ContainerForm.base_fields) - {"seen"}
    assert changed <= set(RECEIVED) and set(RECEIVED) <= set(ReceiveForm.base_fields)
    # A line of an order knows its supplier.
    assert changed - {"supplier"} <= set(ReceiveLineForm.base_fields)


def test_a_field_that_no_template_shows_is_found():
    assert shown_in("{{ container.lot }} {{ container.get_material_display }}", "container|row") >= {
        "lot",
        "material",
    }
    assert "note" not in shown_in("{{ reagent.note }}", "container|row")
