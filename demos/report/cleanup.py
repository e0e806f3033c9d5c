"""Where the remains of a demonstration go: the route its author coded, held against what is left."""

from dataclasses import dataclass

from demos.models import Demonstration
from demos.report import beaker
from stockroom.safety.route import OPEN_WAYS, ROUTES, route_of
from stockroom.safety.streams import streams
from stockroom.safety.waste import WasteRules


@dataclass(frozen=True)
class Way:
    """A route of safety/route.py, and the key of the stream that it is, or else would be, collected in."""

    route: str
    stream: str

    @property
    def words(self) -> str:
        """Such as "Collect, in “Acids in water”"."""
        return f"{ROUTES[self.route]}, in “{streams()[self.stream].name}”"


def computed(demonstration: Demonstration, rules: WasteRules | None = None) -> Way | None:
    """The way of what one showing leaves; None where nothing says what that is. Prefetch beaker.PREFETCH."""
    disposal = beaker.foresee(demonstration, rules=rules).disposal
    if disposal is None:
        return None
    way, stream = route_of(disposal.doubted, rules)
    return Way(way, stream.key)


def disagreements(demonstration: Demonstration, rules: WasteRules | None = None) -> tuple[str, ...]:
    """What the coded route says otherwise than the rules, in sentences; () where they agree or none is coded.

    To collect what the rules would let go is no disagreement, nor a stream whose containers take it too.
    """
    coded, stream = demonstration.cleanup_route, demonstration.cleanup_stream
    if not coded:
        return ()
    found = computed(demonstration, rules)
    if found is None:
        open_way = f"{ROUTES[coded]}: but nothing says what is left, so collect it."
        return (open_way,) if coded in OPEN_WAYS else ()
    if coded in OPEN_WAYS and found.route != coded:
        return (f"{ROUTES[coded]}: but by what is left it is: {found.words}.",)
    takes = streams()[stream].accepts | {stream} if stream in streams() else {found.stream}
    if coded not in OPEN_WAYS and found.stream not in takes:
        return (f"It says “{streams()[stream].name}”, but by what is left it is: {found.words}.",)
    return ()
