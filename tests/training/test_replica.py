"""Do two web processes, a primary and its replica lose nothing and show nothing old, whichever of
them ends?

The streaming replica is PostgreSQL's own (its manual, chapter 27), and so are the crashes: each
process is ended by SIGKILL.
"""

import json
import threading
import time
import uuid
from contextlib import contextmanager
from functools import partial
from types import SimpleNamespace
from urllib.parse import urlencode

import pytest
from django.db import OperationalError, connections
from django.http import HttpResponse
from django.test import RequestFactory
from django.urls import URLResolver, get_resolver, resolve
from prometheus_client.parser import text_string_to_metric_families

from tests.conftest import must_be_there
from tests.training.factories import PASSWORD
from tests.training.places import FORM, Browser
from tests.training.replicated import PATIENCE, find_binaries, replicated
from training.models import Level, ProgramToken, Session, Tries
from training.records import lag, replica
from training.site.reports import REPORTS, ReportsOnReplica

pytestmark = pytest.mark.any_database  # servers of its own

MIKA, ALONE = "/who-may/air-spring/mika/", "May work alone."
WHO_MAY = "/who-may/"
BY_REPLICA = "Server-Timing"


def views_by_name(resolver=None, prefix=""):
    for found in (resolver or get_resolver()).url_patterns:
        if isinstance(found, URLResolver):
            inner = f"{prefix}{found.namespace}:" if found.namespace else prefix
            yield from views_by_name(found, inner)
        else:
            yield f"{prefix}{found.name}", found.callback


def test_a_report_takes_no_form():
    """A page that also writes, or that is sent to be signed, is none."""
    views = dict(views_by_name())
    assert set(views) >= REPORTS
    for route in REPORTS:
        assert views[route](RequestFactory().post("/")).status_code == 405, route


@pytest.fixture
def reading(monkeypatch):
    """A report that is read on the replica, without a server."""
    found = replica.ReportRead(on_replica=True)

    @contextmanager
    def read():
        token = replica._reading.set(found)
        try:
            yield found
        finally:
            replica._reading.reset(token)

    monkeypatch.setattr("training.site.reports.read_on_replica", read)
    return found


def made(view):
    """What the site makes of a report before Django itself does; nothing hands it on to Django."""
    request = RequestFactory().get("/who-may/")
    request.resolver_match = resolve("/who-may/")
    return ReportsOnReplica(lambda _: None).process_view(request, view, (), {})


def where(model, write=False):
    router = replica.ReportRouter()
    return router.db_for_write(model) if write else router.db_for_read(model)


def test_only_what_a_report_reads_is_read_on_the_replica(reading):
    def view(_):
        told = [where(Level), where(Session), where(ProgramToken)]
        # A question that is counted is no write of the report; a write of the shop's records is.
        told += [where(Tries, write=True), where(Level), where(Level, write=True), where(Level)]
        return HttpResponse(" ".join(told))

    told = made(view)
    assert told.text == "replica default default default replica default default"
    assert BY_REPLICA not in told
    assert where(Level) == "default"


def test_within_a_transaction_all_is_read_where_it_is_written(reading, monkeypatch):
    monkeypatch.setattr(connections["default"], "in_atomic_block", True)
    assert made(lambda _: HttpResponse(where(Level))).text == "default"


def test_a_replica_that_fails_in_the_middle_leaves_the_page_to_the_primary(reading):
    def broken(_):
        raise OperationalError("terminating connection")

    def told(_):
        reading.has_failed = True  # the view has made a page of it all the same
        return HttpResponse("There is nobody.")

    assert made(broken) is None
    assert made(lambda _: HttpResponse())[BY_REPLICA] == "replica"
    assert made(told) is None


class Gone:
    """A replica whose machine is gone, behind a primary that answers."""

    def __init__(self):
        self.asked = 0

    def __getitem__(self, alias):
        if alias == "replica":
            self.asked += 1
        return SimpleNamespace(
            cursor=partial(self._cursor, alias), close=int, get_connection_params=dict
        )

    @contextmanager
    def _cursor(self, alias):
        if alias == "replica":
            raise OperationalError("connection timeout expired")
        yield SimpleNamespace(execute=print, fetchone=tuple)


def test_a_replica_that_is_gone_is_asked_again_after_a_while_only(monkeypatch):
    gone, now = Gone(), [100.0]
    monkeypatch.setattr(replica, "connections", gone)
    monkeypatch.setattr(replica, "monotonic", lambda: now[0])
    monkeypatch.setattr(replica, "_asked_again", [])
    assert [replica.has_caught_up() for _ in range(3)] == [False] * 3
    asked = gone.asked
    now[0] += replica.AWAY_FOR
    assert not replica.has_caught_up()
    assert gone.asked == 2 * asked


def test_a_replica_that_never_answers_keeps_no_monitor_waiting(monkeypatch):
    asked, done = [], threading.Event()

    def hang(*_):
        asked.append(1)
        done.wait(60)

    monkeypatch.setattr(lag, "connections", Gone())
    monkeypatch.setattr(lag, "_ask", hang)
    monkeypatch.setattr(lag, "_asked", [])
    monkeypatch.setattr(lag, "PATIENCE", 0.05)
    try:
        assert [lag.say_lag(lag.find_lag()) for _ in range(3)] == ["replica away"] * 3
        assert asked == [1]
    finally:
        done.set()


class Person:
    """The owner of the place in one browser, who asks this web process or that."""

    def __init__(self, said):
        self._cookies = {"benchright": said["cookie"]}

    def get(self, web, path):
        return web.ask(path, Cookie=self._cookie())

    def stand_down(self, web, login, first):
        path = f"/stand-down/{login}/"
        self._cookies[FORM] = Browser.TOKEN.search(self.get(web, path)[1])[1]
        fields = {
            "csrfmiddlewaretoken": self._cookies[FORM],
            "level": "",
            "first": first,
            "reason": "A ring came out.",
            "password": PASSWORD,
            "mark": uuid.uuid4().hex,
        }
        data = urlencode(fields).encode()
        assert web.ask(path, data=data, Cookie=self._cookie())[0] == 302

    def _cookie(self):
        return "; ".join(f"{name}={value}" for name, value in self._cookies.items())


class Program(threading.Thread):
    """Writes jobs down, one after the other and each until it is acknowledged, and looks at another
    web process after each whether its own are there.
    """

    def __init__(self, webs, said):
        super().__init__(daemon=True)
        self.webs, self.said, self.acked, self.faults = webs, said, [], []
        self.stop, self._begun = threading.Event(), None

    def ask(self, web, path, data=None):
        token = {"Authorization": f"Bearer {self.said['screen']}"}
        return web.ask(path, data=data and json.dumps(data).encode(), **token)

    def book(self, web):
        """The number of the newest entry; None while nobody answers."""
        status, text, _ = self.ask(web, "/api/book")
        return json.loads(text)["number"] if status == 200 else None

    def run(self):
        before = self.book(self.webs[0])
        while not self.stop.is_set():
            mark = f"job-{len(self.acked)}"
            self._write(mark)
            seen = self.book(self.webs[len(self.acked) % 2])
            if seen is not None and seen < before + len(self.acked):
                self.faults.append(f"{mark}: entry {seen} of {before + len(self.acked)}")
            self.stop.wait(0.03)

    def _write(self, mark):
        job = {
            "login": "sol",
            "level": "air-spring",
            "on": self.said["today"],
            "mark": mark,
            "note": mark,
        }
        turn = 0
        while not self.stop.is_set():
            status, text, _ = self.ask(self.webs[turn % 2], "/api/jobs", job)
            if status in {200, 201}:
                self.acked.append(mark)
                return
            # A server that is gone may say nothing, or that it is gone; never that it was refused.
            if status not in {0, 500, 502, 503}:
                self.faults.append(f"{mark}: {status} {text}")
                return
            turn += 1
            self.stop.wait(0.05)

    def goes_on(self, more=3):
        wanted = len(self.acked) + more
        until(lambda: len(self.acked) >= wanted or self.faults)
        assert self.faults == []


def until(is_so):
    ends = time.monotonic() + PATIENCE
    while not (found := is_so()):
        assert time.monotonic() < ends
        time.sleep(0.03)
    return found


def test_two_web_processes_a_primary_and_a_replica_lose_nothing_and_show_nothing_old():
    if find_binaries() is None:
        must_be_there("PostgreSQL's server")
    with replicated() as (place, primary, replica, webs, said):
        owner, program = Person(said), Program(webs, said)
        _the_last_question_of_a_minute(primary, webs, said)
        _a_replica_that_is_behind_is_not_shown(replica, webs, said, owner, program)
        _killed_in_turn(primary, replica, webs, owner, program)
        assert program.faults == []
        rows = "SELECT note, COUNT(*) FROM training_job WHERE note LIKE 'job-%' GROUP BY note"
        written = dict(primary.ask(rows))
        assert {mark: written.get(mark) for mark in program.acked} == dict.fromkeys(
            program.acked, 1
        )
        # What was under way at the end may be one more; nothing is there twice.
        assert len(written) - len(program.acked) in {0, 1}
        assert set(written.values()) == {1}
        place.more.clear()
        done = place.run("book")
        assert done.returncode == 0, done.stdout


def _the_last_question_of_a_minute(primary, webs, said):
    """Two processes are asked at once: one of them answers."""
    token = {"Authorization": f"Bearer {said['till']}"}
    assert webs[0].ask("/api/book", **token)[0] == 200
    # The next minute counts with this one: the test may stand between two.
    minute = "date_trunc('minute', now() + interval '1 minute')"
    primary.ask(f"UPDATE training_tries SET count = 239, last_at = {minute}")
    statuses = []
    asked = [
        threading.Thread(target=lambda web=web: statuses.append(web.ask("/api/book", **token)[0]))
        for web in webs
    ]
    for thread in asked:
        thread.start()
    for thread in asked:
        thread.join()
    assert sorted(statuses) == [200, 429]


def _a_replica_that_is_behind_is_not_shown(replica, webs, said, owner, program):
    """Its log is held, then somebody is stood down at one web process, and asked for at the
    other.
    """
    one, other = webs
    status, text, headers = until(lambda: _by_replica(owner.get(other, MIKA)))
    assert status == 200
    assert ALONE in text
    assert BY_REPLICA not in owner.get(other, "/who-may/air-spring/tilda/sign-off/")[2]
    until(lambda: one.ask("/healthz/")[1] == "ok, replica caught up")
    tag = program.ask(other, "/api/may/air-spring")[2]["ETag"]
    replica.ask("SELECT pg_wal_replay_pause()")
    until(lambda: replica.ask("SELECT pg_get_wal_replay_pause_state()") == [("paused",)])
    owner.stand_down(one, "mika", said["today"])
    status, text, headers = owner.get(other, MIKA)
    assert (status, headers.get(BY_REPLICA)) == (200, None)
    assert "Stood down from all work" in text
    assert ALONE not in text
    status, text, _ = other.ask(
        "/api/may/air-spring?person=mika",
        Authorization=f"Bearer {said['screen']}",
        If_None_Match=tag,
    )
    assert (status, json.loads(text)["people"][0]["standing"]) == (200, "no")
    assert one.ask("/healthz/")[1].endswith(" bytes behind")
    told = {
        sample.name: sample.value
        for family in text_string_to_metric_families(program.ask(one, "/metrics/")[1])
        for sample in family.samples
    }
    assert told["benchright_replica_up"] == 1
    assert told["benchright_replica_lag_bytes"] > 0
    assert told["benchright_replica_lag_seconds"] > 0
    replica.ask("SELECT pg_wal_replay_resume()")
    text = until(lambda: _by_replica(owner.get(other, MIKA)))[1]
    assert "Stood down from all work" in text


def _by_replica(answer):
    return answer if BY_REPLICA in answer[2] else None


def _killed_in_turn(primary, replica, webs, owner, program):
    """One after the other, while a program writes; the replica gives reports while it lives."""
    one, other = webs
    program.start()
    program.goes_on()
    by_replica = [until(lambda web=web: _by_replica(owner.get(web, WHO_MAY))) for web in webs]
    one.kill()
    program.goes_on()
    by_replica += [until(lambda: _by_replica(owner.get(other, WHO_MAY))) for _ in range(3)]
    # In its own count: somebody has read of it what standing rests on.
    read = "SELECT COALESCE(SUM(seq_scan + idx_scan), 0) FROM pg_stat_user_tables"
    assert replica.ask(f"{read} WHERE relname = 'training_standdown'")[0][0] >= len(by_replica)
    replica.ask("SELECT pg_promote()")  # a second primary, which goes a way of its own
    asked = [owner.get(other, WHO_MAY) for _ in range(2)]
    assert other.ask("/healthz/")[1] == "ok, replica away"
    replica.kill()
    asked += [owner.get(other, WHO_MAY) for _ in range(4)]
    assert [(status, headers.get(BY_REPLICA)) for status, _, headers in asked] == [(200, None)] * 6
    assert other.ask("/healthz/")[1] == "ok, replica away"
    program.goes_on()
    primary.kill()
    until(lambda: other.ask("/healthz/")[0] == 503)
    primary.start()
    program.goes_on()
    assert owner.get(other, WHO_MAY)[0] == 200
    program.stop.set()
    program.join()
