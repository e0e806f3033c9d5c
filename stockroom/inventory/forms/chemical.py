"""Chemicals, with their synonyms on the same screen."""

from django import forms
from django.core.exceptions import ValidationError
from django.db import transaction

from stockroom.chemistry.formula import FormulaError, check_cas
from stockroom.common.forms.edit_conflict import SinceOpenedMixin
from stockroom.inventory.models import Chemical, Synonym

MAX_SYNONYMS = 40


class ChemicalForm(SinceOpenedMixin, forms.ModelForm):
    opened_with = ("synonyms",)

    # Longer than the column: people paste "CAS RN: 7664-93-9", and clean_cas_rn takes the number out of it.
    cas_rn = forms.CharField(
        required=False, max_length=40, label="CAS RN", help_text="As on the label, such as 7664-93-9."
    )
    synonyms = forms.CharField(
        required=False,
        max_length=4000,
        widget=forms.Textarea(attrs={"rows": 4}),
        help_text="Other names people look for, one a line.",
    )

    class Meta:
        model = Chemical
        fields = ["name", "synonyms", "cas_rn", "formula", "note"]

    def __init__(self, *args, **kwargs):
        super().__init__(*args, **kwargs)
        if self.instance.pk:
            self.initial["synonyms"] = "\n".join(s.name for s in self.instance.synonyms.all())

    def clean_name(self):
        name = " ".join(self.cleaned_data["name"].split())
        same = Chemical.objects.filter(name__iexact=name).exclude(pk=self.instance.pk)
        if same.exists():
            raise ValidationError(f"There is a chemical “{same[0]}” already: change that one.")
        return name

    def clean_cas_rn(self):
        # In its usual form before it is compared with those of the others.
        text = self.cleaned_data["cas_rn"]
        if not text:
            return None
        try:
            number = check_cas(text)
        except FormulaError as error:
            raise ValidationError(str(error)) from error
        same = Chemical.objects.filter(cas_rn=number).exclude(pk=self.instance.pk).first()
        if same:
            raise ValidationError(f"CAS RN {number} is that of “{same}” already: check both.")
        return number

    def clean_synonyms(self):
        names: dict[str, str] = {}
        for line in self.cleaned_data["synonyms"].splitlines():
            name = " ".join(line.split())
            if len(name) > 160:
                raise ValidationError(f"“{name[:40]}…” is too long: use 160 letters at most.")
            if name:
                names.setdefault(name.casefold(), name)
        if len(names) > MAX_SYNONYMS:
            raise ValidationError(f"Keep the {MAX_SYNONYMS} most used.")
        return list(names.values())

    @transaction.atomic
    def save(self, commit=True):
        chemical = super().save(commit)
        wanted = self.cleaned_data["synonyms"]
        chemical.synonyms.exclude(name__in=wanted).delete()
        there = set(chemical.synonyms.values_list("name", flat=True))
        Synonym.objects.bulk_create(Synonym(chemical=chemical, name=n) for n in wanted if n not in there)
        return chemical
