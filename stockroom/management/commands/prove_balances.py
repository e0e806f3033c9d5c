"""Prove that every container's balance is the sum of its ledger lines."""

from django.core.management.base import BaseCommand, CommandError

from stockroom.inventory.ledger import prove


class Command(BaseCommand):
    help = "Prove that every container's balance is the sum of its ledger lines; exits 1 where one is not."

    def handle(self, *args, **options):
        looked_at, wrong = prove()
        for row in wrong:
            self.stdout.write(f"{row.code}: balance {row.balance}, lines add up to {row.lines}")
        if wrong:
            raise CommandError(f"{len(wrong)} of {looked_at} containers do not agree with the ledger.")
        self.stdout.write(f"{looked_at} containers agree with the ledger.")
