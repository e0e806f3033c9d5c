"""Chemicals: search, add, change, synonyms, retire."""

import pytest
from django.urls import reverse

from stockroom.inventory.models import Chemical, Synonym

ACID = {
    "name": "Sulfuric acid",
    "cas_rn": "CAS 7664-93-9",
    "formula": "H2SO4",
    "synonyms": "oil of vitriol\n  Oil of vitriol \n\nbattery acid",
    "note": "",
}


def errors(answer) -> dict:
    return answer.context["form"].errors


def test_adding_works_out_the_molar_mass_and_keeps_each_synonym_once(keeper):
    answer = keeper.post(reverse("chemical-add"), ACID)
    acid = Chemical.objects.get()
    assert answer.url == acid.get_absolute_url()
    assert acid.cas_rn == "7664-93-9"
    assert float(acid.molar_mass) == pytest.approx(98.07, abs=0.02)
    assert [synonym.name for synonym in acid.synonyms.all()] == ["battery acid", "oil of vitriol"]
    page = keeper.get(acid.get_absolute_url()).content.decode()
    assert "H<sub>2</sub>SO<sub>4</sub>" in page and "battery acid" in page


def test_changing_takes_out_the_synonyms_that_were_removed(keeper):
    keeper.post(reverse("chemical-add"), ACID)
    acid = Chemical.objects.get()
    url = reverse("chemical-edit", args=[acid.pk])
    assert keeper.get(url).context["form"].initial["synonyms"] == "battery acid\noil of vitriol"
    keeper.post(url, ACID | {"synonyms": "battery acid"})
    assert [synonym.name for synonym in acid.synonyms.all()] == ["battery acid"]


@pytest.mark.parametrize(
    ("change", "field"),
    [
        ({"name": ""}, "name"),
        ({"name": "x" * 200}, "name"),
        ({"name": "WATER"}, "name"),
        ({"cas_rn": "7664-93-8"}, "cas_rn"),
        ({"cas_rn": "7732-18-5"}, "cas_rn"),
        ({"cas_rn": "../../etc"}, "cas_rn"),
        ({"formula": "Xx2"}, "formula"),
        ({"formula": "=1+1"}, "formula"),
        ({"formula": "<script>alert(1)</script>"}, "formula"),
        ({"synonyms": "y" * 161}, "synonyms"),
        ({"synonyms": "\n".join(f"name {i}" for i in range(41))}, "synonyms"),
    ],
)
def test_bad_input_is_answered_beside_the_field_and_writes_nothing(keeper, change, field):
    Chemical.objects.create(name="Water", cas_rn="7732-18-5", formula="H2O")
    answer = keeper.post(reverse("chemical-add"), ACID | change)
    assert answer.status_code == 200
    assert field in errors(answer)
    assert Chemical.objects.count() == 1
    typed = next(iter(change.values()))
    assert answer.context["form"][field].value() == typed
    assert "<script>alert(1)" not in answer.content.decode()


@pytest.mark.parametrize("text", ["vitriol", "7664-93", "H2SO4", "H₂SO₄", "sulf acid"])
def test_search_finds_by_name_synonym_number_and_formula(keeper, text):
    acid = Chemical.objects.create(name="Sulfuric acid", cas_rn="7664-93-9", formula="H2SO4")
    Synonym.objects.create(chemical=acid, name="oil of vitriol")
    Chemical.objects.create(name="Water", formula="H2O")
    table = keeper.get(reverse("chemical-list"), {"q": text}).context["table"]
    assert [row.record.name for row in table.rows] == ["Sulfuric acid"]


def test_retired_ones_leave_the_list_and_come_back(keeper):
    acid = Chemical.objects.create(name="Sulfuric acid")
    retire, listing = reverse("chemical-retire", args=[acid.pk]), reverse("chemical-list")
    keeper.post(retire)
    assert len(keeper.get(listing).context["table"].rows) == 0
    assert len(keeper.get(listing, {"shown": "retired"}).context["table"].rows) == 1
    keeper.post(retire)
    assert len(keeper.get(listing).context["table"].rows) == 1


def test_an_empty_list_says_what_to_do_first(keeper):
    page = keeper.get(reverse("chemical-list")).content.decode()
    assert "Add the first" in page
    assert "Nothing matches" in keeper.get(reverse("chemical-list"), {"q": "zz"}).content.decode()


def test_queries_do_not_grow_with_the_rows(keeper, count_queries):
    counts = []
    for rows in (3, 22):
        for number in range(Chemical.objects.count(), rows):
            Chemical.objects.create(name=f"Chemical {number}", formula="NaCl")
        counts.append(count_queries(keeper, reverse("chemical-list")))
    assert counts[0] == counts[1]
