"""Every noun of the stockroom, for Django; each lives in its room."""

from stockroom.common.amount_field import AmountField, Measure
from stockroom.common.append_only import WrittenOnceError
from stockroom.common.department import Department
from stockroom.hazards.models import ReagentHazard, SafetyDataSheet, WrittenReason
from stockroom.inspection.models import AnnualReview, ClosedError, ShelfWalk
from stockroom.inventory.models.chemical import Chemical, Synonym
from stockroom.inventory.models.container import Container
from stockroom.inventory.models.container_test import ContainerTest
from stockroom.inventory.models.count import CountLine, StockCount
from stockroom.inventory.models.location import Location, StorageKind
from stockroom.inventory.models.movement import LedgerError, Movement
from stockroom.inventory.models.preparation import Batch, Preparation, PreparationPart
from stockroom.inventory.models.reagent import Component, Reagent
from stockroom.inventory.models.reservation import Reservation
from stockroom.inventory.models.supplier import Offer, Supplier
from stockroom.inventory.models.waste_container import WasteContainer, WasteCorrection, WasteEntry
from stockroom.purchasing.models import Budget, Order, OrderLine
from stockroom.storage.models import DepartmentLimit
from stockroom.waste.models import DrainEntry, DrainPermission, OwnWasteLimit

__all__ = [
    "AmountField",
    "AnnualReview",
    "Batch",
    "Budget",
    "Chemical",
    "ClosedError",
    "Component",
    "Container",
    "ContainerTest",
    "CountLine",
    "Department",
    "DepartmentLimit",
    "DrainEntry",
    "DrainPermission",
    "LedgerError",
    "Location",
    "Measure",
    "Movement",
    "Offer",
    "Order",
    "OrderLine",
    "OwnWasteLimit",
    "Preparation",
    "PreparationPart",
    "Reagent",
    "ReagentHazard",
    "Reservation",
    "SafetyDataSheet",
    "ShelfWalk",
    "StockCount",
    "StorageKind",
    "Supplier",
    "Synonym",
    "WasteContainer",
    "WasteCorrection",
    "WasteEntry",
    "WrittenOnceError",
    "WrittenReason",
]
