"""A demonstration with all its rows on one screen, saved whole or not at all."""

from django import forms
from django.core.exceptions import ValidationError
from django.core.validators import MaxValueValidator
from django.db import transaction

from demos.models import Alternative, Demonstration, Equipment, Ingredient, Reaction, Step, Topic
from demos.report.forms.equation import WIDE, ReactionForm
from stockroom.chemistry.aqueous import COLDEST, HOTTEST
from stockroom.chemistry.quantity import format_amount
from stockroom.common.forms.edit_conflict import SinceOpenedMixin
from stockroom.inventory.forms.amount import EXACT, AmountFormField, resolve_amount
from stockroom.inventory.forms.autocomplete import ReagentField
from stockroom.inventory.models import Reagent
from stockroom.safety.streams import streams

MOST_ROWS = 60
MAX_WORDS = 5000
_TEXTS = ("explanation", "protection", "ventilation_note", "ignition_note", "safety_note", "clean_up")


def _text_of(reagent: Reagent, amount: int | None) -> str:
    """An amount as it is shown in a form: exact, so that saving again changes nothing."""
    return format_amount(amount, reagent.measure, figures=EXACT) if amount else ""


def _streams():
    yield "", "---------"
    for stream in streams().values():
        yield stream.key, stream.name


class DemonstrationForm(SinceOpenedMixin, forms.ModelForm):
    opened_with = ("ingredients", "equipment", "steps", "reactions")
    new_topics = forms.CharField(
        label="Other topics",
        required=False,
        max_length=200,
        help_text="Not in the list yet; commas between them.",
    )

    sections = (
        (
            "What it is",
            ("title", "summary", "audience", "minutes", "prep_minutes", "spill_percent", "source_note"),
        ),
        ("Topics", ("topics", "new_topics")),
        ("What it shows", ("explanation",)),
        (
            "Safety and cleanup",
            (
                "protection",
                "ventilation",
                "ventilation_note",
                "ignition_note",
                "distance_m",
                "safety_note",
                "clean_up",
                "cleanup_route",
                "cleanup_stream",
            ),
        ),
    )

    class Meta:
        model = Demonstration
        fields = [
            "title",
            "summary",
            "topics",
            "audience",
            "minutes",
            "prep_minutes",
            "spill_percent",
            "explanation",
            "protection",
            "ventilation",
            "ventilation_note",
            "ignition_note",
            "distance_m",
            "safety_note",
            "clean_up",
            "cleanup_route",
            "cleanup_stream",
            "source_note",
        ]
        help_texts = {"spill_percent": "Spare on top of what is used up."}
        widgets = {
            "title": forms.TextInput(attrs=WIDE),
            "source_note": forms.TextInput(attrs=WIDE),
            "summary": forms.Textarea(attrs={"rows": 2}),
            "topics": forms.CheckboxSelectMultiple,
            "cleanup_stream": forms.Select(choices=_streams),
            **{name: forms.Textarea(attrs={"rows": 3}) for name in _TEXTS},
        }

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        self.fields["topics"].required = False
        self.fields["topics"].label = "It belongs to"
        self.fields["explanation"].label = "What happens, and why"
        for name in _TEXTS:
            self.fields[name].max_length = MAX_WORDS
            self.fields[name].validators.append(_at_most_words)
        for name, most in (("minutes", 600), ("prep_minutes", 10_000), ("distance_m", 100)):
            self.fields[name].validators.append(MaxValueValidator(most))

    def clean_cleanup_stream(self):
        key = self.cleaned_data["cleanup_stream"]
        if key and key not in streams():
            raise ValidationError("Choose a stream from the list.")
        return key

    def rows_beside(self):
        others = Alternative.objects.filter(ingredient__demonstration=self.instance).order_by("pk")
        topics = self.instance.topics.order_by("pk").values_list("pk", flat=True)
        named = others.values_list("ingredient", "reagent", "amount", "per_amount", "note")
        return [*super().rows_beside(), list(topics), list(named)]

    def parts(self):
        """(title, bound fields) of each part of the form."""
        for title, names in self.sections:
            yield title, [self[name] for name in names]

    def clean_title(self):
        title = " ".join(self.cleaned_data["title"].split())
        same = Demonstration.objects.filter(title__iexact=title).exclude(pk=self.instance.pk).first()
        if same:
            raise ValidationError(f"There is a demonstration “{same}” already: change that one.")
        return title

    def clean_new_topics(self):
        names = [" ".join(name.split()) for name in self.cleaned_data["new_topics"].split(",")]
        names = list(dict.fromkeys(name for name in names if name))
        if any(len(name) > 60 for name in names):
            raise ValidationError("A topic has 60 characters at most.")
        return names

    def clean(self):
        got = super().clean()
        if (
            not got.get("topics")
            and not got.get("new_topics")
            and not {"topics", "new_topics"} & set(self.errors)
        ):
            self.add_error("topics", "Choose a topic, or name one beside.")
        return got


def _at_most_words(text: str) -> None:
    if len(text) > MAX_WORDS:
        raise ValidationError(f"That is too long: {MAX_WORDS} characters at most.")


class IngredientForm(forms.Form):
    reagent = ReagentField()
    first = AmountFormField(label="First showing", required=False, least=0)
    repeat = AmountFormField(label="Each repeat", required=False, least=0)
    group = AmountFormField(label="Each group", required=False, least=0)
    note = forms.CharField(required=False, max_length=200)
    returns = forms.BooleanField(label="Comes back", required=False)

    def clean(self):
        got = super().clean()
        if reagent := got.get("reagent"):
            for name in ("first", "repeat", "group"):
                resolve_amount(self, name, reagent, least=0)
            if not self.errors and not any(got.get(name) for name in ("first", "repeat", "group")):
                self.add_error("first", "Enter how much it takes, here or for a repeat or a group.")
        return got


class AlternativeForm(forms.Form):
    usual = ReagentField(label="Instead of")
    reagent = ReagentField(label="Take")
    amount = AmountFormField(label="This much of it")
    per_amount = AmountFormField(label="for each")
    note = forms.CharField(label="What changes", required=False, max_length=200)

    def clean(self):
        got = super().clean()
        resolve_amount(self, "amount", got.get("reagent"))
        resolve_amount(self, "per_amount", got.get("usual"))
        if got.get("usual") and got.get("usual") == got.get("reagent"):
            self.add_error("reagent", "This is the usual one: name another.")
        return got


class EquipmentForm(forms.Form):
    name = forms.CharField(max_length=120, widget=forms.TextInput(attrs=WIDE))
    quantity = forms.IntegerField(min_value=1, max_value=999, initial=1)


class StepForm(forms.Form):
    number = forms.IntegerField(label="Step", required=False, min_value=1, max_value=999)
    text = forms.CharField(label="What to do", max_length=MAX_WORDS, widget=forms.Textarea(attrs={"rows": 2}))
    adds = ReagentField(label="It adds", required=False)
    adds_amount = AmountFormField(label="How much", required=False)
    portions = forms.IntegerField(min_value=1, max_value=50, initial=1)
    temperature_c = forms.DecimalField(
        label="At (°C)", required=False, min_value=COLDEST, max_value=HOTTEST, max_digits=4, decimal_places=1
    )

    def clean(self):
        got = super().clean()
        resolve_amount(self, "adds_amount", got.get("adds"))
        if got.get("adds_amount") and not got.get("adds") and "adds" not in self.errors:
            self.add_error("adds", "Say which ingredient this is an amount of.")
        return got


class RowSet(forms.BaseFormSet):
    """Rows of one kind; those ticked for removal are left out of `rows`."""

    deletion_widget = forms.CheckboxInput

    def add_fields(self, form, index):
        super().add_fields(form, index)
        form.fields["DELETE"].label = "Remove"

    @property
    def kept(self) -> list[forms.Form]:
        return [form for form in self.forms if form.has_changed() and form not in self.deleted_forms]

    @property
    def rows(self) -> list[dict]:
        return [form.cleaned_data for form in self.kept]


def _row_set(form, extra):
    return forms.formset_factory(
        form, formset=RowSet, extra=extra, can_delete=True, max_num=MOST_ROWS, absolute_max=MOST_ROWS + 1
    )


KINDS = {
    "ingredients": _row_set(IngredientForm, 2),
    "alternatives": _row_set(AlternativeForm, 1),
    "equipment": _row_set(EquipmentForm, 2),
    "steps": _row_set(StepForm, 2),
    "reactions": _row_set(ReactionForm, 1),
}


class DemonstrationScreen:
    """The form of a demonstration and its five sets of rows, validated and saved together."""

    def __init__(self, data, instance: Demonstration):
        self.form = DemonstrationForm(data, instance=instance)
        # Rows that are sent speak for themselves: an unchanged one is one to keep.
        initial = rows_of(instance) if instance.pk and data is None else {}
        self.sets = {name: kind(data, prefix=name, initial=initial.get(name)) for name, kind in KINDS.items()}
        for rows in self.sets.values():
            if rows.initial_form_count():
                rows.extra = 1

    def is_valid(self) -> bool:
        """Every form by itself, then what one set says of another."""
        # A list, so that every form is asked and every message shown.
        if not all([self.form.is_valid(), *(rows.is_valid() for rows in self.sets.values())]):
            return False
        self._check_together()
        return not any(form.errors for rows in self.sets.values() for form in rows.kept)

    def _check_together(self) -> None:
        named: set[int] = set()
        had = (
            set(self.form.instance.ingredients.values_list("reagent", flat=True))
            if self.form.instance.pk
            else set()
        )
        for form in self.sets["ingredients"].kept:
            reagent = form.cleaned_data["reagent"]
            if reagent.pk in named:
                form.add_error("reagent", "It is among the ingredients already: put both amounts in one row.")
            elif reagent.retired_on and reagent.pk not in had:
                form.add_error("reagent", f"{reagent} is retired: choose another, or bring it back first.")
            named.add(reagent.pk)
        pairs = set()
        for form in self.sets["alternatives"].kept:
            usual, reagent = form.cleaned_data["usual"], form.cleaned_data["reagent"]
            if usual.pk not in named:
                form.add_error("usual", "This is not among the ingredients above.")
            if (usual.pk, reagent.pk) in pairs:
                form.add_error("reagent", "This alternative is listed already.")
            pairs.add((usual.pk, reagent.pk))
        for form in self.sets["steps"].kept:
            adds = form.cleaned_data["adds"]
            if adds and adds.pk not in named:
                form.add_error("adds", "This is not among the ingredients above.")

    @property
    def has_errors(self) -> bool:
        return bool(self.form.errors) or any(
            any(form.errors for form in rows) or rows.non_form_errors()
            for rows in self.sets.values()
            if rows.is_bound
        )

    @transaction.atomic
    def save(self) -> Demonstration:
        """Write everything. The rows are those of the screen afterwards, nothing else."""
        demonstration = self.form.save(commit=False)
        demonstration.save()
        topics = list(self.form.cleaned_data["topics"])
        for name in self.form.cleaned_data["new_topics"]:
            same = Topic.objects.filter(name__iexact=name).first()
            topics.append(same or Topic.objects.create(name=name))
        demonstration.topics.set(topics)
        ingredients = self._save_ingredients(demonstration)
        self._save_steps(demonstration, ingredients)
        demonstration.equipment.all().delete()
        Equipment.objects.bulk_create(
            Equipment(demonstration=demonstration, name=row["name"], quantity=row["quantity"])
            for row in self.sets["equipment"].rows
        )
        demonstration.reactions.all().delete()
        Reaction.objects.bulk_create(
            Reaction(demonstration=demonstration, equation=row["equation"], note=row["note"])
            for row in self.sets["reactions"].rows
        )
        return demonstration

    def _save_ingredients(self, demonstration) -> dict[int, Ingredient]:
        """Ingredients by their reagent's id. One that stays keeps its row, and what bookings chose for it."""
        rows = {row["reagent"].pk: row for row in self.sets["ingredients"].rows}
        demonstration.ingredients.exclude(reagent__in=rows).delete()
        found = {}
        for key, row in rows.items():
            found[key], _ = Ingredient.objects.update_or_create(
                demonstration=demonstration,
                reagent=row["reagent"],
                defaults={
                    "first_amount": row["first"] or 0,
                    "repeat_amount": row["repeat"] or 0,
                    "group_amount": row["group"] or 0,
                    "returns": row["returns"],
                    "note": row["note"],
                },
            )
        Alternative.objects.filter(ingredient__demonstration=demonstration).delete()
        Alternative.objects.bulk_create(
            Alternative(
                ingredient=found[row["usual"].pk],
                reagent=row["reagent"],
                amount=row["amount"],
                per_amount=row["per_amount"],
                note=row["note"],
            )
            for row in self.sets["alternatives"].rows
        )
        return found

    def _save_steps(self, demonstration, ingredients) -> None:
        """Steps by their numbers, those without one last, numbered again from 1."""
        rows = sorted(self.sets["steps"].rows, key=lambda row: row["number"] or 1000)
        demonstration.steps.all().delete()
        Step.objects.bulk_create(
            Step(
                demonstration=demonstration,
                number=number,
                text=row["text"],
                adds=ingredients[row["adds"].pk] if row["adds"] else None,
                adds_amount=row["adds_amount"],
                portions=row["portions"],
                temperature_c=row["temperature_c"],
            )
            for number, row in enumerate(rows, start=1)
        )


def rows_of(demonstration: Demonstration) -> dict[str, list[dict]]:
    """What stands in the database, as the sets of rows show it."""
    ingredients = demonstration.ingredients.select_related("reagent").prefetch_related(
        "alternatives__reagent"
    )
    steps = demonstration.steps.select_related("adds__reagent")
    return {
        "ingredients": [
            {
                "reagent": row.reagent.name,
                "first": _text_of(row.reagent, row.first_amount),
                "repeat": _text_of(row.reagent, row.repeat_amount),
                "group": _text_of(row.reagent, row.group_amount),
                "note": row.note,
                "returns": row.returns,
            }
            for row in ingredients
        ],
        "alternatives": [
            {
                "usual": row.reagent.name,
                "reagent": other.reagent.name,
                "amount": _text_of(other.reagent, other.amount),
                "per_amount": _text_of(row.reagent, other.per_amount),
                "note": other.note,
            }
            for row in ingredients
            for other in row.alternatives.all()
        ],
        "equipment": list(demonstration.equipment.values("name", "quantity")),
        "steps": [
            {
                "number": row.number,
                "text": row.text,
                "adds": row.adds.reagent.name if row.adds else "",
                "adds_amount": _text_of(row.adds.reagent, row.adds_amount) if row.adds else "",
                "portions": row.portions,
                "temperature_c": None if row.temperature_c is None else f"{row.temperature_c:g}",
            }
            for row in steps
        ],
        "reactions": list(demonstration.reactions.values("equation", "note")),
    }
