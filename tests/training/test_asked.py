"""Is a program's minute one and the same in every web process, and does it end?"""

from datetime import timedelta

import pytest

from tests.training.shop import NOW
from training.access.counted import TooMany
from training.actions.asked import count_question
from training.models import Tries

SECOND = timedelta(seconds=1)


def ask(times=1, now=NOW, asker="a screen"):
    """How many of these questions were answered."""
    answered = 0
    for _ in range(times):
        try:
            count_question(asker=asker, most=3, now=now)
        except TooMany:
            continue
        answered += 1
    return answered


@pytest.fixture
def full(db):
    assert ask(5) == 3


def test_a_minute_ends_and_another_asker_is_another_count(full):
    assert ask(asker="a till") == 1
    assert ask(5, now=NOW + timedelta(minutes=2)) == 3


def test_a_second_machine_whose_clock_is_a_little_ahead_or_behind_begins_no_new_count(full):
    ahead = NOW.replace(second=59) + SECOND
    before = Tries.objects.get().last_at
    assert ask(now=ahead) == 1  # the next minute has begun there
    assert Tries.objects.get().last_at > before
    assert ask(3) == 2  # and is gone on with here


def test_a_clock_that_was_set_back_shuts_no_program_out(full):
    assert ask(now=NOW - timedelta(hours=3)) == 1


def test_there_is_one_row_for_each_asker_however_much_is_asked(full):
    ask(4, now=NOW + timedelta(hours=1))
    assert Tries.objects.count() == 1


def test_where_nothing_can_be_counted_the_question_is_answered(db, monkeypatch):
    """A full disk must not hide who may: the limit only guards the machine."""
    from django.db import OperationalError

    def full(*_):
        raise OperationalError("database or disk is full")

    monkeypatch.setattr("training.actions.asked._count", full)
    assert ask() == 1
