import django_tables2 as tables

from stockroom.common.tables import NumberColumn, RetirableFilter
from stockroom.inventory.models import Chemical
from stockroom.inventory.search import search_chemicals
from stockroom.templatetags.amounts import formula


class ChemicalTable(tables.Table):
    name = tables.Column(verbose_name="Chemical", linkify=True)
    formula = tables.Column(default="")
    cas_rn = tables.Column(verbose_name="CAS RN", default="")
    molar_mass = NumberColumn(verbose_name="Molar mass")
    reagents = NumberColumn(verbose_name="Reagents with it")

    caption, noun = "Chemicals", "chemicals"

    class Meta:
        order_by = "name"

    def render_formula(self, value):
        return formula(value)

    def render_molar_mass(self, value):
        return f"{value:.2f} g/mol"


class ChemicalFilter(RetirableFilter):
    class Meta:
        model = Chemical
        fields = []

    def search(self, rows, name, value):
        return search_chemicals(rows, value)
