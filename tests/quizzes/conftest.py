"""Which pieces do tests on quizzes share?"""

import pytest

from quizzes.actions.sittings import start_sitting
from quizzes.records import album
from tests.procedures import book as stand_in
from tests.procedures.factories import NOW
from tests.put_in import put_in
from tests.quizzes.factories import DRAWING, TODAY, shared_quiz


@pytest.fixture
def book(settings):
    """What is handed in to the record book, in order."""
    settings.RECORD_BOOK = "tests.procedures.book.record"
    stand_in.ENTRIES.clear()
    return stand_in.ENTRIES


@pytest.fixture
def drawing(monkeypatch):
    """One drawing is there, named stand-in."""

    class StandIn:
        def html(self, *, uid, mirror=False, labels=True, named=True):
            return DRAWING.format(
                mirror=str(mirror).lower(), uid=uid, labels="foam ring" if labels else ""
            )

    monkeypatch.setattr(
        album,
        "fetch_drawings",
        lambda names: {name: StandIn() for name in names if name == "stand-in"},
    )


@pytest.fixture
def quiz(db):
    """One question of each kind on one write-up."""
    return put_in(shared_quiz)


@pytest.fixture
def sitting(quiz, trainee):
    """The trainee's open sitting."""
    return start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=NOW, seed=7, today=TODAY)


@pytest.fixture
def answers(sitting):
    """The sitting's answers by the name of their question."""
    return {
        answer.version.question.name: answer
        for answer in sitting.answers.select_related("version__question")
    }
