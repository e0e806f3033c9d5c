"""Choosing a place for what has come: the safest first, and no conflict without a tick."""

from django import forms

from stockroom.hazards.reactivity import item_of
from stockroom.inventory.models import Location, Reagent, StorageKind
from stockroom.safety.storage import Conflict, PlaceAdvice, wanted_kind
from stockroom.storage.advice import conflicts_at, places_for, refusal_at
from stockroom.wording.sentences import and_more

TICK = "Put it there anyway: someone is about to move one of the two"


class PlacedMixin(forms.Form):
    """For forms with a `location` in which a reagent is put down."""

    def offer_places(self, reagent: Reagent) -> None:
        """List the places by safety. Choose the best where none is chosen, or the rules refuse it."""
        advice = places_for(reagent)
        groups: dict[str, list] = {}
        for one in advice:
            groups.setdefault(_group(one, reagent), []).append((one.place.id, _words(one)))
        self.fields["location"].widget.choices = [("", "---------"), *groups.items()]
        refused = {one.place.id for one in advice if one.refused}
        if self.initial.get("location") in refused:
            del self.initial["location"]
        if advice and advice[0].safe and not self.initial.get("location"):
            self.initial["location"] = advice[0].place.id

    def check_place(self, reagent: Reagent | None) -> None:
        """Ask for a tick where it must not stand. Call from `clean`."""
        location = self.cleaned_data.get("location")
        if reagent is None or location is None:
            return
        found = conflicts_at(reagent, location)
        against = refusal_at(reagent, location)
        if not found and not against:
            return
        self.fields["despite"] = forms.BooleanField(label=TICK, required=False)
        if self.data.get(self.add_prefix("despite")):
            return
        if against:
            words = (
                f"It must not be stored there: {against.consequence} ({against.rule}). Choose another place."
            )
            self.add_error("location", words)
        if found:
            worst = found[0]
            more = f" And {len(found) - 1} more there." if len(found) > 1 else ""
            self.add_error(
                "location",
                f"It must not be stored {_beside(worst, location)} {worst.item_b.name}: {worst.consequence}. "
                f"{worst.apart} "
                f"({worst.rule}).{more} "
                "Choose another place, or tick the box at the end.",
            )


def _beside(conflict: Conflict, location: Location) -> str:
    return "beside" if conflict.place.id == location.pk else "in one cabinet with"


def _group(one: PlaceAdvice, reagent: Reagent) -> str:
    if one.refused:
        return "It must not be stored here"
    if one.kind_suits:
        return "Safe for it"
    kind = StorageKind(wanted_kind(item_of(reagent)))
    return f"Nothing against it, but it asks for: {kind.label.lower()}"


def _words(one: PlaceAdvice) -> str:
    if not one.refused:
        return one.place.name
    if not one.conflicts:
        return f"{one.place.name}: {one.refusal.rule}"
    names = [conflict.item_b.name for conflict in one.conflicts]
    return f"{one.place.name}: not beside {and_more(names, 1)}"
