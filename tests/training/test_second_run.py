"""Does a second run, on another database, leave out only what can reach none?"""

import sys
from types import SimpleNamespace

import pytest

from tests.second_run import says_something_new, starts_programs


def test_what_asks_for_no_database_is_left_out(request):
    assert not says_something_new(request.node)


def test_what_asks_for_one_stays(db, request):
    assert says_something_new(request.node)


@pytest.mark.django_db
def test_what_is_marked_for_one_stays(request):
    assert says_something_new(request.node)


@pytest.mark.any_database
def test_what_looks_at_something_else_is_left_out(db, request):
    assert not says_something_new(request.node)


def item(request, module, *fixtures):
    found = {
        name: request.session._fixturemanager.getfixturedefs(name, request.node)
        for name in fixtures
    }
    return SimpleNamespace(
        module=module, fixturenames=fixtures, _fixtureinfo=SimpleNamespace(name2fixturedefs=found)
    )


def test_what_starts_programs_stays(request):
    """They find a database in the settings: by the module, by what it imports, by a fixture."""
    here = sys.modules[__name__]
    assert not starts_programs(item(request, here, "clock"))
    import subprocess

    assert starts_programs(item(request, SimpleNamespace(used=subprocess)))
    from tests.training.places import new_place

    assert starts_programs(item(request, SimpleNamespace(used=new_place)))
    assert starts_programs(item(request, here, "place"))


@pytest.mark.parametrize("person", ["owner", "trainee"])  # the second finds what the first left
def test_who_gets_the_database_without_a_word_is_told(request, person):
    with pytest.raises(pytest.fail.Exception, match="add `db`"):
        request.getfixturevalue(person)
