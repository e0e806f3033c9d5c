import django_filters
import django_tables2 as tables
from django.contrib.auth import get_user_model
from django.db.models import Q
from django.urls import reverse
from django.utils.html import format_html

from stockroom.common.person import name_of
from stockroom.common.tables import ListFilter
from stockroom.inventory.stock import Words
from stockroom.people.accounts import may_change, roles_of
from stockroom.people.roles import ALL
from stockroom.templatetags.amounts import words


class PersonTable(tables.Table):
    name = tables.Column(empty_values=(), order_by=("last_name", "first_name", "username"))
    username = tables.Column(verbose_name="Signs in as")
    roles = tables.Column(empty_values=(), orderable=False)
    email = tables.EmailColumn(default="")
    last_login = tables.DateTimeColumn(verbose_name="Last signed in", format="j M Y H:i", default="never")
    state = tables.Column(empty_values=(), order_by="-is_active")

    caption, noun = "People", "people"

    class Meta:
        order_by = "name"

    def render_name(self, record):
        name = name_of(record)
        if not may_change(self.request.user, record):
            return name
        return format_html('<a href="{}">{}</a>', reverse("person-edit", args=[record.pk]), name)

    def render_roles(self, record):
        roles = roles_of(record) + (["administrator"] if record.is_superuser or record.is_staff else [])
        return ", ".join(roles) or "none"

    def render_state(self, record):
        return words(Words("May sign in", "good") if record.is_active else Words("Block sign-in", "plain"))


class PersonFilter(ListFilter):
    role = django_filters.ChoiceFilter(
        label="Role", choices=[(role, role) for role in ALL], field_name="groups__name", empty_label="Any"
    )
    shown = django_filters.ChoiceFilter(
        label="Show",
        choices=[("out", "Block sign-in"), ("all", "All")],
        method="show",
        empty_label="May sign in",
    )

    class Meta:
        model = get_user_model()
        fields = []

    def search(self, rows, name, value):
        for word in value.split():
            rows = rows.filter(
                Q(username__icontains=word)
                | Q(first_name__icontains=word)
                | Q(last_name__icontains=word)
                | Q(email__icontains=word)
            )
        return rows

    def show(self, rows, name, value):
        return rows

    def filter_queryset(self, queryset):
        rows = super().filter_queryset(queryset)
        shown = self.form.cleaned_data.get("shown")
        return rows if shown == "all" else rows.filter(is_active=shown != "out")
