"""Reagents: composition on one screen, hazards with where they come from, sheets, search and balances."""

import datetime

import pytest
from django.core.exceptions import ValidationError
from django.core.files.uploadedfile import SimpleUploadedFile
from django.urls import reverse

from stockroom.hazards.models import ReagentHazard, SafetyDataSheet
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Chemical, Component, Container, Location, Offer, Reagent, Synonym

ACID = {
    "name": "Sulfuric acid 1 mol/L",
    "kind": "solution",
    "measure": "volume",
    "solvent": "water",
    "density": "1.06",
    "density_source": "",
    "shelf_life_sealed_days": "365",
    "shelf_life_opened_days": "",
    "reorder_point": "1.5 L",
    "most_to_keep": "5 L",
    "storage_kind": "acids",
    "transport_class": "8",
    "un_number": "UN 2796",
    "groups": ["acid_dilute", "aqueous"],
    "ageing_class": [],
    "source": "supplier's sheet, 3 May 2026",
    "components-TOTAL_FORMS": "1",
    "components-INITIAL_FORMS": "0",
    "components-0-chemical": "oil of vitriol",
    "components-0-value": "1",
    "components-0-unit": "mol/L",
}


@pytest.fixture
def chemicals(db):
    water = Chemical.objects.create(name="Water", cas_rn="7732-18-5", formula="H2O")
    acid = Chemical.objects.create(name="Sulfuric acid", cas_rn="7664-93-9", formula="H2SO4")
    Synonym.objects.create(chemical=acid, name="oil of vitriol")
    return water, acid


@pytest.fixture
def chief(client, head):
    client.force_login(head)
    return client


def test_one_screen_adds_a_reagent_with_its_composition(chief, chemicals):
    answer = chief.post(reverse("reagent-add"), ACID)
    reagent = Reagent.objects.get()
    assert answer.url == reverse("reagent-hazards", args=[reagent.pk])
    assert (reagent.reorder_point, reagent.most_to_keep) == (1_500_000, 5_000_000)
    assert reagent.solvent.name == "Water"
    assert reagent.density_source == "from memory"
    assert reagent.un_number == "2796"
    assert reagent.hazard_state == "unknown"
    assert [part.strength for part in reagent.components.all()] == ["1 mol/L"]
    assert reagent.components.get().chemical.name == "Sulfuric acid"
    page = chief.get(reagent.get_absolute_url()).content.decode()
    assert "Not classified yet" in page
    assert "H<sub>2</sub>SO<sub>4</sub>" in page


def test_the_drain_is_a_route_only_for_what_the_rules_find_harmless(chief, chemicals):
    fresh = chief.post(reverse("reagent-add"), ACID | {"disposal_route": "drain"})
    assert "Save what it is made of first" in fresh.content.decode() and not Reagent.objects.exists()
    chief.post(reverse("reagent-add"), ACID)
    reagent = Reagent.objects.get()
    Reagent.objects.update(hazard_state="none")
    edited = ACID | {"components-INITIAL_FORMS": "1", "components-0-id": reagent.components.get().pk}
    url = reverse("reagent-edit", args=[reagent.pk])
    page = chief.post(url, edited | {"disposal_route": "drain"}).content.decode()
    assert "Collect it: " in page and "D002" in page
    assert chief.post(url, edited | {"disposal_route": "collect"}).status_code == 302
    reagent.refresh_from_db()
    assert reagent.disposal_route == "collect"


def test_saving_again_what_is_shown_changes_nothing(chief, chemicals):
    chief.post(reverse("reagent-add"), ACID | {"reorder_point": "1234567 uL", "most_to_keep": "3.000001 L"})
    reagent = Reagent.objects.get()
    url = reverse("reagent-edit", args=[reagent.pk])
    form = chief.get(url).context["form"]
    shown = {name: form[name].value() for name in form.fields if form[name].value() is not None}
    rows = chief.get(url).context["formset"]
    part = rows.forms[0]
    shown |= {f"components-0-{name}": part[name].value() for name in ("chemical", "value", "unit")}
    shown |= {"components-0-id": part.instance.pk}
    shown |= {"components-TOTAL_FORMS": "1", "components-INITIAL_FORMS": "1", "check": ""}
    # What a browser would send: names, not numbers.
    shown["solvent"], shown["components-0-chemical"] = "Water", "Sulfuric acid"
    before = Reagent.objects.values().get()
    assert chief.post(url, shown).status_code == 302
    assert Reagent.objects.values().get() == before
    assert before["reorder_point"] == 1_234_567
    assert Component.objects.get().value == 1


def test_only_the_head_sets_the_reorder_point(keeper, chemicals):
    keeper.post(reverse("reagent-add"), ACID)
    reagent = Reagent.objects.get()
    assert reagent.reorder_point == 0
    page = keeper.get(reverse("reagent-edit", args=[reagent.pk])).content.decode()
    assert 'name="reorder_point"' not in page


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": ""}, "name"),
        ({"kind": "magic"}, "kind"),
        ({"measure": ""}, "measure"),
        ({"solvent": "no such liquid"}, "solvent"),
        ({"density": "-1"}, "density"),
        ({"density": "99"}, "density"),
        ({"density": "NaN"}, "density"),
        ({"shelf_life_sealed_days": "99999999999999"}, "shelf_life_sealed_days"),
        ({"shelf_life_opened_days": "0"}, "shelf_life_opened_days"),
        ({"reorder_point": "1.5"}, "reorder_point"),
        ({"reorder_point": "2 furlongs"}, "reorder_point"),
        ({"reorder_point": "-2 L"}, "reorder_point"),
        ({"reorder_point": "3 pieces"}, "reorder_point"),
        ({"reorder_point": "1e40 L"}, "reorder_point"),
        ({"most_to_keep": "1 L"}, "most_to_keep"),
        ({"most_to_keep": "<b>2 L</b>"}, "most_to_keep"),
        ({"transport_class": "very dangerous"}, "transport_class"),
        ({"un_number": "12"}, "un_number"),
        ({"groups": ["inert", "acid_strong"]}, "groups"),
        ({"groups": ["made_up"]}, "groups"),
        ({"ageing_class": ["made_up"]}, "ageing_class"),
        ({"source": "s" * 300}, "source"),
    ],
)
def test_bad_input_is_answered_beside_the_field(chief, chemicals, change, field):
    answer = chief.post(reverse("reagent-add"), ACID | change)
    assert answer.status_code == 200
    assert field in answer.context["form"].errors
    assert not Reagent.objects.exists()
    typed = next(iter(change.values()))
    if isinstance(typed, str):
        assert answer.context["form"][field].value() == typed
    assert "<b>2 L" not in answer.content.decode()


@pytest.mark.parametrize(
    ("change", "message"),
    [
        ({"components-0-value": ""}, "Enter how much there is"),
        ({"components-0-value": "0"}, "greater than zero"),
        ({"components-0-unit": "% w/w", "components-0-value": "101"}, "More than 100 %"),
        ({"components-0-chemical": "unobtainium"}, "There is no chemical"),
        ({"components-0-unit": "spoons"}, "not one of the available"),
        ({"components-0-value": "x"}, "Enter a number"),
    ],
)
def test_bad_rows_are_answered_beside_the_row(chief, chemicals, change, message):
    answer = chief.post(reverse("reagent-add"), ACID | change)
    assert message in answer.content.decode()
    assert not Reagent.objects.exists()


def test_parts_by_mass_cannot_pass_the_whole(chief, chemicals):
    rows = {
        "components-TOTAL_FORMS": "2",
        "components-0-unit": "% w/w",
        "components-0-value": "60",
        "components-1-chemical": "7732-18-5",
        "components-1-unit": "% w/w",
        "components-1-value": "60",
    }
    answer = chief.post(reverse("reagent-add"), ACID | rows)
    assert "come to 120 %" in answer.content.decode()
    answer = chief.post(reverse("reagent-add"), ACID | rows | {"components-1-chemical": "Sulfuric acid"})
    assert "is listed twice" in answer.content.decode()
    assert not Reagent.objects.exists()


def test_a_broken_row_count_is_no_server_error(chief, chemicals):
    for total in ("", "-3", "999999", "x"):
        answer = chief.post(reverse("reagent-add"), ACID | {"components-TOTAL_FORMS": total})
        assert answer.status_code in (200, 302), total


def test_the_measure_is_fixed_once_amounts_are_written_down(chief, chemicals, make_container, supplier):
    chief.post(reverse("reagent-add"), ACID)
    reagent = Reagent.objects.get()
    url = reverse("reagent-edit", args=[reagent.pk])
    rows = {"components-INITIAL_FORMS": "1", "components-0-id": reagent.components.get().pk}
    asked = ACID | rows | {"measure": "mass", "reorder_point": "1 kg", "most_to_keep": ""}
    offer = Offer.objects.create(supplier=supplier, reagent=reagent, pack_amount=10**6, price=3)
    assert "add a new reagent" in str(chief.post(url, asked).context["form"].errors["measure"])
    offer.delete()
    assert chief.post(url, asked).status_code == 302
    reagent.refresh_from_db()
    assert (reagent.measure, reagent.reorder_point) == ("mass", 10**9)


# --- hazards


def hazard_rows(*classes, state="classified", **more):
    rows = {"state": state, "hazards-TOTAL_FORMS": str(len(classes)), "hazards-INITIAL_FORMS": "0"}
    for number, (key, source, check) in enumerate(classes):
        rows |= {f"hazards-{number}-hazard_class": key, f"hazards-{number}-source": source}
        rows |= {f"hazards-{number}-check": "on"} if check else {}
    return rows | more


@pytest.fixture
def reagent(make_reagent):
    return make_reagent("Sulfuric acid 96 %", measure="volume", formula="H2SO4", value=96, unit="% w/w")


def test_hazards_carry_their_source_and_who_checked_them(keeper, technician, reagent, today):
    url = reverse("reagent-hazards", args=[reagent.pk])
    rows = [("skin_corr_1a", "sheet of 3 May 2026", True), ("met_corr_1", "from memory", False)]
    keeper.post(url, hazard_rows(*rows))
    reagent.refresh_from_db()
    assert reagent.hazard_state == "classified"
    checked = reagent.hazards.get(hazard_class="skin_corr_1a")
    assert (checked.checked_by, checked.checked_on) == (technician, today)
    assert not reagent.hazards.get(hazard_class="met_corr_1").is_checked
    page = keeper.get(reagent.get_absolute_url()).content.decode()
    assert "H314" in page and "Danger" in page and "Corrosion" in page
    assert "not verified against SDS" in page and "sheet of 3 May 2026" in page


def test_a_changed_class_loses_its_check_and_an_untouched_one_keeps_it(keeper, technician, reagent, today):
    kept = ReagentHazard.objects.create(
        reagent=reagent, hazard_class="met_corr_1", source="sheet", checked_by=technician, checked_on=today
    )
    moved = ReagentHazard.objects.create(
        reagent=reagent, hazard_class="skin_corr_1a", source="sheet", checked_by=technician, checked_on=today
    )
    data = hazard_rows(("met_corr_1", "sheet", False), ("skin_corr_1b", "sheet", False))
    data |= {"hazards-INITIAL_FORMS": "2", "hazards-0-id": kept.pk, "hazards-1-id": moved.pk}
    keeper.post(reverse("reagent-hazards", args=[reagent.pk]), data)
    kept.refresh_from_db()
    moved.refresh_from_db()
    assert kept.is_checked
    assert (moved.hazard_class, moved.is_checked) == ("skin_corr_1b", False)


def test_taking_out_the_last_class_needs_another_answer(keeper, reagent):
    row = ReagentHazard.objects.create(reagent=reagent, hazard_class="met_corr_1")
    url = reverse("reagent-hazards", args=[reagent.pk])
    data = hazard_rows(("met_corr_1", "from memory", False))
    data |= {"hazards-INITIAL_FORMS": "1", "hazards-0-id": row.pk, "hazards-0-DELETE": "on"}
    assert "at least one class" in keeper.post(url, data).content.decode()
    assert keeper.post(url, data | {"state": "unknown"}).status_code == 302
    reagent.refresh_from_db()
    assert reagent.hazard_state == "unknown"


def test_none_applies_is_a_finding_with_a_source_and_a_check(keeper, technician, reagent, today):
    url = reverse("reagent-hazards", args=[reagent.pk])
    answer = keeper.post(url, hazard_rows(state="none"))
    assert {"source", "check"} <= set(answer.context["form"].errors)
    reagent.refresh_from_db()
    assert reagent.hazard_state == "unknown"
    keeper.post(url, hazard_rows(state="none", source="sheet of 3 May 2026", check="on"))
    reagent.refresh_from_db()
    assert (reagent.hazard_state, reagent.checked_by, reagent.checked_on) == ("none", technician, today)
    assert "No hazard class applies" in keeper.get(reagent.get_absolute_url()).content.decode()


@pytest.mark.parametrize(
    "rows",
    [
        hazard_rows(("not_a_class", "x", False)),
        hazard_rows(("met_corr_1", "", False)),
        hazard_rows(("met_corr_1", "x", False), ("met_corr_1", "y", False)),
        hazard_rows(("met_corr_1", "x", False), state="none", source="x", check="on"),
        hazard_rows(state="classified"),
        hazard_rows(state="harmless"),
    ],
)
def test_bad_hazards_write_nothing(keeper, reagent, rows):
    assert keeper.post(reverse("reagent-hazards", args=[reagent.pk]), rows).status_code == 200
    assert not reagent.hazards.exists()
    reagent.refresh_from_db()
    assert reagent.hazard_state == "unknown"


def test_a_change_of_handling_data_takes_back_the_check(chief, head, chemicals, today):
    chief.post(reverse("reagent-add"), ACID | {"check": "on"})
    reagent = Reagent.objects.get()
    assert (reagent.checked_by, reagent.checked_on) == (head, today)
    url = reverse("reagent-edit", args=[reagent.pk])
    rows = {"components-INITIAL_FORMS": "1", "components-0-id": reagent.components.get().pk}
    rows |= {"un_number": "2796"}
    chief.post(url, ACID | rows | {"note": "Keep at the front", "density_source": "from memory"})
    reagent.refresh_from_db()
    assert reagent.is_checked
    chief.post(url, ACID | rows | {"spill": "Soda first"})
    reagent.refresh_from_db()
    assert not reagent.is_checked


def test_what_holds_something_else_has_nothing_checked_any_more(chief, head, chemicals, today):
    """1 mol/L was compared with a sheet; 6 mol/L was not, whatever class stands there."""
    chief.post(reverse("reagent-add"), ACID | {"check": "on"})
    reagent = Reagent.objects.get()
    reagent.hazards.create(hazard_class="skin_irrit_2", checked_by=head, checked_on=today)
    url = reverse("reagent-edit", args=[reagent.pk])
    rows = {"components-INITIAL_FORMS": "1", "components-0-id": reagent.components.get().pk}
    rows |= {"un_number": "2796", "density_source": "from memory"}
    chief.post(url, ACID | rows)
    assert reagent.hazards.get().is_checked, "the same again"
    page = chief.post(url, ACID | rows | {"components-0-value": "6"}, follow=True).content.decode()
    reagent.refresh_from_db()
    assert not reagent.is_checked and not reagent.hazards.get().is_checked
    assert "work out its hazard classes again" in page
    chief.post(url, ACID | rows | {"components-0-value": "3", "check": "on"})
    reagent.refresh_from_db()
    assert reagent.is_checked and not reagent.hazards.get().is_checked, "the tick speaks of the handling"


# --- sheets

PDF = b"%PDF-1.7\n%...\n%%EOF\n"


def upload(content=PDF, name="sheet.pdf"):
    return SimpleUploadedFile(name, content, content_type="application/pdf")


@pytest.fixture(autouse=True)
def own_files(settings, tmp_path):
    settings.MEDIA_ROOT = tmp_path


def test_a_sheet_is_kept_and_served_as_a_pdf_to_people_signed_in(keeper, reagent, supplier, today):
    data = {"supplier": supplier.pk, "revision_date": "2026-05-03", "file": upload(), "check": "on"}
    assert keeper.post(reverse("sheet-add", args=[reagent.pk]), data).status_code == 302
    sheet = SafetyDataSheet.objects.get()
    assert sheet.checked_on == today
    url = reverse("sheet-file", args=[sheet.pk])
    answer = keeper.get(url)
    assert b"".join(answer.streaming_content) == PDF
    assert answer["Content-Type"] == "application/pdf"
    assert answer["X-Content-Type-Options"] == "nosniff"
    assert answer["Content-Disposition"] == 'inline; filename="sulfuric-acid-96-sds.pdf"'
    keeper.logout()
    assert keeper.get(url).status_code == 302
    assert keeper.get(f"/files/{sheet.file.name}").status_code in (302, 404)


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"file": upload(b"<html><script>alert(1)</script>")}, "file"),
        ({"file": upload(b"")}, "file"),
        ({"file": upload(name="sheet.html")}, "file"),
        ({"file": upload(PDF + b"0" * (8 * 1024 * 1024))}, "file"),
        ({"revision_date": "2999-01-01"}, "revision_date"),
        ({"revision_date": "soon"}, "revision_date"),
        ({"supplier": "77777"}, "supplier"),
        ({"file": ""}, "__all__"),
    ],
)
def test_a_bad_sheet_is_refused(keeper, reagent, change, field):
    data = {"revision_date": "2026-05-03", "file": upload()} | change
    answer = keeper.post(reverse("sheet-add", args=[reagent.pk]), data)
    assert field in answer.context["form"].errors
    assert not SafetyDataSheet.objects.exists()


def test_a_sheet_without_its_file_is_not_found(keeper, reagent, technician, today):
    sheet = SafetyDataSheet.objects.create(reagent=reagent, added_by=technician, added_on=today, note="paper")
    assert keeper.get(reverse("sheet-file", args=[sheet.pk])).status_code == 404
    sheet.file = "sheets/2026/gone.pdf"
    sheet.save()
    assert keeper.get(reverse("sheet-file", args=[sheet.pk])).status_code == 404


def test_the_file_of_a_sheet_is_never_swapped(keeper, reagent):
    keeper.post(reverse("sheet-add", args=[reagent.pk]), {"file": upload()})
    sheet = SafetyDataSheet.objects.get()
    data = {"file": upload(PDF + b"other"), "note": "shelf 3"}
    keeper.post(reverse("sheet-edit", args=[sheet.pk]), data)
    sheet.refresh_from_db()
    assert sheet.note == "shelf 3" and sheet.file.read() == PDF


# --- the list and the page


@pytest.mark.parametrize("text", ["vitriol", "7664-93-9", "H2SO4", "96", "LOT-5", "Tall cabinet"])
def test_search(keeper, chemicals, make_reagent, make_container, text):
    acid = Reagent.objects.create(name="Battery fluid 96", kind="liquid", measure="volume")
    Component.objects.create(reagent=acid, chemical=chemicals[1], value=96, unit="% w/w")
    make_container(acid, 1_000_000, lot="LOT-5")
    make_reagent("Something else")
    table = keeper.get(reverse("reagent-list"), {"q": text}).context["table"]
    assert [row.record.name for row in table.rows] == ["Battery fluid 96"]


def test_balances_count_what_is_in_date_apart(keeper, make_reagent, make_container, today):
    reagent = make_reagent("Salt", reorder_point=800_000_000)
    make_container(reagent, 500_000_000)
    old = make_container(reagent, 400_000_000, on=today - datetime.timedelta(9))
    Container.objects.filter(pk=old.pk).update(usable_until=today - datetime.timedelta(1))
    row = keeper.get(reverse("reagent-list")).context["table"].rows[0].record
    assert (row.in_date, row.on_shelf, row.containers_here, row.expired_here) == (5 * 10**8, 9 * 10**8, 2, 1)
    for stock, found in (("below", 1), ("expired", 1), ("some", 1), ("none", 0)):
        table = keeper.get(reverse("reagent-list"), {"stock": stock}).context["table"]
        assert len(table.rows) == found, stock
    page = keeper.get(reagent.get_absolute_url()).content.decode()
    assert "500 g" in page and "900 g" in page and "Below reorder point" in page


def test_filters_by_place_and_hazard(keeper, make_reagent, make_container, shelf):
    here, there = make_reagent("Here"), make_reagent("There")
    make_container(here, 10)
    other = Location.objects.create(name="Other room", level="room")
    make_container(there, 10, location=other)
    ReagentHazard.objects.create(reagent=there, hazard_class="met_corr_1")

    def names(**query):
        return [row.record.name for row in keeper.get(reverse("reagent-list"), query).context["table"].rows]

    assert names(place=shelf.parent.parent.pk) == ["Here"]
    assert names(hazard="unknown") == ["Here"]
    assert names(hazard="unchecked") == ["There"]


@pytest.mark.parametrize(
    "query",
    [
        {"place": "x"},
        {"kind": "magic"},
        {"stock": "lots"},
        {"q": "%_'\"<script>" * 5},
        {"q": "a" * 5000},
        {"page": "-1", "sort": "nothing"},
        {"page": "99999999999999999999", "sort": "-in_date"},
        {"place": "9" * 40},
    ],
)
def test_odd_addresses_are_answered(keeper, make_reagent, query):
    make_reagent()
    answer = keeper.get(reverse("reagent-list"), query)
    assert answer.status_code == 200
    assert "<script>'" not in answer.content.decode()


def test_htmx_gets_the_rows_alone(keeper, make_reagent):
    make_reagent("Salt")
    headers = {"HX-Request": "true", "HX-Target": "rows"}
    answer = keeper.get(reverse("reagent-list"), {"q": "sal"}, headers=headers)
    assert "Salt" in answer.content.decode() and "<html" not in answer.content.decode()
    assert "HX-Request" in answer["Vary"]


def test_queries_do_not_grow_with_the_rows(keeper, make_reagent, make_container, count_queries):
    lists, pages = [], []
    first = make_reagent("Reagent 0", formula="NaCl")
    for rows in (4, 24):
        for number in range(Reagent.objects.count(), rows):
            reagent = make_reagent(f"Reagent {number}", formula="NaCl")
            ReagentHazard.objects.create(reagent=reagent, hazard_class="met_corr_1")
            make_container(reagent, 1000)
            make_container(first, 1000)
        lists.append(count_queries(keeper, reverse("reagent-list"), {"q": "NaCl"}))
        pages.append(count_queries(keeper, first.get_absolute_url()))
    assert lists[0] == lists[1]
    assert pages[0] == pages[1]


def test_names_cannot_break_out_of_the_page(keeper, make_reagent, make_container):
    reagent = make_reagent("<script>alert(1)</script>")
    container = make_container(reagent, 10, lot="<img src=x onerror=alert(1)>")
    for url in (reverse("reagent-list"), reagent.get_absolute_url(), container.get_absolute_url()):
        page = keeper.get(url).content.decode()
        assert "<script>alert" not in page and "<img src=x" not in page


def test_a_name_that_is_none_is_answered_with_what_is_near(make_reagent, db):
    chips = make_reagent("Calcium carbonate, marble chips", formula="CaCO3")
    chips.components.get().chemical.synonyms.create(name="chalk")
    for typed in ("carbonate", "chalk"):
        with pytest.raises(ValidationError, match="Did you mean Calcium carbonate, marble chips?"):
            ReagentField().clean(typed)
    with pytest.raises(ValidationError, match="There is no reagent “xenon”. Choose one") as refused:
        ReagentField().clean("xenon")
    assert "Did you mean" not in str(refused.value)


@pytest.mark.parametrize(
    ("name", "says"),
    [("density", "A density is above zero"), ("piece_mass_g", "The mass of a piece is above")],
)
def test_nought_is_refused_in_words(client, technician, name, says):
    client.force_login(technician)
    answer = client.post(reverse("reagent-add"), ACID | {name: "0"})
    assert answer.status_code == 200
    page = answer.content.decode()
    assert says in page
    assert "1e-05" not in page
    assert not Reagent.objects.exists()
