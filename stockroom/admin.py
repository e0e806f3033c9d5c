"""For the rare repair. Stock is moved on the pages of the app; here the ledger can only be read."""

from django.contrib import admin

from stockroom.common.department import Department
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet, WrittenReason
from stockroom.inspection.models import AnnualReview
from stockroom.inventory.models import (
    Batch,
    Chemical,
    Component,
    Container,
    ContainerTest,
    CountLine,
    Location,
    Movement,
    Offer,
    Preparation,
    PreparationPart,
    Reagent,
    Reservation,
    StockCount,
    Supplier,
    Synonym,
    WasteContainer,
    WasteCorrection,
    WasteEntry,
)
from stockroom.purchasing.models import Budget, Order, OrderLine
from stockroom.storage.models import DepartmentLimit
from stockroom.waste.models import DrainEntry, DrainPermission, OwnWasteLimit

admin.site.site_header = admin.site.site_title = "Stockroom repairs"


class ReadOnly:
    """Nobody adds, changes or deletes here, whatever their permissions."""

    def has_add_permission(self, request, obj=None):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


class KeptByTheLedger:
    """Added and balanced by the ledger: here only what is written on the label may be mended."""

    def has_add_permission(self, request):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


class SynonymInline(admin.TabularInline):
    model = Synonym
    extra = 0


@admin.register(Chemical)
class ChemicalAdmin(admin.ModelAdmin):
    list_display = ["name", "cas_rn", "formula", "molar_mass", "retired_on"]
    search_fields = ["name", "cas_rn", "formula", "synonyms__name"]
    readonly_fields = ["molar_mass", "retired_on"]
    inlines = [SynonymInline]


class ComponentInline(admin.TabularInline):
    model = Component
    extra = 0
    autocomplete_fields = ["chemical"]


class HazardInline(admin.TabularInline):
    model = ReagentHazard
    extra = 0
    autocomplete_fields = ["checked_by"]


@admin.register(Reagent)
class ReagentAdmin(admin.ModelAdmin):
    list_display = ["name", "kind", "measure", "hazard_state", "storage_kind", "retired_on"]
    list_filter = ["kind", "measure", "hazard_state", "storage_kind"]
    search_fields = ["name"]
    autocomplete_fields = ["solvent", "checked_by"]
    readonly_fields = ["hazard_state", "catalogue_key", "retired_on"]
    inlines = [ComponentInline, HazardInline]

    def get_readonly_fields(self, request, obj=None):
        # Another measure would turn every amount written down into a different one.
        return [*self.readonly_fields, "measure"] if obj else self.readonly_fields


@admin.register(SafetyDataSheet)
class SafetyDataSheetAdmin(admin.ModelAdmin):
    list_display = ["reagent", "supplier", "revision_date", "checked_on"]
    search_fields = ["reagent__name"]
    autocomplete_fields = ["reagent", "supplier", "added_by", "checked_by"]


@admin.register(Location)
class LocationAdmin(admin.ModelAdmin):
    list_display = ["path", "level", "storage_kind", "retired_on"]
    list_filter = ["level", "storage_kind"]
    search_fields = ["path"]
    readonly_fields = ["path", "retired_on"]


@admin.register(Container)
class ContainerAdmin(KeptByTheLedger, admin.ModelAdmin):
    list_display = ["code", "reagent", "lot", "location", "balance_text", "usable_until", "state"]
    list_filter = ["state"]
    list_select_related = ["reagent", "location"]
    search_fields = ["code", "lot", "reagent__name"]
    readonly_fields = ["code", "reagent", "location", "balance_text", "size", "state_text", "usable_until"]
    fields = [*readonly_fields, "lot", "supplier", "opened_on", "expires_on", "note"]

    @admin.display(description="size")
    def size(self, container):
        return container.reagent.text_of(container.pack_amount)

    @admin.display(description="state")
    def state_text(self, container):
        return f"{container.get_state_display()} {container.state_reason}"


@admin.register(Movement)
class LedgerAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["at", "on", "kind", "container", "amount", "left", "who", "why"]
    list_filter = ["kind", "on"]
    list_select_related = ["container__reagent", "who"]
    search_fields = ["container__code", "container__reagent__name", "why"]

    @admin.display(description="change")
    def amount(self, line):
        return line.container.reagent.text_of(line.change)

    @admin.display(description="left after")
    def left(self, line):
        return line.container.reagent.text_of(line.balance_after)


@admin.register(Batch)
class BatchAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["pk", "preparation", "made_on", "made_by"]
    list_select_related = ["preparation__reagent", "made_by"]


@admin.register(Reservation)
class ReservationAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["reagent", "needed_on", "purpose", "returns"]
    list_select_related = ["reagent"]
    search_fields = ["reagent__name", "purpose"]


class PartInline(admin.TabularInline):
    model = PreparationPart
    extra = 0
    autocomplete_fields = ["reagent"]


@admin.register(Preparation)
class PreparationAdmin(admin.ModelAdmin):
    list_display = ["__str__", "reagent", "retired_on"]
    list_select_related = ["reagent"]
    search_fields = ["reagent__name", "name"]
    autocomplete_fields = ["reagent"]
    readonly_fields = ["retired_on"]
    inlines = [PartInline]


class OfferInline(admin.TabularInline):
    model = Offer
    extra = 0
    autocomplete_fields = ["reagent"]
    readonly_fields = ["retired_on"]


@admin.register(Supplier)
class SupplierAdmin(admin.ModelAdmin):
    list_display = ["name", "account", "retired_on"]
    search_fields = ["name"]
    readonly_fields = ["retired_on"]
    inlines = [OfferInline]


class OrderLineInline(admin.TabularInline):
    model = OrderLine
    extra = 0
    can_delete = False
    fields = readonly_fields = ["reagent", "packs", "pack_amount", "unit_price", "received_packs", "reason"]

    def has_add_permission(self, request, obj=None):
        return False


@admin.register(Order)
class OrderAdmin(admin.ModelAdmin):
    list_display = ["__str__", "state", "created_on", "approved_on", "ordered_on"]
    list_filter = ["state"]
    list_select_related = ["supplier"]
    readonly_fields = ["supplier", "created_by", "created_on", "approved_by", "approved_on"]
    inlines = [OrderLineInline]

    def has_add_permission(self, request):
        return False


@admin.register(WasteContainer)
class WasteContainerAdmin(KeptByTheLedger, admin.ModelAdmin):
    list_display = ["code", "stream", "location", "started_on", "closed_on", "collected_on"]
    list_select_related = ["location"]
    readonly_fields = ["code", "measure", "capacity", "contents", "location"]


@admin.register(WasteEntry)
class WasteEntryAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["added_on", "waste_container", "description", "who"]
    list_select_related = ["waste_container", "who"]


@admin.register(WasteCorrection)
class WasteCorrectionAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["at", "entry", "why", "who"]
    list_select_related = ["entry", "who"]


@admin.register(DrainEntry)
class DrainEntryAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["poured_on", "description", "permission", "who"]
    list_select_related = ["permission", "who"]


class CountLineInline(ReadOnly, admin.TabularInline):
    model = CountLine
    extra = 0


@admin.register(ContainerTest)
class ContainerTestAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["tested_on", "container", "outcome", "peroxide_ppm", "who"]
    list_select_related = ["container__reagent", "who"]


@admin.register(WrittenReason)
class WrittenReasonAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["on", "reagent", "who"]
    list_select_related = ["reagent", "who"]


@admin.register(DepartmentLimit)
class DepartmentLimitAdmin(admin.ModelAdmin):
    list_display = ["name", "scope", "measure", "most", "set_on", "retired_on"]

    def has_add_permission(self, request):
        return False


@admin.register(OwnWasteLimit)
class OwnWasteLimitAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["key", "value", "reason", "set_on"]


@admin.register(StockCount)
class StockCountAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["location", "started_on", "counted_by", "closed_on"]
    list_select_related = ["location", "counted_by"]
    inlines = [CountLineInline]


@admin.register(AnnualReview)
class AnnualReviewAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["started_on", "started_by", "signed_on", "signed_name"]
    list_select_related = ["started_by"]


@admin.register(DrainPermission)
class DrainPermissionAdmin(ReadOnly, admin.ModelAdmin):
    list_display = ["authority", "reference", "dated_on", "valid_until", "ended_on"]


@admin.register(Budget)
class BudgetAdmin(admin.ModelAdmin):
    list_display = ["name", "start", "end", "amount"]


@admin.register(Department)
class DepartmentAdmin(admin.ModelAdmin):
    list_display = ["name", "school", "country", "paper"]

    def has_add_permission(self, request):
        return not Department.objects.exists()

    def has_delete_permission(self, request, obj=None):
        return False
