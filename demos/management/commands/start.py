"""`manage.py start`: the app on the invented school, from nothing, on this machine only."""

import json
import secrets
import socket
import webbrowser
from pathlib import Path

from django.conf import settings
from django.contrib.auth import get_user_model
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from demos import sample
from stockroom.wsgi import application


class Command(BaseCommand):
    help = "Create the database, load the invented school into it if it is empty, and serve it on loopback."

    def add_arguments(self, parser):
        parser.add_argument("--port", type=int, default=8000)
        parser.add_argument("--no-browser", action="store_true", help="do not open a browser window")

    def handle(self, *args, port, no_browser, **options):
        import waitress

        call_command("migrate", verbosity=0)
        sign_ins = self.sign_ins()
        if get_user_model().objects.exists():
            self.stdout.write("The database has people in it already: it stays as it is.")
        else:
            self.stdout.write("Loading the invented school ...")
            call_command("load_school", passwords=json.dumps(sign_ins), verbosity=0)
        address = f"http://127.0.0.1:{port}/"
        with socket.socket() as probe:
            if probe.connect_ex(("127.0.0.1", port)) == 0:
                raise CommandError(f"Port {port} is taken: choose another, such as --port {port + 1}.")
        self.stdout.write(f"\nOpen {address} and sign in as\n")
        for person in sample.PEOPLE:
            if person.username in sign_ins:
                self.stdout.write(f"  {person.role:16} {person.username:12} {sign_ins[person.username]}")
        self.stdout.write("\nStop with Ctrl-C.")
        if not no_browser:
            webbrowser.open(address)
        waitress.serve(application, listen=f"127.0.0.1:{port}", threads=8, _quiet=True)

    def sign_ins(self) -> dict[str, str]:
        """Passwords made once for this machine and kept, so that a second start prints the same."""
        path = Path(settings.DATA_DIR) / "sign-ins.json"
        if not path.exists():
            made = {person.username: secrets.token_urlsafe(9) for person in sample.SIGN_INS}
            path.write_text(json.dumps(made))
            path.chmod(0o600)
        return json.loads(path.read_text())
