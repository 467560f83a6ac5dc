"""Is a program told how the machine does, and can no text of a person break a line of the log?

The numbers are read by prometheus_client's own parser of its text format; log injection is CWE-117.
"""

import json
import logging
import sys

import pytest
from prometheus_client.parser import text_string_to_metric_families

from tests.training.shop import NOW, TODAY
from training.actions.programs import make_token
from training.exchange.backups.last_backup import note_backup
from training.records.keeping import head
from training.site.log_lines import JsonLine, OneLine


def ask(client, *scopes):
    _row, secret = make_token(
        name="watch", scopes=scopes, until=TODAY, by=None, today=TODAY, now=NOW
    )
    return client.get("/metrics/", headers={"Authorization": f"Bearer {secret}"})


def test_the_numbers_of_the_machine_are_told(client, shop, monkeypatch):
    # On a database server the probe would wait for the lock that this test itself holds.
    monkeypatch.setattr("training.exchange.machine.metrics.find_trouble", lambda: "")
    note_backup(NOW.isoformat())
    told = ask(client, "metrics:read")
    found = {
        sample.name: sample.value
        for family in text_string_to_metric_families(told.text)
        for sample in family.samples
    }
    assert found["benchright_up"] == 1
    assert found["benchright_book_entries"] == head()[0]
    assert found["benchright_backup_age_seconds"] == 0
    assert found["benchright_migrations_missing"] == 0
    assert 0 < found["benchright_disk_free_bytes"] <= found["benchright_disk_bytes"]
    assert "Tilda" not in told.text


def test_only_a_token_of_this_scope_is_told(client, shop):
    assert client.get("/metrics/")["WWW-Authenticate"] == "Bearer"
    assert client.get("/metrics/", headers={"Authorization": "Bearer x"}).status_code == 401
    assert ask(client, "may:read").status_code == 403


HOSTILE = "x\r\n2026-11-25 ERROR book: all is lost\x1b[2K\u2028\x85y"


def logged(formatter, **more):
    record = logging.LogRecord("shop", logging.ERROR, "f", 1, "Refused: %s", (HOSTILE,), **more)
    return formatter.format(record)


@pytest.mark.parametrize("formatter", [OneLine(), JsonLine()])
def test_a_persons_text_stays_in_its_line(formatter):
    line = logged(formatter, exc_info=None)
    assert len(line.splitlines()) == 1
    assert "\x1b" not in line


def test_a_traceback_stays_below_or_within_its_line():
    try:
        raise ValueError(HOSTILE)
    except ValueError:
        info = sys.exc_info()
    first, *below = logged(OneLine(), exc_info=info).split("\n")
    assert " ERROR shop: Refused: " in first
    assert all(line.startswith("    ") for line in below)
    told = json.loads(logged(JsonLine(), exc_info=info))
    assert told["level"] == "ERROR"
    assert "ValueError" in told["exc_info"]
