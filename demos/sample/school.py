"""Loads the invented school into an empty database, relative to one day."""

import datetime

from django.contrib.auth import get_user_model
from django.db import transaction

from demos import sample
from demos.sample import history, library, purchases, read, shelves, term
from demos.sample.events import School


class SchoolError(Exception):
    """The school cannot be loaded; the message says what to do."""


@transaction.atomic
def load(today: datetime.date, passwords: dict[str, str]) -> None:
    """Everything or nothing. `passwords`: username -> password; nobody else can sign in.

    Raises SchoolError where the database has people in it already.
    """
    if get_user_model().objects.exists():
        raise SchoolError(
            "There are people in this database already, so the invented school is not loaded into it. "
            "Use an empty database: set DATA_DIR or DATABASE_URL to another place."
        )
    calendar = read.Calendar(today)
    data = read.toml("school.toml")
    people = shelves.people(passwords)
    shelves.department(data, calendar)
    reagents = shelves.Reagents()
    school = School(calendar, people, shelves.places(), shelves.suppliers(data), reagents)
    shelves.offers(reagents, school.suppliers, calendar)
    titles = library.load(reagents, [people[teacher.username] for teacher in sample.TEACHERS])
    shelves.reorder_points(reagents, read.toml("history.toml")["reorder_points"])
    history.tell(school, term.bookings(titles, people, calendar))
    purchases.safety_sheets(school)
