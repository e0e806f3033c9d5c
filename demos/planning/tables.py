"""The list of bookings."""

import django_filters
import django_tables2 as tables
from django.db.models import Exists, OuterRef, Q
from django.utils.html import format_html

from demos.models import Booking, Demonstration
from stockroom.common.person import name_of
from stockroom.common.tables import DayColumn, ListFilter, NumberColumn


class BookingTable(tables.Table):
    on = DayColumn(verbose_name="Date", format="D j M Y", linkify=True, order_by=("on", "period__start"))
    period = tables.Column(order_by="period__start")
    demonstration = tables.Column(linkify=True, order_by="demonstration__title")
    class_name = tables.Column(verbose_name="Class")
    room = tables.Column(order_by="room__name")
    teacher = tables.Column(order_by=("teacher__last_name", "teacher__username"))
    showings = NumberColumn()
    state = tables.Column(orderable=False, verbose_name="State")

    caption, noun = "Bookings", "bookings"

    class Meta:
        order_by = "on"

    #: booking id -> Standing of the planned ones, set by the view for the page that is shown
    standing: dict = {}

    def render_teacher(self, value):
        return name_of(value)

    def render_state(self, record):
        if record.state != Booking.State.PLANNED:
            return format_html('<span class="state state-plain">{}</span>', record.get_state_display())
        if record.on < self.today:
            return format_html('<span class="state state-warn">{}</span>', "Over, not recorded yet")
        standing = self.standing[record.pk]
        return format_html('<span class="state state-{}">{}</span>', standing.state, standing.headline)


class BookingFilter(ListFilter):
    """Mine or everybody's; what is to come unless something else is asked for."""

    whose = django_filters.ChoiceFilter(
        label="Whose", empty_label="Everybody's", choices=[("mine", "Mine")], method="choose_whose"
    )
    when = django_filters.ChoiceFilter(
        label="When", empty_label="To come", choices=[("past", "Past"), ("all", "All")], method="show"
    )
    state = django_filters.ChoiceFilter(
        label="State",
        empty_label="Not canceled",
        choices=[*Booking.State.choices, ("any", "Any")],
        method="show",
    )

    class Meta:
        model = Booking
        fields = []

    def search(self, rows, name, value):
        for word in value.split()[:6]:
            topics = Demonstration.topics.through.objects.filter(
                demonstration=OuterRef("demonstration"), topic__name__icontains=word
            )
            rows = rows.filter(
                Q(demonstration__title__icontains=word)
                | Q(class_name__icontains=word)
                | Q(room__name__icontains=word)
                | Q(teacher__last_name__icontains=word)
                | Q(teacher__first_name__icontains=word)
                | Q(teacher__username__icontains=word)
                | Exists(topics)
            )
        return rows

    def choose_whose(self, rows, name, value):
        return rows.filter(teacher=self.request.user)

    def show(self, rows, name, value):
        return rows

    def filter_queryset(self, queryset):
        rows = super().filter_queryset(queryset)
        when, state = (self.form.cleaned_data.get(name) for name in ("when", "state"))
        if when == "past":
            rows = rows.filter(on__lt=self.today)
        elif when != "all":
            rows = rows.filter(on__gte=self.today)
        if not state:
            return rows.exclude(state=Booking.State.CANCELLED)
        return rows if state == "any" else rows.filter(state=state)
