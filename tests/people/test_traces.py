"""Every fault leaves a line under the number that its page shows; nobody else's page keeps anything."""

import json
import logging
import os
import subprocess
import sys

import pytest
from django.conf import settings
from django.urls import reverse

from stockroom.common import health
from stockroom.common.traces import JsonLines

pytestmark = pytest.mark.django_db


def test_the_page_of_a_fault_and_its_line_bear_one_number(client, head, monkeypatch, caplog):
    def broken(*args, **kwargs):
        raise RuntimeError("as if a page were broken")

    monkeypatch.setattr("stockroom.inspection.views.review.review.findings", broken)
    client.force_login(head)
    client.raise_request_exception = False
    answer = client.get(reverse("review"))
    assert answer.status_code == 500
    record = next(record for record in caplog.records if record.levelno == logging.ERROR)
    line = json.loads(JsonLines().format(record))
    assert line["fault"] in answer.content.decode()
    assert line["person"] == head.pk and line["path"] == "/review/" and line["status"] == 500
    assert "as if a page were broken" in line["trace"]
    assert head.username not in json.dumps({**line, "trace": ""})


def test_a_line_is_one_line_whatever_is_asked(client, head, caplog):
    client.force_login(head)
    client.get('/nothing/%0a{"level":"forged"}/')
    line = JsonLines().format(caplog.records[-1])
    assert "\n" not in line and json.loads(line)["status"] == 404


@pytest.mark.parametrize("name", ["home", "reagent-list", "review-sheet", "activity"])
def test_nothing_behind_the_sign_in_is_kept(client, head, name):
    client.force_login(head)
    assert "no-store" in client.get(reverse(name))["Cache-Control"]


def test_strangers_are_told_nothing_of_the_health(client, head, settings):
    settings.HEALTH_TOKEN = ""
    for token in ("", "Bearer ", "Bearer None"):
        assert client.get("/health/", headers={"Authorization": token}).status_code == 404
    settings.HEALTH_TOKEN = "a-long-token"
    client.force_login(head)
    for token in ("", "a-long-token", "Bearer x", "Bearer é"):
        assert client.get("/health/", headers={"Authorization": token}).status_code == 404
    assert client.post("/health/").status_code == 405


def test_a_monitor_is_told_what_works_and_what_does_not(client, settings, monkeypatch):
    settings.HEALTH_TOKEN = "a-long-token"
    asked = {"headers": {"Authorization": "Bearer a-long-token"}}
    answer = client.get("/health/", **asked)
    assert answer.status_code == 200
    assert answer.json() == {"database": True, "disk": True, "migrations": True, "mail": True}

    def full():
        raise OSError("No space left on device")

    monkeypatch.setitem(health.CHECKS, "disk", full)
    answer = client.get("/health/", **asked)
    assert answer.status_code == 503 and answer.json()["disk"] is False
    assert b"No space" not in answer.content


def asked_of_settings(tmp_path, expression: str, **environment) -> str:
    """What the settings come to in a process of its own."""
    code = f"from stockroom import settings; print(*[{expression}])"
    found = subprocess.run(
        [sys.executable, "-c", code],
        cwd=settings.BASE_DIR,
        env={**os.environ, "DATA_DIR": str(tmp_path / "data"), **environment},
        capture_output=True,
        text=True,
        check=True,
    )
    return found.stdout.strip()


def test_with_https_cookies_are_of_this_host_and_a_year_is_promised(tmp_path):
    names = "settings.SESSION_COOKIE_NAME, settings.CSRF_COOKIE_NAME, settings.SECURE_HSTS_SECONDS"
    found = asked_of_settings(tmp_path, names, HTTPS="1")
    assert found == "__Host-sessionid __Host-csrftoken 31536000"


def test_data_is_readable_by_its_owner_alone(tmp_path):
    key = asked_of_settings(tmp_path, "settings.SECRET_KEY", SECRET_KEY="")
    assert key == asked_of_settings(tmp_path, "settings.SECRET_KEY", SECRET_KEY="") and len(key) > 50
    folder = tmp_path / "data"
    assert {path.name for path in folder.iterdir()} <= {"secret_key", "stockroom.sqlite3"}
    if os.name != "nt":
        assert folder.stat().st_mode & 0o777 == 0o700
        assert {path.stat().st_mode & 0o777 for path in folder.iterdir()} == {0o600}
