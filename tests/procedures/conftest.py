"""Which pieces do tests on write-ups share?"""

import pytest

from tests.procedures import book as stand_in


@pytest.fixture
def book(settings):
    """What is handed in to the record book, in order."""
    settings.RECORD_BOOK = "tests.procedures.book.record"
    stand_in.ENTRIES.clear()
    return stand_in.ENTRIES


@pytest.fixture
def second(db):
    """Another senior mechanic."""
    from tests.training.factories import UserFactory

    return UserFactory(login="wim", name="Wim Writer", trade="senior")
