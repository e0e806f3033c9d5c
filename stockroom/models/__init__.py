"""The nouns of the stockroom, one file each."""

from stockroom.models.ageing import ContainerTest
from stockroom.models.amount import AmountField, Measure
from stockroom.models.annual_review import AnnualReview, ClosedError, ShelfWalk
from stockroom.models.chemical import Chemical, Synonym
from stockroom.models.container import Container
from stockroom.models.count import CountLine, StockCount
from stockroom.models.department import Department
from stockroom.models.drain import DrainEntry, DrainPermission
from stockroom.models.hazard import ReagentHazard, SafetyDataSheet
from stockroom.models.ledger import LedgerError, Movement
from stockroom.models.limit import DepartmentLimit, OwnWasteLimit, WrittenReason
from stockroom.models.location import Location, StorageKind
from stockroom.models.once import WrittenOnceError
from stockroom.models.order import Budget, Order, OrderLine
from stockroom.models.preparation import Batch, Preparation, PreparationPart
from stockroom.models.reagent import Component, Reagent
from stockroom.models.reservation import Reservation
from stockroom.models.supplier import Offer, Supplier
from stockroom.models.waste import WasteContainer, WasteCorrection, WasteEntry

__all__ = [
    "AmountField",
    "AnnualReview",
    "Batch",
    "Budget",
    "Chemical",
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
    "ClosedError",
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
