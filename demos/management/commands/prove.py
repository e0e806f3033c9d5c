"""Prove everything that is derived: balances, waste, reservations, runs."""

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from demos.planning import proof
from stockroom.inventory import ledger
from stockroom.waste import proof as waste_proof


def _balances() -> tuple[int, list[str]]:
    looked_at, wrong = ledger.prove()
    return looked_at, [f"{row.code}: balance {row.balance}, lines add up to {row.lines}" for row in wrong]


class Command(BaseCommand):
    help = (
        "Prove that balances are the sum of their lines, waste containers of their entries, and that "
        "reservations and runs agree with the bookings; exits 1 where one does not."
    )

    def handle(self, *args, **options):
        failed = 0
        for name, (looked_at, wrong) in {
            "containers": _balances(),
            "waste containers": waste_proof.contents(),
            "bookings": proof.reservations(timezone.localdate()),
            "runs": proof.runs(),
        }.items():
            for line in wrong:
                self.stdout.write(line)
            self.stdout.write(f"{looked_at} {name} looked at, {len(wrong)} wrong.")
            failed += len(wrong)
        if failed:
            raise CommandError(f"{failed} do not agree. Write down what you see and ask for help.")
