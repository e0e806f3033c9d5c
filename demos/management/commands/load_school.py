"""`manage.py load_school`: the invented school, into an empty database."""

import json

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from demos import sample
from demos.sample import school


class Command(BaseCommand):
    help = "Load the invented school into an empty database, its dates relative to today."

    def add_arguments(self, parser):
        parser.add_argument(
            "--passwords",
            required=True,
            help='JSON of username to password, such as {"lindqvist": "..."}; nobody else can sign in.',
        )

    def handle(self, *args, passwords, **options):
        try:
            found = json.loads(passwords)
        except json.JSONDecodeError as error:
            raise CommandError(f"--passwords is not JSON: {error}") from error
        known = {person.username for person in sample.PEOPLE}
        if not isinstance(found, dict) or not set(found) <= known:
            raise CommandError(f"--passwords names people of the school only: {', '.join(sorted(known))}.")
        try:
            school.load(timezone.localdate(), found)
        except school.SchoolError as error:
            raise CommandError(str(error)) from error
        if options["verbosity"]:
            self.stdout.write("The invented school is loaded.")
