"""Does the API answer programs as the commands do, and nobody else?

Problem details are RFC 9457's, the bearer token RFC 6750's, If-None-Match RFC 9110's. Schemathesis
(a general-purpose tester of OpenAPI) asks everything that the description allows.
"""

import json
from datetime import timedelta

import pytest
from django.core.management import CommandError, call_command

from tests.training.shop import NOW, TODAY, found
from training.actions.confirming import confirm_job
from training.actions.programs import end_token, make_token
from training.models import Job, JobConfirmation, ProgramToken
from training.models.programs import SCOPES


def token_for(*scopes, until=TODAY, by=None, name="till"):
    row, secret = make_token(name=name, scopes=scopes, until=until, by=by, today=TODAY, now=NOW)
    return row, {"Authorization": f"Bearer {secret}"}


def problem_of(answer):
    assert answer["Content-Type"] == "application/problem+json"
    told = json.loads(answer.content)
    assert told["status"] == answer.status_code
    assert told["detail"]
    return told


def test_who_may_is_told_as_the_command_tells_it(client, shop, capsys):
    found(shop.mechanic, shop.level, shop.owner)
    _row, headers = token_for("may:read")
    known = "2026-11-25T09:30:00Z"
    told = client.get(f"/api/may/{shop.level.name}?known_at={known}", headers=headers)
    call_command("may", shop.level.name, "--known-at", known, "--format", "json")
    assert told.content.decode() == capsys.readouterr().out.rstrip("\n")
    asked = f"/api/may/{shop.level.name}?on=2026-11-20&variant=ring=prong&person=mika"
    assert client.get(asked, headers=headers).json()["on"] == "2026-11-20"


def test_one_person_the_cover_the_write_ups_and_the_book_are_told(client, shop, capsys):
    _row, headers = token_for(*SCOPES)
    person = client.get(f"/api/people/{shop.trainee.login}", headers=headers).json()
    assert [one["level"] for one in person] == [shop.level.name]
    span = "from=2026-11-23&to=2026-11-29"
    cover = client.get(f"/api/cover?{span}&without={shop.senior.login}", headers=headers)
    assert cover.status_code == 200
    (writeup,) = client.get("/api/write-ups", headers=headers).json()
    assert (writeup["name"], writeup["revision"]) == (shop.writeup.name, 1)
    assert len(client.get("/api/book", headers=headers).json()["head"]) == 64


@pytest.mark.parametrize(
    "headers",
    [
        {},
        {"Authorization": "Bearer "},
        {"Authorization": "Bearer nonsense"},
        {"Authorization": "Basic b3duZXI6eA=="},
        {"Authorization": "Bearer " + "a" * 10_000},
    ],
)
def test_without_a_token_that_works_nothing_is_told(client, shop, headers):
    answer = client.get(f"/api/may/{shop.level.name}", headers=headers)
    assert problem_of(answer)["status"] == 401
    assert answer["WWW-Authenticate"] == "Bearer"


def test_a_signed_in_owner_has_no_way_in_by_the_session(client, shop):
    client.force_login(shop.owner, backend="training.access.sign_in.ShopBackend")
    assert client.get(f"/api/may/{shop.level.name}").status_code == 401


def test_a_token_works_to_the_end_of_its_last_day_or_until_it_is_ended(client, shop, clock):
    row, headers = token_for("may:read", until=TODAY)
    address = f"/api/may/{shop.level.name}"
    assert client.get(address, headers=headers).status_code == 200
    clock.shift(timedelta(days=1))
    assert client.get(address, headers=headers).status_code == 401
    row, headers = token_for("may:read", until=TODAY + timedelta(days=9), name="other")
    assert client.get(address, headers=headers).status_code == 200
    end_token(row=row, by=shop.owner, now=NOW)
    assert client.get(address, headers=headers).status_code == 401


@pytest.mark.parametrize("scope", list(SCOPES))
def test_a_token_opens_its_own_scope_and_no_other(client, shop, scope):
    _row, headers = token_for(scope)
    job = {"mark": "1", "login": "x", "level": "x", "on": "2026-11-25"}
    asked = {
        "may:read": lambda: client.get(f"/api/may/{shop.level.name}", headers=headers),
        "cover:read": lambda: client.get(
            "/api/cover?from=2026-11-25&to=2026-11-26", headers=headers
        ),
        "writeups:read": lambda: client.get("/api/write-ups", headers=headers),
        "book:read": lambda: client.get("/api/book", headers=headers),
        "jobs:write": lambda: client.post("/api/jobs", job, "application/json", headers=headers),
    }
    for other, ask in asked.items():
        status = ask().status_code
        assert (status != 403) is (other == scope), (other, status)


def test_the_token_itself_is_kept_nowhere(shop):
    row, headers = token_for("may:read")
    secret = headers["Authorization"].removeprefix("Bearer ")
    assert secret not in json.dumps(list(ProgramToken.objects.values()), default=str)
    assert row.digest != secret


def test_nothing_is_worked_out_while_nothing_has_changed(
    client, shop, django_assert_max_num_queries
):
    _row, headers = token_for("may:read")
    address = f"/api/may/{shop.level.name}"
    tag = client.get(address, headers=headers)["ETag"]
    again = headers | {"If-None-Match": tag}
    with django_assert_max_num_queries(12):
        answer = client.get(address, headers=again)
    assert (answer.status_code, answer.content) == (304, b"")
    found(shop.mechanic, shop.level, shop.owner)
    assert client.get(address, headers=again).status_code == 200


@pytest.mark.parametrize(
    ("address", "status"),
    [
        ("/api/may/nowhere", 404),
        ("/api/people/nobody", 404),
        ("/api/nothing/here", 404),
        ("/api/may/air-spring?on=yesterday", 422),
        ("/api/may/air-spring?known_at=2026", 422),
        ("/api/may/air-spring?variant=ring", 422),
        ("/api/may/air-spring?variant=ring=prong&variant=ring=eyelet", 422),
        ("/api/may/air-spring?workshop=Moon", 422),
        ("/api/may/air-spring?on=2026-11-25%00", 422),
        ("/api/may/air-spring?day=2026-11-25", 422),
        ("/api/cover?from=2026-11-25", 422),
        ("/api/cover?from=2026-11-25&to=2026-11-20", 422),
        ("/api/cover?from=2026-11-25&to=2026-11-26&pace=fast", 422),
        ("/api/cover?from=2026-11-25&to=2026-11-26&without=nobody", 422),
    ],
)
def test_what_cannot_be_answered_is_a_problem_with_a_sentence(client, shop, address, status):
    _row, headers = token_for(*SCOPES)
    assert problem_of(client.get(address, headers=headers))["status"] == status


def test_too_many_questions_in_a_minute_wait(client, shop, monkeypatch):
    monkeypatch.setattr("training.access.programs.MOST_A_MINUTE", 2)
    _row, headers = token_for("book:read")
    statuses = [client.get("/api/book", headers=headers) for _ in range(3)]
    assert [one.status_code for one in statuses] == [200, 200, 429]
    assert 0 < int(statuses[2]["Retry-After"]) <= 60


def test_a_job_comes_in_once_by_its_mark(client, shop):
    _row, headers = token_for("jobs:write", by=shop.owner)
    found(shop.mechanic, shop.level, shop.owner)
    job = {
        "mark": "order 17",
        "login": shop.mechanic.login,
        "level": shop.level.name,
        "on": TODAY.isoformat(),
        "variant": {"ring": "prong"},
        "note": "=1+1",
    }
    first = client.post("/api/jobs", job, "application/json", headers=headers)
    again = client.post("/api/jobs", job, "application/json", headers=headers)
    assert (first.status_code, again.status_code) == (201, 200)
    assert (first.json()["job"], again.json()["again"]) == (again.json()["job"], True)
    row = Job.objects.get()
    assert (row.person, row.recorded_by, row.watched_by) == (shop.mechanic, shop.owner, None)


def test_a_job_that_names_a_watcher_waits_for_the_watcher(client, shop):
    _row, headers = token_for("jobs:write", by=shop.owner)
    job = {
        "mark": "1",
        "login": shop.trainee.login,
        "level": shop.level.name,
        "on": TODAY.isoformat(),
        "watched_by": shop.senior.login,
    }
    told = client.post("/api/jobs", job, "application/json", headers=headers)
    assert told.json()["counts"] is False
    assert Job.objects.get().needs_confirmation


def test_a_program_gives_nobody_elses_word_not_even_of_who_made_its_token(client, shop):
    """The owner watches too: what a till says of them waits for their own confirmation."""
    found(shop.owner, shop.level, shop.owner)
    _row, headers = token_for("jobs:write", by=shop.owner)
    job = {
        "mark": "1",
        "login": shop.trainee.login,
        "level": shop.level.name,
        "on": TODAY.isoformat(),
        "watched_by": shop.owner.login,
    }
    told = client.post("/api/jobs", job, "application/json", headers=headers)
    assert (told.status_code, told.json()["counts"]) == (201, False)
    assert not JobConfirmation.objects.exists()
    confirm_job(job=Job.objects.get(), by=shop.owner, now=NOW)


@pytest.mark.parametrize(
    ("change", "status"),
    [
        ({"on": "tomorrow"}, 422),
        ({"on": "2027-01-01"}, 422),
        ({"login": "nobody"}, 404),
        ({"level": "nowhere"}, 404),
        ({"watched_by": "nobody"}, 404),
        ({"mark": ""}, 422),
        ({"mark": "x" * 300}, 422),
        ({"writeup": "nowhere"}, 404),
        ({"revision": 99, "writeup": "air-spring-service"}, 404),
        ({"variant": {"ring": 3}}, 422),
        ({"login": None}, 422),
        ({}, 422),  # a trainee alone: nobody entitled did it
    ],
)
def test_a_job_that_cannot_have_been_is_a_problem(client, shop, change, status):
    _row, headers = token_for("jobs:write", by=shop.owner)
    job = {
        "mark": "1",
        "login": shop.trainee.login,
        "level": shop.level.name,
        "on": TODAY.isoformat(),
    }
    told = client.post("/api/jobs", job | change, "application/json", headers=headers)
    assert problem_of(told)["status"] == status
    assert not Job.objects.exists()


def test_the_command_makes_and_ends_a_token(client, shop, capsys):
    call_command("token", "shop-board", "--scope", "may:read", "--until", "2026-12-31")
    secret = capsys.readouterr().out.strip()
    headers = {"Authorization": f"Bearer {secret}"}
    assert client.get(f"/api/may/{shop.level.name}", headers=headers).status_code == 200
    with pytest.raises(CommandError, match="already"):
        call_command("token", "shop-board", "--scope", "may:read", "--until", "2026-12-31")
    call_command("token", "shop-board", "--end")
    assert client.get(f"/api/may/{shop.level.name}", headers=headers).status_code == 401
    for wrong in (["--until", "2020-01-01"], ["--until", "2040-01-01"], []):
        with pytest.raises(CommandError):
            call_command("token", "x", "--scope", "may:read", *wrong)


def test_the_description_is_open_api_and_asks_for_the_token(client, db):
    told = client.get("/api/openapi.json").json()
    assert told["openapi"].startswith("3.1")
    assert set(told["paths"]) == {
        "/api/may/{level}",
        "/api/people/{login}",
        "/api/cover",
        "/api/write-ups",
        "/api/book",
        "/api/jobs",
    }
    assert all(
        operation["security"] for path in told["paths"].values() for operation in path.values()
    )
