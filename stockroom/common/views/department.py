"""The department's settings."""

from django.contrib import messages
from django.contrib.auth.decorators import permission_required
from django.db import transaction
from django.shortcuts import redirect, render
from django.urls import reverse

from stockroom.common.activity_log import note
from stockroom.common.department import Department
from stockroom.common.forms.department import DepartmentForm


@permission_required("stockroom.change_department", raise_exception=True)
def edit(request):
    department = Department.current()
    before = {name: getattr(department, name) for name in DepartmentForm.Meta.fields}
    form = DepartmentForm(request.POST or None, instance=department)
    if request.method == "POST" and form.is_valid():
        with transaction.atomic():
            form.save()
            changed = [
                f"{form[name].label.lower()} from {form.in_words(name, before[name])} "
                f"to {form.in_words(name, form.cleaned_data[name])}"
                for name in form.changed_data
            ]
            note(request.user, department, f"changed {'; '.join(changed)}" if changed else "saved as it was")
        messages.success(request, "The settings are saved.")
        return redirect("department-edit")
    context = {
        "form": form,
        "title": "Department",
        "lead": "Printed on every sheet, and used by the waste rules, the outlook and the reminders.",
        "submit": "Save the settings",
        "back": reverse("home"),
    }
    return render(request, "common/form.html", context)
