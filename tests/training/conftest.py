"""Which pieces do tests of the training app share?"""

import os
import shutil
import uuid
from contextlib import suppress
from pathlib import Path

import pytest
import time_machine
from django.apps import apps
from django.db import connection, transaction

from procedures.actions import writeups as procedures_actions
from procedures.actions.drawings import keep_drawing
from procedures.models import ProofAnswer
from procedures.models.booking import kind_and_version, kinds
from procedures.models.comparing import AskedOfChange
from procedures.records.sealing import take_off
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import MoreTime, Question, QuestionConfirmed, QuestionWithdrawn
from tests.procedures.picture_files import photo_bytes
from tests.put_in import put_in
from tests.quizzes.factories import VersionFactory, right_answer
from tests.training.mail_server import serve_mail
from tests.training.places import ON_POSTGRESQL, Place, copy_of, forget, new_place
from tests.training.shop import (
    NOW,
    TODAY,
    lifted,
    make_ready,
    observe,
    ready_shop,
    shown_again,
    sign_clearing,
    small_shop,
    stood_down,
    waiting_job,
)
from training import models as rows
from training.actions.appointing import end_appointment
from training.actions.entries import write_down
from training.actions.entry_rules import set_days_back
from training.actions.second_factor import set_factor_rule
from training.actions.taking_back import take_back_job
from training.models import AccountChange
from training.records.keeping import record


@pytest.fixture
def clock():
    """It is 25 Nov 2026, 9:30 UTC; move it with `clock.move_to`."""
    with time_machine.travel(NOW, tick=False) as traveller:
        yield traveller


@pytest.fixture
def shop(db, clock, request):
    """A small shop with its record book; where a test asks for `ready`, with that too."""
    return put_in(ready_shop if "ready" in request.fixturenames else small_shop)


@pytest.fixture
def ready(shop):
    """The trainee, with all that the level asks before a sign-off."""
    return shop.trainee


@pytest.fixture
def mail_server(settings):
    """A mail server on this machine that keeps what it is given."""
    with serve_mail(settings) as kept:
        yield kept


@pytest.fixture
def full(db, clock):
    """Every kind of entry, and a row in every sealed table, at least once."""
    return put_in(full_shop)


def full_shop():
    """The small shop with a row of every kind."""
    shop = small_shop()
    with transaction.atomic():
        _fill(shop)
    assert {
        kind_and_version(text)[0] for text in rows.BookEntry.objects.values_list("kind", flat=True)
    } == set(kinds())
    assert [
        model
        for model in apps.get_models()
        if hasattr(model, "SEAL") and not model._default_manager.exists()
    ] == []
    return shop


def _fill(shop):
    make_ready(shop, shop.trainee)
    down = stood_down(
        person=shop.mechanic,
        level=shop.level,
        first=TODAY,
        by=shop.owner,
        reason="A ring came out.",
    )
    lifted(standdown=down, on=TODAY, by=shop.senior, reason="Settled.")
    end_appointment(appointment=shop.senior.appointments.get(), until=TODAY, by=shop.owner, now=NOW)
    take_back_job(job=waiting_job(shop, shop.trainee), by=shop.trainee, now=NOW)
    set_days_back(days=20, by=shop.owner, now=NOW)
    common = {"happened_on": TODAY, "recorded_at": NOW, "person": shop.mechanic}
    write_down(rows.PaperPass(level=shop.level, percent=90, critical_right=True, **common))
    answer = {
        "writeup": shop.writeup,
        "rule": "ST-01",
        "step": "let-air-out",
        "about": "Press.",
        "reason": "So.",
    }
    write_down(ProofAnswer(**answer, by=shop.senior, at=NOW))
    void = write_down(
        rows.Void(kind="job", about="air-spring", by=shop.owner, reason="Another fork.", **common)
    )
    asked = write_down(
        rows.VoidAsked(
            kind="job", about="air-spring", by=shop.senior, reason="Another fork.", **common
        )
    )
    write_down(
        rows.VoidDecided(asked=asked, void=void, by=shop.owner, happened_on=TODAY, recorded_at=NOW)
    )
    keep_drawing(
        name="pliers",
        title="Ring pliers",
        description="Two tips.",
        data=photo_bytes(),
        by=shop.senior,
        now=NOW,
    )
    sign_clearing(shop, _failed_with_more_time(shop))
    shown_again(shop, observe(shop, shop.trainee, "not right"))
    question = Question.objects.get(name="one")
    for row in (
        QuestionConfirmed(
            version=question.versions.get(), revision=1, by=shop.senior, recorded_at=NOW
        ),
        VersionFactory.build(question=question, number=2),
    ):
        row.save()
        record(row.KIND, row)
    gone = QuestionWithdrawn(
        version=question.versions.get(number=2), reason="No.", by=shop.senior, recorded_at=NOW
    )
    gone.save()
    record(gone.KIND, gone)
    _released_with_a_decision(shop)
    account = AccountChange(person=shop.mechanic, what=AccountChange.AT_TERMINAL, recorded_at=NOW)
    account.save()
    record(account.KIND, account)
    set_factor_rule(seniors=True, owners=False, by=shop.owner, now=NOW)
    _refused(shop)


def _refused(shop):
    """A job whose watcher says that it was not watched."""
    when = {"happened_on": TODAY, "recorded_at": NOW}
    job = write_down(
        rows.Job(
            person=shop.mechanic,
            level=shop.level,
            watched_by=shop.senior,
            needs_confirmation=True,
            **when,
        )
    )
    write_down(
        rows.JobConfirmation(job=job, by=shop.senior, confirmed=False, reason="On leave.", **when)
    )


def _failed_with_more_time(shop):
    sitting = start_sitting(
        quiz=shop.quiz, person=shop.mechanic, pass_percent=75, now=NOW, seed=1, today=TODAY
    )
    MoreTime.objects.create(sitting=sitting, minutes=10, recorded_at=NOW)
    for answer in sitting.answers.exclude(version__question__name="torque").select_related(
        "version__question"
    ):
        save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=NOW)
    return end_sitting(sitting=sitting, now=NOW, today=TODAY)


def _released_with_a_decision(shop):
    draft = procedures_actions.start_revision(
        writeup=shop.writeup, author=shop.other_senior, now=NOW
    )
    AskedOfChange.objects.create(
        revision=draft,
        step="let-air-out",
        asks="nothing",
        suggested="read again",
        reason="A comma.",
        change="c" * 64,
        by=shop.senior,
        at=NOW,
    )
    draft.released_on, draft.recorded_at, draft.released_by, draft.digest = (
        TODAY,
        NOW,
        shop.senior,
        draft.text_digest(),
    )
    draft.save()
    record(draft.KIND, draft)


@pytest.fixture
def as_(client):
    """A browser in which somebody is signed in: `as_(person).get(...)`. What it sends has a mark,
    as every page gives one.
    """
    post = client.post

    def send(path, data=None, *args, **more):
        return post(
            path,
            data if isinstance(data, str) else {"mark": uuid.uuid4().hex} | (data or {}),
            *args,
            **more,
        )

    client.post = send

    def signed_in(person):
        client.force_login(person, backend="training.access.sign_in.ShopBackend")
        return client

    return signed_in


@pytest.fixture
def unsealed(db):
    """The triggers are off, as for somebody with the database file in hand."""
    take_off(connection)


@pytest.fixture(scope="session")
def kept(tmp_path_factory):
    """A place with a small shop; made once, copied for each test. The files of one go to the other
    processes of this run, too.
    """
    of_run = Path(os.environ["SHOPS_OF_THIS_RUN"]) / "place"
    if not ON_POSTGRESQL and of_run.exists():
        yield Place(of_run)
        return
    place = new_place(tmp_path_factory.mktemp("kept") / "home")
    done = place.python("-m", "tests.training.places")
    assert done.returncode == 0, done.stderr
    if not ON_POSTGRESQL:
        with suppress(OSError):  # another process was quicker
            shutil.copytree(place.home, of_run.with_name(f"place-{os.getpid()}")).rename(of_run)
    yield place
    forget(place)


@pytest.fixture
def place(kept, tmp_path):
    made = copy_of(kept, tmp_path / "home")
    yield made
    forget(made)


@pytest.fixture
def empty(tmp_path):
    made = new_place(tmp_path / "empty")
    yield made
    forget(made)
