"""49 CFR 177.848: segregation of hazardous materials, cell by cell.

Source: Code of Federal Regulations, title 49, section 177.848(c), (d) and (e), as of 2023. The grid below was
typed from a public copy of the regulation's table, apart from the table the app reads; a reader of
the regulation's own XML counts 173 cells that are not blank.
"""

import pytest

from stockroom.safety.storage import Item, findings, segregation_table, transport_classes

CLASSES = [
    "1.1",
    "1.3",
    "1.4",
    "1.5",
    "1.6",
    "2.1",
    "2.2",
    "2.3A",
    "2.3B",
    "3",
    "4.1",
    "4.2",
    "4.3",
    "5.1",
    "5.2",
    "6.1A",
    "7",
    "8",
]
GRID = {
    "1.1": "*****XXXXXXXXXXXXX",
    "1.3": "*****X-XXX-XXXXX-X",
    "1.4": "*****O-OOO-O---O-O",
    "1.5": "*****XXXXXXXXXXXXX",
    "1.6": "*****-------------",
    "2.1": "XXOX---XO------OO-",
    "2.2": "X--X--------------",
    "2.3A": "XXOX-X---XXXXXX--X",
    "2.3B": "XXOX-O---OOOOOO--O",
    "3": "XXOX---XO----O-X--",
    "4.1": "X--X---XO------X-O",
    "4.2": "XXOX---XO------X-X",
    "4.3": "XX-X---XO------X-O",
    "5.1": "XX-X---XOO-----X-O",
    "5.2": "XX-X---XO------X-O",
    "6.1A": "XXOX-O---XXXXXX--X",
    "7": "X--X-O------------",
    "8": "XXOX---XO-OXOOOX--",
}


@pytest.mark.parametrize("row", CLASSES)
def test_every_cell_of_the_row(row):
    table = segregation_table()
    found = "".join(table[row, column] or "-" for column in CLASSES)
    assert found == GRID[row]


def test_cells_that_are_not_blank():
    assert sum(mark != "" for mark in segregation_table().values()) == 173


def test_table_is_symmetric():
    table = segregation_table()
    assert all(mark == table[other, one] for (one, other), mark in table.items())


def stands(name, transport):
    return Item(name, name, name, transport_class=transport, groups=frozenset({"inert"}), classified=True)


@pytest.mark.parametrize(
    ("one", "other", "mark"),
    [
        ("3", "5.1", "O"),
        ("5.1", "8", "O"),
        ("4.2", "8", "X"),
        ("2.3", "3", "X"),
        ("3", "8", ""),
        ("3", "9", ""),
    ],
)
def test_two_bottles_by_their_transport_class(one, other, mark):
    found = findings(stands("a", one), stands("b", other))
    assert [finding.rule[-1] for finding in found] == ([mark] if mark else [])


def test_subsidiary_class_counts_where_it_is_stricter():
    """177.848(e)(6): segregation appropriate to the subsidiary hazard when it is more restrictive."""
    assert transport_classes("8 (5.1)") == {"8", "5.1"}
    assert findings(stands("a", "8"), stands("b", "3")) == ()
    assert findings(stands("a", "8 (5.1)"), stands("b", "3"))[0].rule == "transport classes 3 and 5.1: O"


def test_corrosive_liquid_beside_class_4_or_5_is_no_matter_of_distance():
    """177.848(e)(3): notwithstanding the methods of separation employed, neither above nor adjacent."""
    found = findings(stands("a", "8"), stands("b", "5.1"))[0]
    assert found.severity == "serious"
    assert "neither above nor beside" in found.consequence


def test_only_packing_group_one_zone_a_of_6_1_is_in_the_table():
    """PHMSA interpretation 09-0252: other Division 6.1 materials have no restriction in the table."""
    assert transport_classes("6.1") == frozenset()
    assert findings(stands("a", "6.1"), stands("b", "3")) == ()
    assert findings(stands("a", "6.1A"), stands("b", "3"))[0].rule.endswith(": X")


def test_column_8_is_liquids_only():
    pellets = Item("a", "a", "a", transport_class="8", groups=frozenset({"solid"}), classified=True)
    assert findings(pellets, stands("b", "5.1")) == ()


def test_cyanides_not_with_acids():
    """177.848(c): cyanides may not be stored with acids if a mixture would generate hydrogen cyanide."""
    cyanide = Item(1, "cyanide", "c", groups=frozenset({"cyanide"}), transport_class="6.1")
    acid = Item(2, "acid", "a", groups=frozenset({"acid_dilute"}), transport_class="none")
    found = findings(cyanide, acid)
    assert found[0].severity == "severe"
    assert "49 CFR 177.848(c)" in {finding.source for finding in found}
