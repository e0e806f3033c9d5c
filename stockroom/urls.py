"""Every address of the app."""

from django.contrib import admin
from django.contrib.auth import views as auth
from django.urls import include, path, reverse_lazy

from stockroom.views import (
    chemical,
    container,
    count,
    hazard,
    ledger,
    location,
    making,
    order,
    outlook,
    preparation,
    reagent,
    supplier,
)

urlpatterns = [
    path("", include("demos.urls")),
    path("sign-in/", auth.LoginView.as_view(redirect_authenticated_user=True), name="sign-in"),
    path("sign-out/", auth.LogoutView.as_view(), name="sign-out"),
    path(
        "password/",
        auth.PasswordChangeView.as_view(success_url=reverse_lazy("home")),
        name="password-change",
    ),
    path("admin/", admin.site.urls),
    # chemicals
    path("chemicals/", chemical.ChemicalList.as_view(), name="chemical-list"),
    path("chemicals/add/", chemical.add, name="chemical-add"),
    path("chemicals/<int:pk>/", chemical.detail, name="chemical-detail"),
    path("chemicals/<int:pk>/edit/", chemical.edit, name="chemical-edit"),
    path("chemicals/<int:pk>/retire/", chemical.retire, name="chemical-retire"),
    # reagents, their hazards and sheets
    path("reagents/", reagent.ReagentList.as_view(), name="reagent-list"),
    path("reagents/add/", reagent.add, name="reagent-add"),
    path("reagents/<int:pk>/", reagent.detail, name="reagent-detail"),
    path("reagents/<int:pk>/edit/", reagent.edit, name="reagent-edit"),
    path("reagents/<int:pk>/retire/", reagent.retire, name="reagent-retire"),
    path("reagents/<int:pk>/hazards/", hazard.hazards, name="reagent-hazards"),
    path("reagents/<int:pk>/sheets/add/", hazard.sheet_add, name="sheet-add"),
    path("sheets/<int:pk>/edit/", hazard.sheet_edit, name="sheet-edit"),
    path("sheets/<int:pk>/file/", hazard.sheet_file, name="sheet-file"),
    # containers and their ledger
    path("containers/", container.ContainerList.as_view(), name="container-list"),
    path("containers/receive/", ledger.receive, name="container-receive"),
    path("containers/<int:pk>/", container.detail, name="container-detail"),
    path("containers/<int:pk>/edit/", container.edit, name="container-edit"),
    path("containers/<int:pk>/<slug:act>/", ledger.act, name="container-act"),
    path("movements/<int:pk>/reverse/", ledger.reverse_line, name="movement-reverse"),
    # places
    path("places/", location.tree, name="location-list"),
    path("places/add/", location.add, name="location-add"),
    path("places/<int:pk>/", location.detail, name="location-detail"),
    path("places/<int:pk>/edit/", location.edit, name="location-edit"),
    path("places/<int:pk>/retire/", location.retire, name="location-retire"),
    # suppliers and offers
    path("suppliers/", supplier.SupplierList.as_view(), name="supplier-list"),
    path("suppliers/add/", supplier.add, name="supplier-add"),
    path("suppliers/<int:pk>/", supplier.detail, name="supplier-detail"),
    path("suppliers/<int:pk>/edit/", supplier.edit, name="supplier-edit"),
    path("suppliers/<int:pk>/retire/", supplier.retire, name="supplier-retire"),
    path("offers/add/", supplier.offer_add, name="offer-add"),
    path("offers/<int:pk>/edit/", supplier.offer_edit, name="offer-edit"),
    path("offers/<int:pk>/retire/", supplier.offer_retire, name="offer-retire"),
    # preparations and batches
    path("preparations/", preparation.PreparationList.as_view(), name="preparation-list"),
    path("preparations/add/", preparation.add, name="preparation-add"),
    path("preparations/<int:pk>/", preparation.detail, name="preparation-detail"),
    path("preparations/<int:pk>/edit/", preparation.edit, name="preparation-edit"),
    path("preparations/<int:pk>/retire/", preparation.retire, name="preparation-retire"),
    path("preparations/<int:pk>/make-up/", making.make_up, name="preparation-make-up"),
    path("batches/<int:pk>/", making.batch_detail, name="batch-detail"),
    # what runs short, what to order
    path("outlook/", outlook.outlook_list, name="outlook"),
    path("reagents/<int:pk>/outlook/", outlook.reagent_outlook, name="reagent-outlook"),
    path("reorder/", order.reorder_list, name="reorder"),
    path("reorder/sheet/", order.reorder_sheet, name="reorder-sheet"),
    path("orders/", order.OrderList.as_view(), name="order-list"),
    path("orders/<int:pk>/", order.detail, name="order-detail"),
    path("orders/<int:pk>/approve/", order.approve, name="order-approve"),
    path("orders/<int:pk>/cancel/", order.cancel, name="order-cancel"),
    path("orders/<int:pk>/ordered/", order.mark_ordered, name="order-ordered"),
    path("orders/<int:pk>/lines/add/", order.line_add, name="order-line-add"),
    path("order-lines/<int:pk>/edit/", order.line_edit, name="order-line-edit"),
    path("order-lines/<int:pk>/remove/", order.line_remove, name="order-line-remove"),
    path("order-lines/<int:pk>/receive/", order.line_receive, name="order-line-receive"),
    path("budget/", order.budget_list, name="budget-list"),
    path("budget/add/", order.budget_edit, name="budget-add"),
    path("budget/<int:pk>/edit/", order.budget_edit, name="budget-edit"),
    # counts
    path("counts/", count.CountList.as_view(), name="count-list"),
    path("counts/start/", count.start, name="count-add"),
    path("counts/<int:pk>/", count.detail, name="count-detail"),
    path("counts/<int:pk>/close/", count.close, name="count-close"),
    path("counts/<int:pk>/abandon/", count.abandon, name="count-abandon"),
    path("counts/<int:pk>/sheet/", count.count_sheet, name="count-sheet"),
    path("count-lines/<int:pk>/", count.write_line, name="count-line"),
]
