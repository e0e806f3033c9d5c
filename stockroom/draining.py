"""What the sewer authority's letters allow on a day, as the rules of `safety.sewer` see it."""

import datetime

from stockroom.models import DrainPermission
from stockroom.safety.sewer import SewerPermission


def valid_on(on: datetime.date) -> list[DrainPermission]:
    """Every letter that holds on the day, the one that allows most first. One query."""
    rows = DrainPermission.objects.filter(dated_on__lte=on, valid_until__gte=on)
    holding = [row for row in rows.select_related("recorded_by") if row.is_valid(on)]
    return sorted(holding, key=lambda row: not row.after_neutralising)


def permission_on(on: datetime.date) -> SewerPermission | None:
    """None where no letter holds on the day: then everything is collected."""
    holding = valid_on(on)
    if not holding:
        return None
    row = holding[0]
    return SewerPermission(
        allowed=True,
        reference=str(row),
        recorded_by=row.recorded_by.get_full_name() or row.recorded_by.get_username(),
        recorded_on=row.recorded_on,
        after_neutralising=row.after_neutralising,
    )
