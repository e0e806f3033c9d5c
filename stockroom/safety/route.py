"""Which way a thing leaves the department, as a code: what it holds decides, never the words of a note."""

from stockroom.chemistry.species import DYE, identify
from stockroom.safety.sewer import sewer_barriers
from stockroom.safety.streams import APART, Stream, reactivity, stream_for
from stockroom.safety.waste import Waste, WasteRules, atoms_of, characterise, substances

DRAIN, COLLECT, TRASH, REUSE = "drain", "collect", "trash", "reuse"
EVAPORATE, SUPPLIER, ALONE, CALL = "evaporate", "supplier", "by_itself", "call"
ROUTES = {
    COLLECT: "Collect",
    ALONE: "Collect by itself",
    DRAIN: "Drain, if the sewer authority allows it",
    TRASH: "Trash, if local rules allow it",
    REUSE: "Use again",
    EVAPORATE: "Let it evaporate",
    SUPPLIER: "Back to the supplier",
    CALL: "Do not touch: call",
}
#: ways on which nobody collects it: the rules must find nothing against them
OPEN_WAYS = frozenset({DRAIN, TRASH})
#: alkali metals that grow an explosive crust on standing: NRC, Prudent Practices in the Laboratory (2011),
#: ch. 4; from memory
_CRUSTED = frozenset({"K", "Rb", "Cs"})
#: streams of dry things that may be trash where no hazard class applies
_PLAIN = frozenset({"solids", "solids_organic"})


def route_of(waste: Waste, rules: WasteRules | None = None) -> tuple[str, Stream]:
    """(code of the way, the stream it would be collected in). In doubt it is collected."""
    stream, _ = stream_for(waste, rules)
    groups = reactivity(waste)
    if groups & {"explosive", "picric"} or any(
        set(atoms_of(one.formula) or ()) <= _CRUSTED for one in waste.residue.undissolved
    ):
        return CALL, stream
    if groups & {"flammable_gas", "gas_pressure", "gas_toxic"} or _is_pressed(waste):
        return (EVAPORATE if "cryogenic" in groups else SUPPLIER), stream
    if stream.key == APART:
        return ALONE, stream
    if stream.key == "metal_pieces":
        return REUSE, stream
    if not open_way_barriers(waste, rules):
        return (TRASH if stream.key in _PLAIN else DRAIN), stream
    return COLLECT, stream


def _is_pressed(waste: Waste) -> bool:
    return any(key.startswith(("press_gas", "flam_gas", "ox_gas")) for key in waste.hazard_keys)


def open_way_barriers(waste: Waste, rules: WasteRules | None = None) -> tuple[str, ...]:
    """Every reason against the drain, for a dry thing against the trash; () where nothing is against it.

    Stricter than the sewer rules alone: whatever has a hazard class is collected. Own rule.
    """
    classes = ("it has a hazard class",) if waste.hazard_keys else ()
    if any(identify("", one.name, one.cas).kind == DYE for one in waste.residue.organics):
        classes += ("it is a dye",)
    if "sulfite" in reactivity(waste):
        classes += ("it gives off sulfur dioxide with acid",)
    stream, why = stream_for(waste, rules)
    if not waste.residue.volume_ul:
        plain = stream.key in _PLAIN and not characterise(waste, rules).hazardous
        return classes if plain else (*classes, f"it belongs to “{stream.name}” ({why})")
    barriers = tuple(barrier.why for barrier in sewer_barriers(waste, rules))
    if not substances(waste.residue) and not waste.residue.organics and waste.residue.ph is None:
        barriers += ("what it holds is not known",)
    return (*classes, *barriers)
