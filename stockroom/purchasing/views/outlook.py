"""What will run out, when: every reagent at a glance, one reagent day by day."""

import datetime
from dataclasses import dataclass

from django.contrib.auth.decorators import permission_required
from django.shortcuts import get_object_or_404, render
from django.utils import timezone

from stockroom.chemistry.quantity import format_amount, from_base
from stockroom.common.days import day_text
from stockroom.common.paging import paged
from stockroom.inventory.models import Reagent
from stockroom.paper import charts
from stockroom.purchasing import outlook
from stockroom.purchasing.forms.outlook import UntilForm
from stockroom.purchasing.tables.outlook import ExpiringTable, ShortTable
from stockroom.supply.projection import Day, Projection


@permission_required("stockroom.view_reagent", raise_exception=True)
def outlook_list(request):
    today = timezone.localdate()
    form = UntilForm(request.GET or None, today=today)
    read = outlook.read(today)
    short = ShortTable(outlook.shortages(read, form.horizon), prefix="short-")
    expiring = ExpiringTable(outlook.expiring(read, form.horizon), prefix="date-")
    for table in (short, expiring):
        paged(request, table)
    context = {"form": form, "until": form.horizon, "short": short, "expiring": expiring}
    context["left_out"] = read.left_out
    return render(request, "purchasing/outlook_list.html", context)


@dataclass(frozen=True)
class DayRow:
    """One day of a reagent, in words."""

    on: datetime.date
    balance: str
    used: str
    received: str
    expired: str
    short: str
    purposes: str


def _rows(read: outlook.Outlook, reagent: Reagent, projection: Projection) -> list[DayRow]:
    wanted: dict[datetime.date, list[str]] = {}
    for demand in read.demands(reagent.pk):
        on = max(demand.on, read.today)
        wanted.setdefault(on, []).extend(ref.purpose for ref in demand.ref)

    def text(amount: int) -> str:
        return reagent.text_of(amount) if amount else ""

    def row(day: Day) -> DayRow:
        purposes = ", ".join(dict.fromkeys(wanted.get(day.on, ())))
        used, received = text(day.used), text(day.received)
        balance = reagent.text_of(day.balance)
        return DayRow(day.on, balance, used, received, text(day.expired), text(day.short), purposes)

    return [row(day) for day in projection.days]


def chart(read: outlook.Outlook, reagent: Reagent, projection: Projection) -> charts.Balance:
    """The projection as plain numbers in the unit that suits the largest of them."""
    largest = max([reagent.reorder_point, *(day.balance for day in projection.days)])
    unit = format_amount(largest, reagent.measure).split()[-1] if largest else ""
    unit = unit.replace("pieces", "piece")

    def number(amount: int) -> float:
        return float(from_base(amount, reagent.measure).to(unit).magnitude if unit else amount)

    days = [(day.on, number(day.balance - day.short)) for day in projection.days]
    if days[-1][0] < projection.end:
        days.append((projection.end, days[-1][1]))
    in_time = [d for d in read.demands(reagent.pk) if d.on <= projection.end]
    bookings = {max(d.on, read.today) for d in in_time}
    orders = {r.on for r in read.receipts.get(reagent.pk, ()) if r.on <= projection.end}
    return charts.Balance(
        days=tuple(days),
        unit=unit or "mL",
        reorder_point=number(reagent.reorder_point) if reagent.reorder_point else None,
        bookings=tuple(charts.Mark(on) for on in sorted(bookings)),
        orders=tuple(charts.Mark(on, "order") for on in sorted(orders)),
    )


def _described(reagent: Reagent, projection: Projection) -> str:
    lowest = f"lowest {reagent.text_of(projection.lowest)} on {day_text(projection.lowest_on)}"
    if projection.first_short:
        return f"Short of {reagent.text_of(projection.short_by)} on {day_text(projection.first_short)}."
    return f"Never short until {day_text(projection.end)}; {lowest}."


@permission_required("stockroom.view_reagent", raise_exception=True)
def reagent_outlook(request, pk):
    reagent = get_object_or_404(Reagent, pk=pk)
    today = timezone.localdate()
    form = UntilForm(request.GET or None, today=today)
    read = outlook.read(today)
    projection = read.project(reagent.pk, form.horizon, reagent.reorder_point)
    words = _described(reagent, projection)
    svg = charts.svg(
        charts.balance(chart(read, reagent, projection), width=720, height=230),
        f"Balance of {reagent} until {day_text(form.horizon)}",
        words,
    )
    context = {
        "reagent": reagent,
        "form": form,
        "projection": projection,
        "words": words,
        "svg": svg,
        "rows": _rows(read, reagent, projection),
        "left_out": read.left_out,
        "short": next((row for row in outlook.shortages(read, form.horizon) if row.reagent == reagent), None),
    }
    return render(request, "purchasing/reagent_outlook.html", context)
