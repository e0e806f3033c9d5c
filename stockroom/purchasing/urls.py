"""Addresses of purchasing."""

from django.urls import path

from stockroom.purchasing.views import order, outlook, supplier

urlpatterns = [
    # suppliers and offers
    path("suppliers/", supplier.SupplierList.as_view(), name="supplier-list"),
    path("suppliers/add/", supplier.add, name="supplier-add"),
    path("suppliers/<int:pk>/", supplier.detail, name="supplier-detail"),
    path("suppliers/<int:pk>/edit/", supplier.edit, name="supplier-edit"),
    path("suppliers/<int:pk>/retire/", supplier.retire, name="supplier-retire"),
    path("offers/add/", supplier.offer_add, name="offer-add"),
    path("offers/<int:pk>/edit/", supplier.offer_edit, name="offer-edit"),
    path("offers/<int:pk>/retire/", supplier.offer_retire, name="offer-retire"),
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
]
