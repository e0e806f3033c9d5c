"""People, by the department head."""

from django import forms
from django.contrib.auth import get_user_model
from django.contrib.auth.forms import UserCreationForm

from stockroom.people.roles import ALL


class RolesMixin(forms.Form):
    roles = forms.MultipleChoiceField(
        choices=[(role, role) for role in ALL],
        widget=forms.CheckboxSelectMultiple,
        help_text="One or more. They decide what the person sees and may do.",
        error_messages={"required": "Choose at least one role: without one nothing can be done."},
    )


class PersonAddForm(RolesMixin, UserCreationForm):
    """The initial password is checked as any password; the person changes it after signing in."""

    class Meta:
        model = get_user_model()
        fields = ["username", "first_name", "last_name", "email"]

    field_order = ["username", "first_name", "last_name", "email", "roles", "password1", "password2"]


class PersonForm(RolesMixin, forms.ModelForm):
    class Meta:
        model = get_user_model()
        fields = ["first_name", "last_name", "email"]
