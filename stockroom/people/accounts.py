"""The people of the department: their roles, and who may change whose account."""

from django.contrib.auth import get_user_model
from django.contrib.auth.models import Group
from django.db import transaction
from django.db.models import QuerySet

from stockroom.people.roles import ALL, HEAD


class PeopleError(Exception):
    """A change that cannot be; the message says what to do instead."""


def people() -> QuerySet:
    return get_user_model().objects.prefetch_related("groups").order_by("last_name", "first_name", "username")


def roles_of(person) -> list[str]:
    """Its roles in the order of the table. Reads `groups`."""
    held = {group.name for group in person.groups.all()}
    return [role for role in ALL if role in held]


def may_change(actor, person) -> bool:
    """Nobody changes an account that may do more than their own: administrators see to each other."""
    if person.is_superuser:
        return actor.is_superuser
    return actor.is_superuser or actor.is_staff or not person.is_staff


@transaction.atomic
def settle(person, *, roles: list[str] | None = None, active: bool | None = None) -> None:
    """Set the roles, or whether the person may sign in. A department keeps at least one head.

    Roles are those of the table; any other group a person is in stays as it is.
    """
    # Locked first, so that two heads cannot take each other away at the same moment.
    groups = {group.name: group for group in Group.objects.select_for_update().filter(name__in=ALL)}
    if roles is not None:
        others = person.groups.exclude(name__in=ALL)
        person.groups.set([*others, *(groups[role] for role in roles)])
    if active is not None:
        person.is_active = active
        person.save(update_fields=["is_active"])
    if not get_user_model().objects.filter(groups=groups[HEAD], is_active=True).exists():
        raise PeopleError(
            "This is the last department head: make someone else a head first, so that one remains."
        )
