"""People, places and bottles that many tests start from."""

import datetime

import hypothesis
import pytest
from django.conf import settings
from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.db import connection, transaction
from django.test.utils import CaptureQueriesContext
from django.utils import timezone

from demos import sample
from demos.models import Booking, Demonstration, Ingredient, Period, Room, Topic
from demos.planning import booking as bookings
from demos.sample import school as invented
from stockroom.common.department import Department
from stockroom.inventory import ledger
from stockroom.inventory.models import Chemical, Component, Location, Reagent, Supplier
from stockroom.people import roles

# Machines differ in speed: a busy one is no failure. The same examples each time keep a red run repeatable.
hypothesis.settings.register_profile(
    "here", deadline=None, derandomize=True, suppress_health_check=[hypothesis.HealthCheck.too_slow]
)
hypothesis.settings.load_profile("here")

DATABASE_FIXTURES = {"db", "transactional_db", "live_server", "django_db_setup"}


def pytest_configure(config):
    # The real hasher is slow on purpose; most tests sign somebody in and none is about that.
    settings.PASSWORD_HASHERS = ["django.contrib.auth.hashers.MD5PasswordHasher"]
    # Every test client is a server of its own: it need not walk all static files before the first page.
    settings.WHITENOISE_AUTOREFRESH = True


def pytest_addoption(parser):
    parser.addoption("--database-only", action="store_true", help="only tests that touch the database")


def pytest_collection_modifyitems(config, items):
    if not config.getoption("--database-only"):
        return
    chosen = [
        item
        for item in items
        if item.get_closest_marker("django_db") or DATABASE_FIXTURES & set(getattr(item, "fixturenames", ()))
    ]
    config.hook.pytest_deselected(items=[item for item in items if item not in chosen])
    items[:] = chosen


@pytest.fixture
def today() -> datetime.date:
    return timezone.localdate()


@pytest.fixture
def every_day(db):
    """A department that works all week, so that a day asserted beside `today` is the same on any weekday."""
    department = Department.current()
    department.working_days = "0123456"
    department.save()


def _person(username: str, role: str):
    user = get_user_model().objects.create_user(username, password="a-long-phrase-7")
    user.groups.add(Group.objects.get(name=role))
    return user


@pytest.fixture
def head(db):
    return _person("head", roles.HEAD)


@pytest.fixture
def teacher(db):
    return _person("teacher", roles.TEACHER)


@pytest.fixture
def technician(db):
    return _person("technician", roles.TECHNICIAN)


@pytest.fixture
def shelf(db) -> Location:
    room = Location.objects.create(name="Prep room", level="room")
    cabinet = Location.objects.create(name="Tall cabinet", level="cabinet", parent=room)
    return Location.objects.create(name="Top shelf", level="shelf", parent=cabinet)


@pytest.fixture
def supplier(db) -> Supplier:
    return Supplier.objects.create(name="Northlight Supplies")


@pytest.fixture
def make_reagent(db):
    """`make_reagent("Sodium chloride", measure="mass", formula="NaCl", ...)`; further words go to Reagent."""

    def make(name="Sodium chloride", measure="mass", formula="", value=None, unit="pure", **fields):
        fields.setdefault("kind", "solid" if measure == "mass" else "solution")
        reagent = Reagent.objects.create(name=name, measure=measure, **fields)
        if formula:
            chemical, _ = Chemical.objects.get_or_create(
                name=f"{name} (substance)", defaults={"formula": formula}
            )
            Component.objects.create(reagent=reagent, chemical=chemical, value=value, unit=unit)
        return reagent

    return make


@pytest.fixture
def make_container(shelf, technician):
    """A container with `amount` in it, through the ledger."""

    def make(reagent, amount, **fields):
        place = fields.pop("location", shelf)
        return ledger.receive(reagent, place, amount, who=technician, **fields)

    return make


@pytest.fixture(scope="session")
def passwords() -> dict[str, str]:
    """Username -> password of the invented school's sign-ins, one a role."""
    return {person.username: f"{person.username} walks 7 miles" for person in sample.SIGN_INS}


@pytest.fixture(scope="module")
def school(django_db_setup, django_db_blocker, passwords) -> dict[str, str]:
    """The invented school as of today, loaded once for a file and rolled back after it; the passwords."""
    with django_db_blocker.unblock(), transaction.atomic():
        invented.load(timezone.localdate(), passwords)
        # Nothing is committed, so no planner would come to know how many rows there are now.
        with connection.cursor() as cursor:
            for table in connection.introspection.table_names(cursor):
                cursor.execute(f'ANALYZE "{table}"')
        yield passwords
        transaction.set_rollback(True)


@pytest.fixture
def keeper(client, technician):
    """A browser in which the technician is signed in."""
    client.force_login(technician)
    return client


@pytest.fixture
def count_queries():
    """`count_queries(client, url)`: how many queries the page takes."""

    def count(client, url, data=None):
        client.get(url, data)  # so that what is made or kept at the first visit does not count
        with CaptureQueriesContext(connection) as queries:
            assert client.get(url, data).status_code == 200
        return len(queries)

    return count


PASSWORDS = {"adeyemi": "paper-lamp-41", "fenwick": "green-stair-73"}
#: a Wednesday: the school's own data may not lean on the day the tests happen to run
LOADED_ON = datetime.date(2026, 3, 11)


@pytest.fixture(scope="module")
def loaded(django_db_setup, django_db_blocker):
    """The invented school, loaded once for a file and rolled back after it."""
    with django_db_blocker.unblock(), transaction.atomic():
        invented.load(LOADED_ON, PASSWORDS)
        yield LOADED_ON
        transaction.set_rollback(True)


@pytest.fixture
def room(db):
    return Room.objects.create(name="Lab 1", volume_m3=200, air_changes_per_hour=4)


@pytest.fixture
def period(db):
    return Period.objects.create(name="Period 1", start=datetime.time(9), end=datetime.time(10))


@pytest.fixture
def make_demonstration(db):
    """`make_demonstration("Title", [(reagent, first, repeat, group), ...])`."""

    def make(title="Cloudy to clear", ingredients=(), **fields):
        fields.setdefault("spill_percent", 0)
        demonstration = Demonstration.objects.create(
            title=title,
            summary="A pale solid thins out until the liquid is clear.",
            minutes=10,
            protection="Goggles, gloves.",
            clean_up="Collect.",
            **fields,
        )
        demonstration.topics.add(Topic.objects.get_or_create(name="Acids and bases")[0])
        for reagent, first, repeat, group in ingredients:
            Ingredient.objects.create(
                demonstration=demonstration,
                reagent=reagent,
                first_amount=first,
                repeat_amount=repeat,
                group_amount=group,
            )
        return demonstration

    return make


@pytest.fixture
def make_booking(room, period, teacher, today):
    """`make_booking(demonstration, days=3, showings=2, chosen={...})`."""

    def make(demonstration, days=3, chosen=None, **fields):
        fields = {"class_name": "10B", "room": room, "period": period, "teacher": teacher, **fields}
        booking = Booking(demonstration=demonstration, on=today + datetime.timedelta(days), **fields)
        return bookings.save(booking, chosen)

    return make
