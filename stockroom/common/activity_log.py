"""Activity log, for acts that write no line in the ledger."""

from django.contrib.admin.models import CHANGE, LogEntry


def note(user, obj, text: str, flag: int = CHANGE) -> None:
    """Keep that `user` did `text` to `obj`. Flags are those of django.contrib.admin.models."""
    LogEntry.objects.log_actions(user.pk, [obj], flag, text, single_object=True)
