"""Do sittings of a folder come in with their answers, several at once, and is a faulty one told by
its row?
"""

import csv
import json
from datetime import timedelta

import pytest

from quizzes.models import Question, Sitting
from tests.training.shop import NOW, TODAY
from tests.training.test_take import command, empty, faults_told, lived_in, undone  # noqa: F401

pytestmark = pytest.mark.django_db
COLUMNS = ["login", "level", "on", "started_at", "recorded_at", "writeup", "question", "given"]


@pytest.fixture
def folder(lived_in, tmp_path, clock):  # noqa: F811
    """The shop taken out, with two sittings of the trainee put beside it: every question there is,
    each first option or amount.
    """
    clock.move_to(NOW + timedelta(hours=3))
    rows = []
    for minutes in (30, 60):
        for question in Question.objects.order_by("pk"):
            asked = question.versions.latest("number").content()
            given = {"choose one": 0, "choose all": [0], "give the amount": "28 N·m"}.get(
                asked.kind
            )
            if given is not None:
                at = NOW + timedelta(minutes=minutes)
                rows.append(
                    [
                        "tilda",
                        "air-spring",
                        TODAY,
                        NOW.isoformat(),
                        at.isoformat(),
                        question.writeup.name,
                        question.name,
                        json.dumps(given, ensure_ascii=False),
                    ]
                )
    command("take", tmp_path / "a")
    with (tmp_path / "a" / "sittings.csv").open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([COLUMNS, *rows])
    return tmp_path / "a", len(rows) // 2


def test_each_moment_of_a_person_is_one_sitting(folder):
    with undone():
        empty()
        assert "2 sittings" in command("bring", folder[0])
        found = Sitting.objects.filter(person__login="tilda", seed=0)
        assert [sitting.answers.count() for sitting in found] == [folder[1]] * 2
        assert len({sitting.percent for sitting in found}) == 1


@pytest.mark.parametrize(
    ("old", "new", "told"),
    [
        (",torque,", ",torch,", "sittings.csv, row "),
        (
            ",torque,",
            ",torch,",
            "question: air-spring-service has no question 'torch'; expected one of questions/",
        ),
        ('"""28 N·m"""', "28 N", "given: '28 N' cannot be read; expected an answer as JSON"),
        ('"""28 N·m"""', "[1]", "torque: Write a number with its unit."),
        (
            "tilda,air-spring,2026-11-25",
            "tilda,air-spring,2019-01-01",
            "no released revision on that day",
        ),
        ("tilda,air-spring", "nobody,air-spring", "login: 'nobody' is not known"),
        (
            NOW.isoformat(),
            (NOW + timedelta(days=1)).isoformat(),
            "is after recorded_at, when the sitting ended; expected an earlier moment",
        ),
        (
            (NOW + timedelta(minutes=60)).isoformat(),
            (NOW + timedelta(minutes=30)).isoformat(),
            "is in this sitting already; expected each question once",
        ),
    ],
)
def test_a_sitting_that_cannot_have_been_is_told_and_nothing_comes_in(folder, old, new, told):
    path = folder[0] / "sittings.csv"
    text = path.read_text(encoding="utf-8")
    assert old in text
    path.write_text(text.replace(old, new), encoding="utf-8")
    with undone():
        empty()
        assert told in faults_told(folder[0])
        assert not Sitting.objects.exists()
