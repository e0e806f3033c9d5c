"""What stands on the shelves, one file a noun."""

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

__all__ = [
    "Batch",
    "Chemical",
    "Component",
    "Container",
    "ContainerTest",
    "CountLine",
    "LedgerError",
    "Location",
    "Movement",
    "Offer",
    "Preparation",
    "PreparationPart",
    "Reagent",
    "Reservation",
    "StockCount",
    "StorageKind",
    "Supplier",
    "Synonym",
    "WasteContainer",
    "WasteCorrection",
    "WasteEntry",
]
