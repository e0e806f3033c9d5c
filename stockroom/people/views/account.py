"""People: list, add, names and roles, a new password, shut out and let in again."""

from django.contrib import messages
from django.contrib.admin.models import ADDITION
from django.contrib.auth import update_session_auth_hash
from django.contrib.auth.decorators import permission_required
from django.contrib.auth.forms import SetPasswordForm
from django.core.exceptions import PermissionDenied
from django.db import transaction
from django.shortcuts import get_object_or_404, redirect, render
from django.urls import reverse
from django.views.decorators.debug import sensitive_post_parameters
from django.views.decorators.http import require_POST

from stockroom.common.activity_log import note
from stockroom.common.person import name_of
from stockroom.common.views.listing import NounList
from stockroom.people.accounts import PeopleError, change_account, may_change, people, roles_of
from stockroom.people.forms.account import PersonAddForm, PersonForm
from stockroom.people.tables import PersonFilter, PersonTable

MANAGE = "stockroom.manage_users"


class PersonList(NounList):
    permission_required = MANAGE
    table_class, filterset_class = PersonTable, PersonFilter
    title = "People"
    lead = "Who may sign in, and as what."
    add = ("Add a person", "person-add", MANAGE)
    empty_text = "No people yet. Add the first."

    def get_queryset(self):
        return people()


def _page(request, form, title, submit, template="common/form.html", **more):
    context = {"form": form, "title": title, "submit": submit, "back": reverse("person-list"), **more}
    context["crumbs"] = [("People", reverse("person-list"))]
    return render(request, template, context)


@sensitive_post_parameters()
@permission_required(MANAGE, raise_exception=True)
def add(request):
    form = PersonAddForm(request.POST or None)
    if request.method == "POST" and form.is_valid():
        roles = form.cleaned_data["roles"]
        with transaction.atomic():
            person = form.save()
            change_account(person, roles=roles)
            note(request.user, person, f"added as {', '.join(roles)}", ADDITION)
        messages.success(request, f"{person} may sign in now. Ask them to change the password.")
        return redirect("person-list")
    return _page(request, form, "Add a person", "Add the person")


def _person(request, pk):
    """Somebody whose account this person may change; 403 for one that may do more."""
    person = get_object_or_404(people(), pk=pk)
    if not may_change(request.user, person):
        raise PermissionDenied("An administrator's account is changed by an administrator only.")
    return person


@permission_required(MANAGE, raise_exception=True)
def edit(request, pk):
    person = _person(request, pk)
    before = roles_of(person)
    form = PersonForm(request.POST or None, instance=person, initial={"roles": before})
    if request.method == "POST" and form.is_valid():
        try:
            with transaction.atomic():
                form.save()
                change_account(person, roles=form.cleaned_data["roles"])
                note(request.user, person, _what_changed(form, before))
        except PeopleError as error:
            form.add_error("roles", str(error))
        else:
            messages.success(request, f"{person} is saved.")
            return redirect("person-list")
    return _page(
        request,
        form,
        f"Change {name_of(person)}",
        "Save the person",
        "people/person_form.html",
        person=person,
        is_self=person == request.user,
    )


def _what_changed(form, before: list[str]) -> str:
    after = form.cleaned_data["roles"]
    words = [name for name in form.changed_data if name != "roles"]
    if set(before) != set(after):
        words.append(f"roles from {', '.join(before) or 'none'} to {', '.join(after)}")
    return f"changed: {'; '.join(words) or 'nothing'}"


@sensitive_post_parameters()
@permission_required(MANAGE, raise_exception=True)
def password(request, pk):
    person = _person(request, pk)
    form = SetPasswordForm(person, request.POST or None)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            form.save()
            note(request.user, person, "set a new password")
        if person == request.user:
            update_session_auth_hash(request, person)
        messages.success(request, f"{person} has a new password, and is signed out everywhere.")
        return redirect("person-list")
    title = f"New password for {name_of(person)}"
    return _page(request, form, title, "Set the password")


@require_POST
@permission_required(MANAGE, raise_exception=True)
def active(request, pk):
    """Shut a person out, or let one in again. What they did stays under their name."""
    person = _person(request, pk)
    now_active = not person.is_active
    if person == request.user:
        messages.error(request, "You cannot block your own sign-in: ask another department head.")
        return redirect("person-edit", person.pk)
    try:
        with transaction.atomic():
            change_account(person, active=now_active)
            note(request.user, person, "let in again" if now_active else "shut out")
    except PeopleError as error:
        messages.error(request, str(error))
        return redirect("person-edit", person.pk)
    messages.success(request, f"{person} {'may sign in again' if now_active else 'can no longer sign in'}.")
    return redirect("person-list")
