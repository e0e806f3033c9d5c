"""Write the beaker's equilibrium database again, after a change of what it is derived from."""

from pathlib import Path

from django.core.management.base import BaseCommand

from stockroom.chemistry import published
from stockroom.chemistry.database import derived_text


class Command(BaseCommand):
    help = "Write stockroom/chemistry/tables/beaker.dat again; chemistry/database.py says from what."

    def handle(self, *args, **options):
        path = Path(published.__file__).parent / "tables" / "beaker.dat"
        path.write_text(derived_text(), encoding="utf-8")
