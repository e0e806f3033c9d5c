"""Write the beaker's equilibrium databases again, after a change of what they are derived from."""

from pathlib import Path

from django.core.management.base import BaseCommand

from stockroom.chemistry import published
from stockroom.chemistry.database import DERIVED


class Command(BaseCommand):
    help = "Write the .dat files of stockroom/chemistry/tables again; chemistry/database.py says from what."

    def handle(self, *args, **options):
        for name, derived in DERIVED.items():
            path = Path(published.__file__).parent / "tables" / name
            path.write_text(derived(), encoding="utf-8")
