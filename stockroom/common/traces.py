"""What is written down of each fault and refusal: a line of JSON, with the number that its page shows."""

import datetime
import json
import logging
import secrets

from django.shortcuts import render


def fault_number() -> str:
    """Short enough to be read out on the telephone: no letter that looks like a digit."""
    letters = [secrets.choice("23456789ABCDEFGHJKMNPQRSTUVWXYZ") for _ in range(8)]
    return f"{''.join(letters[:4])}-{''.join(letters[4:])}"


def fault(request):
    """The page of a fault of the server, under a number that its line in the log bears too."""
    request.fault_number = fault_number()
    return render(None, "500.html", {"number": request.fault_number}, status=500)


class JsonLines(logging.Formatter):
    """A record as one line of JSON. Who it was is a key of the table of people, never a name."""

    def format(self, record: logging.LogRecord) -> str:
        at = datetime.datetime.fromtimestamp(record.created, datetime.UTC)
        line = {
            "at": at.isoformat(timespec="milliseconds"),
            "level": record.levelname,
            "from": record.name,
            "said": record.getMessage(),
            "status": getattr(record, "status_code", None),
            **self._asked(getattr(record, "request", None)),
        }
        if record.exc_info:
            line["trace"] = self.formatException(record.exc_info)
        return json.dumps({key: value for key, value in line.items() if value is not None}, default=str)

    @staticmethod
    def _asked(request) -> dict:
        if not hasattr(request, "method"):
            return {}
        # The person is named only where somebody has asked who it is: asking may need the broken database.
        person = getattr(request, "_cached_user", None)
        return {
            "method": request.method,
            "path": request.path,
            "person": getattr(person, "pk", None),
            "fault": getattr(request, "fault_number", None),
        }
