"""The reorder list, orders from draft to shelf, and the budget."""

import datetime
from urllib.parse import urlencode

from django.contrib import messages
from django.contrib.admin.models import ADDITION, DELETION
from django.contrib.auth.decorators import permission_required
from django.core.exceptions import PermissionDenied
from django.db.models import DecimalField, F, Sum, Value
from django.db.models.functions import Coalesce
from django.http import Http404
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note
from stockroom.common.days import day_text
from stockroom.common.department import Department
from stockroom.common.views.listing import NounList
from stockroom.common.views.printing import pdf, sheet_head
from stockroom.handling.views.acts import note_despite
from stockroom.inventory.models import LedgerError
from stockroom.inventory.recipes import LeftOut
from stockroom.purchasing import outlook, reorder
from stockroom.purchasing.forms.order import (
    BudgetForm,
    OrderedForm,
    OrderLineForm,
    PacksForm,
    ReceiveLineForm,
)
from stockroom.purchasing.forms.outlook import UntilForm
from stockroom.purchasing.models import Budget, Order, OrderLine
from stockroom.purchasing.reorder import Buy, OrderError, Proposal
from stockroom.purchasing.sheets import reorder as sheet
from stockroom.purchasing.tables.order import OrderFilter, OrderTable


def _proposals(request) -> tuple[UntilForm, list[Proposal], tuple[LeftOut, ...]]:
    """The days asked about, what to buy, and what the plan had to leave out."""
    today = timezone.localdate()
    form = UntilForm(request.GET or None, today=today)
    read = outlook.read(today)
    return form, reorder.propose(read, form.horizon), read.left_out


@permission_required("stockroom.view_order", raise_exception=True)
def reorder_list(request):
    """The list by supplier. The head changes the packs and draws up orders; others read it."""
    ahead, proposals, left_out = _proposals(request)
    form = PacksForm(request.POST or None, proposals=proposals)
    if request.method == "POST":
        if not request.user.has_perm("stockroom.change_order"):
            raise PermissionDenied
        if form.is_valid():
            try:
                orders = reorder.draw_up(form.wanted(), who=request.user, today=timezone.localdate())
            except OrderError as error:
                form.add_error(None, str(error))
            else:
                for order in orders:
                    note(request.user, order, "drew up the order", ADDITION)
                messages.success(request, f"Drawn up: {', '.join(map(str, orders))}. Approve each next.")
                return redirect(orders[0] if len(orders) == 1 else "order-list")
    groups = [
        {
            "supplier": supplier,
            "rows": [(proposal, buy, form[f"offer-{buy.offer.pk}"]) for proposal, buy in rows],
            "total": sum(buy.cost for _, buy in rows),
        }
        for supplier, rows in reorder.by_supplier(proposals).items()
    ]
    total = sum(group["total"] for group in groups)
    spending = reorder.spending(timezone.localdate())
    context = {
        "ahead": ahead,
        "left_out": left_out,
        "until": ahead.horizon,
        "form": form,
        "groups": groups,
        "unmet": [proposal for proposal in proposals if not proposal.buys],
        "total": total,
        "spending": spending,
        "left_after": spending.left - total if spending else None,
    }
    return render(request, "purchasing/reorder_list.html", context)


def _minor(amount) -> int:
    return round(amount * 100)


def _why(proposal: Proposal) -> str:
    return f"{proposal.reason}, needed {day_text(proposal.needed_on)}"


def _sheet_line(proposal: Proposal, buy: Buy) -> sheet.Line:
    return sheet.Line(
        reagent=str(proposal.reagent),
        pack=buy.offer.pack_text,
        packs=buy.packs,
        price=_minor(buy.offer.price),
        order_by=proposal.order_by,
        why=_why(proposal),
        number=buy.offer.catalogue_number,
        note=proposal.note,
    )


@permission_required("stockroom.view_order", raise_exception=True)
def reorder_sheet(request):
    ahead, proposals, _ = _proposals(request)
    spending = reorder.spending(timezone.localdate())
    data = sheet.ReorderList(
        head=sheet_head(
            request,
            "Reorder list",
            "the ledger, the bookings, the open orders and the offers",
            f"So that nothing runs short before {day_text(ahead.horizon)}",
        ),
        suppliers=tuple(
            sheet.Supplier(
                supplier.name,
                tuple(_sheet_line(proposal, buy) for proposal, buy in rows),
                contact=", ".join(
                    part for part in (supplier.account, supplier.email, supplier.phone) if part
                ),
            )
            for supplier, rows in reorder.by_supplier(proposals).items()
        ),
        unmet=tuple(
            sheet.Unmet(str(row.reagent), row.need_text, row.needed_on, row.reason)
            for row in proposals
            if not row.buys
        ),
        currency=Department.current().currency,
        budget=_minor(spending.left) if spending else None,
    )
    return pdf(request, sheet.render, data, f"reorder list {timezone.localdate():%Y-%m-%d}")


class OrderList(NounList):
    permission_required = "stockroom.view_order"
    table_class, filterset_class = OrderTable, OrderFilter
    title = "Orders"
    empty_text = "No orders yet. The reorder list proposes what to buy and draws them up."

    def get_queryset(self):
        money = DecimalField(max_digits=14, decimal_places=2)
        cost = Coalesce(Sum(F("lines__packs") * F("lines__unit_price"), output_field=money), Value(0, money))
        return Order.objects.select_related("supplier").annotate(cost=cost)


def _order(pk) -> Order:
    return get_object_or_404(Order.objects.select_related("supplier", "created_by", "approved_by"), pk=pk)


@permission_required("stockroom.view_order", raise_exception=True)
def detail(request, pk):
    order = _order(pk)
    today = timezone.localdate()
    lines = order.lines.select_related("reagent", "offer")
    lead = max((line.offer.lead_days for line in lines if line.offer), default=7)
    spending = reorder.spending(today)
    context = {
        "order": order,
        "lines": lines,
        "spending": spending,
        "over_budget": bool(spending and order.state == Order.State.DRAFT and order.total > spending.left),
        "ordered_form": OrderedForm(
            initial={"ordered_on": today, "expected_on": today + datetime.timedelta(lead)}, today=today
        ),
        "late": order.state == Order.State.ORDERED and order.expected_on and order.expected_on < today,
    }
    return render(request, "purchasing/order_detail.html", context)


def _line_page(request, order: Order, line: OrderLine, title: str):
    if order.state != Order.State.DRAFT:
        messages.error(request, "This order is no longer being drawn up: its lines stand.")
        return redirect(order)
    form = OrderLineForm(request.POST or None, instance=line, order=order)
    if request.method == "POST" and form.is_valid():
        saved = form.save()
        note(request.user, order, f"wrote the line {saved}")
        return redirect(order)
    context = {"form": form, "title": title, "submit": "Save the line", "back": order.get_absolute_url()}
    return render(request, "common/form.html", context)


@permission_required("stockroom.change_order", raise_exception=True)
def line_add(request, pk):
    order = _order(pk)
    return _line_page(request, order, OrderLine(), f"Add a line to {order}")


@permission_required("stockroom.change_order", raise_exception=True)
def line_edit(request, pk):
    line = get_object_or_404(OrderLine.objects.select_related("order__supplier", "reagent"), pk=pk)
    return _line_page(request, line.order, line, f"Change {line}")


@require_POST
@permission_required("stockroom.change_order", raise_exception=True)
def line_remove(request, pk):
    line = get_object_or_404(OrderLine.objects.select_related("order__supplier", "reagent"), pk=pk)
    order = line.order
    if order.state != Order.State.DRAFT:
        messages.error(request, "This order is no longer being drawn up: its lines stand.")
    else:
        note(request.user, order, f"took off the line {line}", DELETION)
        line.delete()
    return redirect(order)


def _act(request, order: Order, text: str, act) -> bool:
    """Do one step of an order; an error becomes a message."""
    try:
        act()
    except OrderError as error:
        messages.error(request, str(error))
        return False
    note(request.user, order, text)
    messages.success(request, f"{order}: {text}.")
    return True


@require_POST
@permission_required("stockroom.approve_order", raise_exception=True)
def approve(request, pk):
    order = _order(pk)
    _act(
        request,
        order,
        f"approved {order.total:,.2f}",
        lambda: reorder.approve(order, who=request.user, today=timezone.localdate()),
    )
    return redirect(order)


@require_POST
@permission_required("stockroom.change_order", raise_exception=True)
def cancel(request, pk):
    order = _order(pk)
    _act(request, order, "cancelled", lambda: reorder.cancel(order))
    return redirect(order)


@require_POST
@permission_required("stockroom.change_order", raise_exception=True)
def mark_ordered(request, pk):
    order = _order(pk)
    form = OrderedForm(request.POST, today=timezone.localdate())
    if not form.is_valid():
        context = {
            "form": form,
            "title": f"Mark {order} as ordered",
            "submit": "Mark as ordered",
            "back": order.get_absolute_url(),
        }
        return render(request, "common/form.html", context)
    days = form.cleaned_data
    _act(
        request,
        order,
        f"ordered, expected {day_text(days['expected_on'])}",
        lambda: reorder.mark_ordered(order, on=days["ordered_on"], expected_on=days["expected_on"]),
    )
    return redirect(order)


@permission_required("stockroom.receive_stock", raise_exception=True)
def line_receive(request, pk):
    """Packs of an order become containers on a shelf."""
    line = get_object_or_404(OrderLine.objects.select_related("order__supplier", "reagent"), pk=pk)
    if line.order.state != Order.State.ORDERED or not line.open_packs:
        raise Http404
    today = timezone.localdate()
    initial = {"packs": line.open_packs, "on": today}
    form = ReceiveLineForm(request.POST or None, initial=initial, line=line, today=today)
    if request.method == "POST" and form.is_valid():
        try:
            containers = form.post(request.user)
        except (OrderError, LedgerError) as error:
            form.add_error(None, str(error))
        else:
            codes = ", ".join(container.code for container in containers)
            url = f"{reverse('labels')}?{urlencode({'numbers': codes})}"
            said = format_html(
                'Received into {}. <a href="{}">Print the labels</a>, or write the codes on the bottles.',
                codes,
                url,
            )
            messages.success(request, said)
            note_despite(request, form, containers)
            return redirect(line.order)
    context = {
        "form": form,
        "title": f"Receive {line.reagent}",
        "lead": f"{line} from {line.order.supplier}. Each pack becomes a container of its own.",
        "submit": "Put on the shelf",
        "back": line.order.get_absolute_url(),
        "crumbs": [("Orders", reverse("order-list")), (str(line.order), line.order.get_absolute_url())],
    }
    return render(request, "common/form.html", context)


@permission_required("stockroom.view_budget", raise_exception=True)
def budget_list(request):
    budgets = [reorder.Spending(budget, reorder.spent_in(budget)) for budget in Budget.objects.all()]
    return render(request, "purchasing/budget_list.html", {"budgets": budgets})


@permission_required("stockroom.change_budget", raise_exception=True)
def budget_edit(request, pk=None):
    budget = get_object_or_404(Budget, pk=pk) if pk else Budget()
    form = BudgetForm(request.POST or None, instance=budget)
    if request.method == "POST" and form.is_valid():
        form.save()
        note(request.user, budget, f"set the budget to {budget.amount:,.2f}")
        return redirect("budget-list")
    context = {
        "form": form,
        "title": f"Change the budget {budget}" if pk else "Set a budget",
        "submit": "Save the budget",
        "back": reverse("budget-list"),
    }
    return render(request, "common/form.html", context)
