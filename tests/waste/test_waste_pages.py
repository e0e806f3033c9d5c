"""Waste containers from the first drop to collection, and the disposal sheet."""

import datetime

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from stockroom.common.append_only import WrittenOnceError
from stockroom.common.department import Department
from stockroom.hazards.models import ReagentHazard
from stockroom.inventory import ledger
from stockroom.inventory.models import Container, WasteContainer, WasteEntry
from stockroom.safety.streams import waste_label
from stockroom.waste import composition, disposal
from tests.paper.sheet_reading import pages

pytestmark = pytest.mark.django_db
L, ML, G = 1_000_000, 1_000, 1_000_000


@pytest.fixture
def make_waste(shelf, today):
    def make(stream="acids", capacity=5 * L, measure="volume", **fields):
        fields.setdefault("started_on", today - datetime.timedelta(40))
        return ledger.open_waste(stream=stream, capacity=capacity, measure=measure, location=shelf, **fields)

    return make


@pytest.fixture
def acids(make_waste):
    return make_waste()


@pytest.fixture
def acid(make_reagent):
    reagent = make_reagent(
        "Hydrochloric acid 1 mol/L", "volume", "HCl", 1, "mol/L", groups=["acid_dilute"], density="1.02"
    )
    ReagentHazard.objects.create(reagent=reagent, hazard_class="corr_met_1")
    return reagent


@pytest.fixture
def cyanide(make_reagent):
    reagent = make_reagent(
        "Potassium cyanide 0.1 mol/L", "volume", "KCN", "0.1", "mol/L", groups=["cyanide"], density="1"
    )
    ReagentHazard.objects.create(reagent=reagent, hazard_class="acute_tox_oral_3")
    return reagent


def put(client, container, **data):
    values = {"reagent": "", "description": "", "amount": "100 mL", "ph": "", "vouched": ""}
    values["on"] = datetime.date.today().isoformat()
    return client.post(reverse("waste-put", args=[container.pk]), values | data)


PAGES = [
    ("waste-list", False, {"head": 200, "teacher": 200, "technician": 200}),
    ("waste-add", False, {"head": 403, "teacher": 403, "technician": 200}),
    ("waste-months", False, {"head": 200, "teacher": 200, "technician": 200}),
    ("disposal-sheet", False, {"head": 200, "teacher": 200, "technician": 200}),
    ("waste-detail", True, {"head": 200, "teacher": 200, "technician": 200}),
    ("waste-label", True, {"head": 200, "teacher": 200, "technician": 200}),
    ("waste-put", True, {"head": 403, "teacher": 403, "technician": 200}),
    ("waste-collected", True, {"head": 403, "teacher": 403, "technician": 200}),
]


@pytest.mark.parametrize("role", ["head", "teacher", "technician"])
@pytest.mark.parametrize(("name", "of_one", "expected"), PAGES)
def test_who_may_open_what(client, request, acids, role, name, of_one, expected):
    client.force_login(request.getfixturevalue(role))
    url = reverse(name, args=[acids.pk] if of_one else [])
    assert client.get(url).status_code == expected[role]
    if expected[role] == 403:
        assert client.post(url).status_code == 403
    if of_one:
        assert client.get(reverse(name, args=[99999])).status_code in (404, 403)


def test_others_change_nothing_and_are_offered_nothing(client, teacher, acids):
    client.force_login(teacher)
    assert client.post(reverse("waste-close", args=[acids.pk])).status_code == 403
    page = client.get(acids.get_absolute_url()).content.decode()
    assert "Add waste" not in page and "Close it" not in page
    acids.refresh_from_db()
    assert acids.is_open


def test_empty_pages_say_what_to_do(client, technician):
    client.force_login(technician)
    assert b"No waste containers yet" in client.get(reverse("waste-list")).content
    assert b"No hazardous waste in the last" in client.get(reverse("waste-months")).content
    assert "Nothing is waiting" in " ".join(pages(client.get(reverse("disposal-sheet")).content))


def test_a_container_is_started_filled_closed_and_collected(client, technician, shelf, acid, today):
    client.force_login(technician)
    data = {"stream": "acids", "measure": "volume", "capacity": "5 L", "location": shelf.pk, "note": ""}
    client.post(reverse("waste-add"), data | {"started_on": today.isoformat()})
    waste = WasteContainer.objects.get()
    assert (waste.capacity, waste.contents) == (5 * L, 0)
    put(client, waste, reagent=acid.name, description="titration, 11C", amount="0.4 L")
    waste.refresh_from_db()
    entry = WasteEntry.objects.get()
    assert waste.contents == 400 * ML and entry.who == technician
    assert entry.description == "Hydrochloric acid 1 mol/L: titration, 11C"
    page = client.get(waste.get_absolute_url()).content.decode()
    assert "Hazardous Waste" in page and "D002" in page and "400 mL" in page
    assert composition.named_contents(waste, waste_label(composition.contents_of(waste), today)) == (
        "Hydrochloric acid 1 mol/L: titration, 11C",
        "chloride ion",
    )
    client.post(reverse("waste-close", args=[waste.pk]))
    assert put(client, waste, reagent=acid.name).status_code == 302, "a closed container takes nothing"
    assert WasteEntry.objects.count() == 1
    answer = {"on": today.isoformat(), "by": "Fenwick Recovery"}
    client.post(reverse("waste-collected", args=[waste.pk]), answer)
    waste.refresh_from_db()
    assert waste.collected_on == today and waste.closed_on == today
    assert "by Fenwick Recovery" in client.get(waste.get_absolute_url()).content.decode()
    client.get(reverse("waste-list"))
    assert waste.code not in client.get(reverse("waste-list")).content.decode()
    assert waste.code in client.get(reverse("waste-list") + "?state=collected").content.decode()


def test_what_would_react_with_the_contents_is_refused_whatever_is_said(
    client, technician, acids, acid, cyanide
):
    client.force_login(technician)
    put(client, acids, reagent=acid.name)
    page = put(client, acids, reagent=cyanide.name, vouched="I know better").content.decode()
    assert "errorlist" in page or "note bad" in page
    assert WasteEntry.objects.count() == 1


def test_another_stream_needs_a_reason(client, technician, make_waste, acid):
    client.force_login(technician)
    bases = make_waste("bases")
    page = put(client, bases, reagent=acid.name).content.decode()
    assert "It belongs to “Acids in water”" in page and not WasteEntry.objects.exists()
    put(client, bases, reagent=acid.name, vouched="neutralized in it")
    assert "(belongs here: neutralized in it)" in WasteEntry.objects.get().description


def test_what_nobody_can_name_stands_by_itself_and_says_so(client, technician, acids, make_waste):
    """Whatever a person says: the words of a reason are no composition."""
    client.force_login(technician)
    page = put(client, acids, description="rinsings", vouched="only dilute acid was used").content.decode()
    assert "part of it is not known" in page and not WasteEntry.objects.exists()
    alone = make_waste("apart")
    put(client, alone, description="rinsings")
    page = client.get(alone.get_absolute_url()).content.decode()
    assert "not known: what is in rinsings" in page
    assert "treated as hazardous: contents unknown" in page
    for name, args in (("waste-label", [alone.pk]), ("disposal-sheet", [])):
        sheet = " ".join(pages(client.get(reverse(name, args=args)).content))
        assert "treated as hazardous: contents unknown" in " ".join(sheet.split()), name


def test_a_mixture_is_judged_by_what_it_holds(client, technician, acids, acid, make_reagent):
    salt = make_reagent("Table salt 1 mol/L", "volume", "NaCl", 1, "mol/L", groups=["inert"], density="1.04")
    salt.hazard_state = "none"
    salt.save()
    client.force_login(technician)
    bad = put(client, acids, holds="a little acid", amount="200 mL")
    assert "Line 1: write the amount first" in bad.content.decode()
    bad = put(client, acids, holds=f"50 mL of {acid.name}\n10 mL of unobtainium", amount="200 mL")
    assert "Line 2: There is no reagent" in bad.content.decode() and not WasteEntry.objects.exists()
    put(client, acids, holds=f"50 mL of {acid.name}\n150 mL {salt.name}", amount="100 mL")
    entry = WasteEntry.objects.get()
    told = composition.of_entry(entry)
    assert told.residue.ph < 1 and not told.residue.unknown
    assert told.residue.volume_ul == 100 * ML
    chloride = next(one for one in told.residue.components if one.formula == "Cl-")
    assert chloride.mol == pytest.approx(0.1, rel=0.05)
    assert entry.description.startswith("Hydrochloric acid 1 mol/L, Table salt 1 mol/L")


@pytest.mark.parametrize(
    ("data", "said"),
    [
        ({"kind": "acids", "ph": ""}, "judged by its pH"),
        ({"kind": "acids", "ph": "11"}, "but its pH is 11.0"),
        ({"kind": "solvents"}, "It belongs to"),
        ({"kind": "apart"}, "Select a valid choice"),
        ({"kind": "acids", "ph": "1", "reagent": "Hydrochloric acid 1 mol/L"}, "one way only"),
    ],
)
def test_what_a_person_vouches_for_is_held_against_the_ph(client, technician, acids, acid, data, said):
    client.force_login(technician)
    page = put(client, acids, description="rinsings", **data).content.decode()
    assert said in page and not WasteEntry.objects.exists()


def test_what_a_person_vouches_for_joins_and_stays_hazardous(client, technician, acids, acid):
    client.force_login(technician)
    put(client, acids, reagent=acid.name)
    put(client, acids, kind="acids", ph="1.4", description="rinsings of the titration")
    entry = WasteEntry.objects.order_by("pk").last()
    assert composition.of_entry(entry).vouched == "acids"
    page = client.get(acids.get_absolute_url()).content.decode()
    assert "Acids in water, vouched for: rinsings" in page and "which somebody vouches for" in page


def test_what_explodes_together_is_refused_without_a_way_round(client, technician, make_waste, make_reagent):
    client.force_login(technician)
    silver = make_waste("silver")
    nitrate = make_reagent("Silver nitrate 0.1 mol/L", "volume", "AgNO3", "0.1", "mol/L", density="1")
    ReagentHazard.objects.create(reagent=nitrate, hazard_class="aquatic_acute_1")
    ammonia = make_reagent("Ammonia 2 mol/L", "volume", "NH3", 2, "mol/L", density="1")
    ReagentHazard.objects.create(reagent=ammonia, hazard_class="skin_corr_1b")
    put(client, silver, reagent=nitrate.name)
    assert WasteEntry.objects.count() == 1
    page = put(client, silver, reagent=ammonia.name).content.decode()
    assert "It belongs to" in page and "say why it belongs here" not in page
    put(client, silver, reagent=ammonia.name, vouched="It fits.")
    assert WasteEntry.objects.count() == 1


def test_no_more_than_nine_tenths(client, technician, acids, acid):
    client.force_login(technician)
    page = put(client, acids, reagent=acid.name, amount="4.6 L", vouched="it fits").content.decode()
    assert "90 % full" in page and not WasteEntry.objects.exists()


@pytest.mark.parametrize(
    "bad",
    [
        {"amount": ""},
        {"amount": "12"},
        {"amount": "-5 mL"},
        {"amount": "5 g"},
        {"amount": "1e99 L"},
        {"ph": "acid"},
        {"ph": "99"},
        {"ph": "NaN"},
        {"on": "2999-01-01"},
        {"on": "1999-01-01"},
        {"on": "soon"},
        {"reagent": "<script>alert(1)</script>"},
        {"reagent": "", "description": ""},
        {"description": "x" * 10_000},
    ],
)
def test_bad_additions_say_what_to_change_and_write_nothing(client, technician, acids, acid, bad):
    client.force_login(technician)
    page = put(client, acids, **{"reagent": acid.name, **bad})
    assert page.status_code == 200 and b"errorlist" in page.content
    assert b"<script>alert" not in page.content
    assert not WasteEntry.objects.exists()


@pytest.mark.parametrize(
    "bad",
    [
        {"stream": "drain"},
        {"capacity": "5 kg"},
        {"capacity": "0 L"},
        {"capacity": "big"},
        {"location": "9999"},
    ]
    + [{"started_on": "2999-01-01"}, {"measure": "colour"}, {"stream": ""}],
)
def test_a_bad_start_starts_nothing(client, technician, shelf, today, bad):
    client.force_login(technician)
    data = {"stream": "acids", "measure": "volume", "capacity": "5 L", "location": shelf.pk}
    page = client.post(reverse("waste-add"), data | {"started_on": today.isoformat()} | bad)
    assert page.status_code == 200 and b"errorlist" in page.content
    assert not WasteContainer.objects.exists()


def test_collection_cannot_come_before_the_last_addition(client, technician, acids, acid, today):
    client.force_login(technician)
    put(client, acids, reagent=acid.name)
    yesterday = (today - datetime.timedelta(1)).isoformat()
    page = client.post(reverse("waste-collected", args=[acids.pk]), {"on": yesterday, "by": "Fenwick"})
    assert b"errorlist" in page.content
    acids.refresh_from_db()
    assert acids.collected_on is None


def test_the_label_says_the_required_words_on_any_paper(client, technician, acids, acid):
    client.force_login(technician)
    put(client, acids, reagent=acid.name)
    url = reverse("waste-label", args=[acids.pk])
    words = " ".join(pages(client.get(url).content))
    assert "HAZARDOUS WASTE" in words and "Corrosive" in words and acids.code in words.replace(" ", "")
    assert b"Own sizes" in client.get(url + "?choose=1").content
    assert b"errorlist" in client.get(url + "?layout=A4|none&start=1").content
    letter = client.get(url, {"layout": "Letter|4 x 2 in, 10 a sheet", "start": "3"})
    assert letter["Content-Type"] == "application/pdf"


def test_months_against_the_generator_limits(client, technician, make_waste, acid):
    client.force_login(technician)
    drum = make_waste(capacity=200 * L)
    put(client, drum, reagent=acid.name, amount="90 L")
    page = client.get(reverse("waste-months")).content.decode()
    # 90 L at the stream's 1.2 kg/L is 108 kg: over the 100 kg of a very small quantity generator.
    assert "108 kg" in page and "Small quantity generator" in page
    Department.objects.update(country="NO")
    assert "as guidance" in client.get(reverse("waste-months")).content.decode()


def test_the_disposal_sheet_says_what_how_and_why(
    client, technician, acids, acid, make_reagent, make_container, today
):
    old = today - datetime.timedelta(400)
    ether = make_reagent(
        "Diethyl ether", "volume", "C4H10O", density="0.71", ageing_class="peroxide_former_b"
    )
    gone_by = make_container(
        ether, 500 * ML, on=old, opened_on=old, expires_on=today - datetime.timedelta(30)
    )
    dusty = make_container(
        make_reagent("Borax", disposal="Collect as solid.", disposal_route="collect"), 100 * G
    )
    ledger.quarantine(dusty, who=technician, why="label unreadable")
    fine = make_container(make_reagent("Table salt"), 100 * G)
    client.force_login(technician)
    put(client, acids, reagent=acid.name)
    words = " ".join(pages(client.get(reverse("disposal-sheet")).content))
    for part in ("Diethyl ether", "Do not open or move", "label unreadable", "Collect as solid", acids.code):
        assert part in words, part
    assert gone_by.code in words and fine.code not in words and "Table salt" not in words


@pytest.mark.parametrize(
    ("route", "printed"),
    [("collect", True), ("by_itself", True), ("drain", False), ("trash", False), ("", False)],
)
def test_the_sheet_goes_by_the_coded_route_and_never_by_the_words(make_reagent, route, printed):
    reagent = make_reagent("Salt", disposal="Down the drain, or not.", disposal_route=route)
    assert bool(disposal.how_to_collect(reagent)) == printed


def test_a_discarded_bottle_brings_its_composition(client, technician, make_waste, make_container, acid):
    waste = make_waste()
    ledger.discard(make_container(acid, 100 * ML), who=technician, why="surplus", into=waste)
    entry = composition.with_sources(WasteEntry.objects.all()).get()
    assert entry.composition == {}
    told = composition.of_entry(entry)
    assert told.residue.ph is not None and told.residue.ph < 1 and told.groups == {"acid_dilute"}


def discard(client, bottle, into, today, **data):
    values = {"amount": "100 mL", "why": "old", "into": into.pk, "vouched": "", "on": today.isoformat()}
    return client.post(reverse("container-act", args=[bottle.pk, "discard"]), values | data)


def test_a_discarded_bottle_is_checked_like_any_waste(
    client, technician, make_waste, make_container, acid, cyanide, today
):
    client.force_login(technician)
    waste, bottle = make_waste(), make_container(acid, 500 * ML)
    discard(client, bottle, waste, today)
    assert WasteEntry.objects.count() == 1
    poison = make_container(cyanide, 500 * ML)
    page = discard(client, poison, waste, today, vouched="I know better").content.decode()
    assert "errorlist" in page and WasteEntry.objects.count() == 1
    bases = make_waste("bases")
    assert "It belongs to" in discard(client, bottle, bases, today).content.decode()
    discard(client, bottle, bases, today, vouched="neutralizes it")
    assert WasteEntry.objects.count() == 2
    line = bottle.movements.first()
    assert line.why == f"old (into {bases.code}: neutralizes it)"


def test_an_entry_is_read_back_as_it_was_written(acid):
    waste = composition.of_reagent(acid, 100 * ML)
    entry = WasteEntry(description="x", amount=100 * ML, composition=composition.as_data(waste))
    assert composition.of_entry(entry).residue.components == waste.residue.components
    assert composition.of_entry(entry).hazard_keys == waste.hazard_keys


def test_a_reagent_nobody_classified_is_unknown(make_reagent):
    waste = composition.of_reagent(
        make_reagent("Mystery", "volume", "NaCl", 1, "mol/L", density="1"), 100 * ML
    )
    assert waste.residue.unknown == ("Mystery",)


@pytest.mark.parametrize("name", ["waste-list", "waste-months", "disposal-sheet", "waste-detail"])
def test_the_number_of_queries_does_not_grow(
    client, technician, make_waste, make_reagent, make_container, acid, today, name
):
    client.force_login(technician)
    first = make_waste()
    url = reverse(name, args=[first.pk] if name == "waste-detail" else [])

    def more(rows):
        for number in range(rows):
            waste = make_waste()
            bottle = make_container(make_reagent(f"R{WasteEntry.objects.count()}-{number}", "volume"), L)
            ledger.discard(bottle, 100 * ML, who=technician, why="old", into=first)
            wasted = composition.as_data(composition.of_reagent(acid, 50 * ML))
            ledger.add_waste(waste, 50 * ML, description="acid", who=technician, composition=wasted)
            Container.objects.filter(pk=bottle.pk).update(usable_until=today - datetime.timedelta(1))

    more(2)
    client.get(url)
    taken = []
    for rows in (0, 12):
        more(rows)
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url).status_code == 200
        taken.append(len(queries))
    assert taken[0] == taken[1]


# --- slips


def test_a_slip_is_struck_out_and_counts_no_more(client, technician, head, acids, today):
    ledger.add_waste(acids, 3 * L, description="typed a zero too many", who=technician)
    ledger.add_waste(acids, 200 * ML, description="right", who=technician)
    wrong = WasteEntry.objects.get(amount=3 * L)
    url = reverse("waste-strike", args=[wrong.pk])
    client.force_login(head)
    assert client.get(url).status_code == 403
    client.force_login(technician)
    assert "3 L typed a zero" in client.get(url).content.decode()
    assert "why" in client.post(url, {"why": ""}).context["form"].errors
    assert client.post(url, {"why": "it was 300 mL <b>"}).url == acids.get_absolute_url()
    acids.refresh_from_db()
    assert acids.contents == 200 * ML
    page = client.get(acids.get_absolute_url()).content.decode()
    assert "Struck out" in page and "it was 300 mL &lt;b&gt;" in page
    seen = composition.by_month(today)
    assert seen.months[0].mass_ug == 240 * G, "200 mL at 1.2 g/mL"
    assert "typed a zero" not in " ".join(pages(client.get(reverse("waste-label", args=[acids.pk])).content))
    again = client.post(url, {"why": "again"}).content.decode()
    assert "struck out already" in again
    with pytest.raises(WrittenOnceError):
        WasteEntry.objects.update(amount=1)


def test_after_collection_nothing_is_struck_out(client, technician, acids, today):
    ledger.add_waste(acids, L, description="x", who=technician)
    WasteContainer.objects.update(collected_on=today)
    client.force_login(technician)
    url = reverse("waste-strike", args=[WasteEntry.objects.get().pk])
    assert "has been collected" in client.post(url, {"why": "slip"}).content.decode()
    assert url not in client.get(acids.get_absolute_url()).content.decode()
    assert client.get(reverse("waste-strike", args=[987_654])).status_code == 404
