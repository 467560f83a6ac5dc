"""Does the record book hold what decides who passes: the rules of a quiz, the questions with their
answers, and who stands behind them?
"""

import json
from importlib import import_module

import pytest
from django.apps import apps
from django.db import DatabaseError, transaction
from django.db.migrations import RunPython

from procedures.records.above import record
from procedures.records.refused import Refused
from quizzes.actions.questions import bring_questions, set_quiz, set_quiz_rules
from quizzes.actions.reviews import confirm_question, withdraw_question
from quizzes.models import (
    Question,
    QuestionConfirmed,
    QuestionVersion,
    QuestionWithdrawn,
    QuizRules,
)
from quizzes.records.asking import text_of
from tests.procedures.factories import NOW
from tests.training.factories import WorkshopFactory
from tests.training.shop import TERMS
from training.actions.levels import set_level
from training.actions.people import add_person
from training.models import BookEntry
from training.records.keeping import faults


def newest(**which):
    entry = BookEntry.objects.filter(**which).order_by("number").last()
    return entry.kind, json.loads(entry.body)


def rewritten(shop, name="one", by=None, stem="How is the air let out?"):
    """The next version of a question, written by the senior."""
    version = QuestionVersion.objects.get(question__name=name)
    version.stem = stem
    text = text_of(version, shop.writeup.name)
    (row,) = bring_questions(
        writeup=shop.writeup, questions=[text], now=NOW, author=by or shop.senior
    )
    return row


def test_the_rules_of_a_quiz_are_versions_that_stand_in_the_book(shop):
    before = QuizRules.objects.count()
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=3, sittings_a_day=1, by=shop.owner)
    kind, body = newest()
    assert kind == "quiz rules"
    assert {
        key: body[key] for key in ("quiz", "writeups", "size", "wait_days", "sittings_a_day", "by")
    } == {
        "quiz": "air-spring",
        "writeups": ["air-spring-service"],
        "size": 4,
        "wait_days": 3,
        "sittings_a_day": 1,
        "by": "odile",
    }
    # nothing new
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=3, sittings_a_day=1, by=shop.owner)
    assert QuizRules.objects.count() == before + 1
    assert list(faults()) == []


def test_which_write_ups_a_quiz_asks_about_is_in_the_book(shop):
    set_quiz(name="air-spring", title="Air-spring service", writeups=[], by=shop.owner)
    kind, body = newest()
    assert (kind, body["writeups"], body["size"]) == ("quiz rules", [], 4)
    shop.quiz.refresh_from_db()
    assert list(shop.quiz.writeups.all()) == []


def test_two_who_write_rules_at_once_lose_none(shop):
    mine, theirs = (type(shop.quiz).objects.get(pk=shop.quiz.pk) for _ in range(2))
    assert mine.rules == theirs.rules
    set_quiz_rules(quiz=theirs, size=7, by=shop.owner)
    set_quiz(name=mine.name, title=mine.title, writeups=[], by=shop.senior)
    mine.refresh_from_db()
    assert (mine.rules.size, mine.rules.writeups) == (7, [])


def test_a_version_of_a_question_its_acceptance_and_its_withdrawal_are_in_the_book(shop):
    row = rewritten(shop)
    kind, body = newest()
    assert (kind, body["question"], body["version"], body["author"]) == (
        "question",
        "air-spring-service: one",
        2,
        "sol",
    )
    assert body["asked"] == row.asked
    assert body["critical"] is False
    confirm_question(question=row.question, number=2, by=shop.other_senior)
    kind, body = newest()
    assert (kind, body["question"], body["version"], body["revision"], body["by"]) == (
        "question confirmed",
        "air-spring-service: one",
        2,
        1,
        "wim",
    )
    withdraw_question(
        question=row.question, number=2, reason="It gives itself away.", by=shop.other_senior
    )
    kind, body = newest()
    assert (kind, body["version"], body["reason"], body["by"]) == (
        "question withdrawn",
        2,
        "It gives itself away.",
        "wim",
    )
    assert list(faults()) == []


TAMPERINGS = {
    "the wait": lambda: QuizRules.objects.update(wait_days=0),
    "how many a day": lambda: QuizRules.objects.update(sittings_a_day=9),
    "the size": lambda: QuizRules.objects.update(size=1),
    "the share of critical ones": lambda: QuizRules.objects.update(critical_percent=0),
    "the write-ups": lambda: QuizRules.objects.update(writeups=[]),
    "rules that go": lambda: QuizRules.objects.order_by("-pk")[:1].get().delete(),
    "rules slipped in": lambda: QuizRules.objects.create(
        quiz=QuizRules.objects.first().quiz, wait_days=0, recorded_at=NOW
    ),
    "the key": lambda: QuestionVersion.objects.filter(question__name="torque").update(
        asked={"amount": "1 N·m"}
    ),
    "critical": lambda: QuestionVersion.objects.filter(question__name="torque").update(
        critical=False
    ),
    "the author": lambda: QuestionVersion.objects.update(author=None),
    "the name of a question": lambda: Question.objects.filter(name="one").update(name="other"),
    "a version slipped in": lambda: QuestionVersion.objects.create(
        question=Question.objects.get(name="torque"),
        number=9,
        kind="give the amount",
        stem="?",
        asked={"amount": "1 N·m"},
        steps=[],
        recorded_at=NOW,
    ),
    "who accepted": lambda: QuestionConfirmed.objects.update(
        by=QuestionWithdrawn.objects.first().version.author
    ),
    "an acceptance slipped in": lambda: QuestionConfirmed.objects.create(
        version=QuestionVersion.objects.first(),
        revision=1,
        by=QuestionConfirmed.objects.first().by,
        recorded_at=NOW,
    ),
    "a withdrawal that goes": lambda: QuestionWithdrawn.objects.all().delete(),
    "why withdrawn": lambda: QuestionWithdrawn.objects.update(reason="So."),
}


@pytest.fixture
def written(shop):
    """The shop with a question that was rewritten, accepted and withdrawn."""
    row = rewritten(shop)
    confirm_question(question=row.question, number=2, by=shop.other_senior)
    withdraw_question(
        question=row.question, number=2, reason="It gives itself away.", by=shop.other_senior
    )
    return shop


@pytest.mark.parametrize("what", TAMPERINGS)
def test_what_somebody_with_the_database_in_hand_changes_is_found(written, unsealed, what):
    assert list(faults()) == []
    TAMPERINGS[what]()
    assert list(faults()) != []


@pytest.mark.parametrize(
    "model", [QuizRules, QuestionVersion, QuestionConfirmed, QuestionWithdrawn]
)
def test_the_database_refuses_to_change_or_delete_any_of_it(written, model):
    for act in (lambda rows: rows.update(recorded_at=NOW), lambda rows: rows.delete()):
        with pytest.raises(DatabaseError), transaction.atomic():
            act(model.objects.all())


def test_a_refused_change_of_rules_writes_nothing(shop):
    before = BookEntry.objects.count()
    with pytest.raises(Refused, match="less than or equal to 100"):
        set_quiz_rules(quiz=shop.quiz, size=4, critical_percent=101, by=shop.owner)
    assert BookEntry.objects.count() == before
    assert shop.quiz.rules.critical_percent == 100


def test_a_level_that_asks_about_other_write_ups_says_who_set_it(shop):
    set_quiz(name="air-spring", title="Air-spring service", writeups=[], by=shop.owner)
    set_level(name="air-spring", terms=TERMS, now=NOW, from_day=None, by=shop.owner)
    body = newest(kind="quiz rules")[1]
    assert (body["writeups"], body["by"]) == (["air-spring-service"], "odile")


# An upgrade: that a shop in use has its quizzes in the book then, stands in test_history.py.


def ours():
    """The kinds of the entries about quizzes and questions, in their order."""
    return list(
        BookEntry.objects.filter(kind__startswith="qu")
        .order_by("number")
        .values_list("kind", flat=True)
    )


def test_a_site_without_quizzes_has_none_in_the_book_after_the_upgrade(db):
    """By the two steps of the upgrade that look for some; nothing else in them needs tables of
    then.
    """
    with transaction.atomic():
        workshop = WorkshopFactory()
        record(workshop.KIND, workshop)
    add_person(login="sol", name="Sol", trade="senior", workshop=workshop, started=None)
    before = BookEntry.objects.count()
    steps = [
        operation
        for name in (
            "quizzes.migrations.0008_quiz_rules",
            "training.migrations.0016_quizzes_in_book",
        )
        for operation in import_module(name).Migration.operations
        if isinstance(operation, RunPython)
    ]
    assert len(steps) == 2
    for step in steps:
        step.code(apps, None)
    assert (BookEntry.objects.count(), ours(), QuizRules.objects.count()) == (before, [], 0)
    assert list(faults()) == []
