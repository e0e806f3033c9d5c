"""Two processes draw from one container at once; only what is there can leave it."""

import os
import subprocess
import sys
import textwrap

import pytest
from django.conf import settings
from django.db import connection

from stockroom.inventory import ledger
from stockroom.inventory.models import Container

DRAW = textwrap.dedent("""
    import os, sys
    import django
    from django.conf import settings
    from django.db import connection
    django.setup()
    settings.DATABASES["default"]["NAME"] = connection.settings_dict["NAME"] = sys.argv[1]
    from django.contrib.auth import get_user_model
    from stockroom import ledger
    from stockroom.models import Container, LedgerError
    who = get_user_model().objects.get(pk=int(sys.argv[3]))
    container = Container.objects.get(pk=int(sys.argv[2]))
    print("ready", flush=True)
    sys.stdin.readline()
    drawn = refused = 0
    for _ in range(30):
        try:
            ledger.draw(container, 7, who=who, why="both at once")
            drawn += 1
        except LedgerError:
            refused += 1
    print(drawn, refused)
""")


@pytest.mark.django_db(transaction=True)
def test_two_processes_cannot_draw_what_is_not_there(make_reagent, shelf, transactional_db, tmp_path):
    from django.contrib.auth import get_user_model

    who = get_user_model().objects.create_user("both")
    bottle = ledger.receive(make_reagent(), shelf, 300, who=who)
    name = str(connection.settings_dict["NAME"])
    assert "memory" not in name, "another process cannot open a database in memory"
    start = [sys.executable, "-c", DRAW, name, str(bottle.pk), str(who.pk)]
    people = [
        subprocess.Popen(
            start,
            cwd=settings.BASE_DIR,
            env=os.environ | {"DJANGO_SETTINGS_MODULE": "stockroom.settings"},
            stdin=subprocess.PIPE,
            stdout=subprocess.PIPE,
            text=True,
        )
        for _ in range(2)
    ]
    for person in people:
        assert person.stdout.readline() == "ready\n"
    for person in people:
        person.stdin.write("go\n")
        person.stdin.flush()
    results = [tuple(map(int, person.communicate(timeout=60)[0].split())) for person in people]
    # 300 / 7: 42 draws of 7 leave 6, whoever of the two made them.
    assert sum(drawn for drawn, _ in results) == 42
    assert sum(refused for _, refused in results) == 18
    assert Container.objects.get(pk=bottle.pk).balance == 6
    assert ledger.prove()[1] == []
