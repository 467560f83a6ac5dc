"""What comes of it when the same is done many times at one moment?

On the database of this run, each in a database of its own, with threads that wait for one starting
shot; the programs are loaded once. Without the lock on the head of the book five pairs of twelve
were written twice on PostgreSQL where it was fewest, so that twelve miss that once in six hundred
runs at most; `python -m tests.bench.pairs 50` asks for more, and so does `many_signings 200`.
"""

import os

import pytest

from tests.forked import run_program

ALL = """
import sys
from tests.bench import accounts_at_once, many_signings, pairs, second_tries_at_once
ends = [accounts_at_once.main(), second_tries_at_once.main()]
sys.exit(any([*ends, many_signings.main(16, 2), pairs.main(12)]))
"""


@pytest.fixture(scope="module")
def said():
    done = run_program(["-c", ALL], dict(os.environ))
    assert done.returncode == 0, done.stdout + done.stderr
    return done.stdout


def test_what_is_tried_at_one_moment_comes_through_no_oftener_than_it_may(said):
    assert "two owners who demote each other: 1 of" in said
    assert "the last question of a minute: 1 of" in said


def test_of_second_tries_at_one_moment_one_is_opened(said):
    assert "the same wrong answer: 1 second try" in said
    assert "different wrong answers: 1 second try" in said
    assert "asking for the end: 1 second try" in said


def test_sixteen_signings_at_once_make_one_chain(said):
    assert "16 signings, 16 at once, 0 failed, 16 kept" in said
    assert "entries in the book, one whole chain" in said


def test_pairs_of_every_form_at_one_moment_are_each_written_once(said):
    assert said.count("12 pairs, 0 not written exactly once") == 14
    assert "every pair once, one whole chain" in said
