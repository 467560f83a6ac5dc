"""Which tests say nothing new when the suite runs a second time, on another database?

`--second-database` leaves out each test that can reach none: it asks for no fixture or mark of a
database, and neither its module nor its fixtures start programs, which would find one by
themselves. Nobody has to remember that. Marked by hand as `any_database` is only what does reach
one and looks at something on which it has no bearing.
"""

import sys

import pytest

ASKS = {"db", "transactional_db", "live_server", "django_db_setup"}
HELPER = "_django_db_helper"  # by which pytest-django opens the database to one test


def pytest_addoption(parser):
    parser.addoption(
        "--second-database",
        action="store_true",
        help="the suite has run on another database: leave out what says nothing new on this one",
    )


@pytest.hookimpl(tryfirst=True)
def pytest_collection_modifyitems(config, items):
    if not config.getoption("--second-database"):
        return
    kept = [item for item in items if says_something_new(item)]
    config.hook.pytest_deselected(items=[item for item in items if not says_something_new(item)])
    items[:] = kept


def says_something_new(item: pytest.Item) -> bool:
    """Whether the test could come out otherwise on another database."""
    if item.get_closest_marker("any_database"):
        return False
    return asks_for_a_database(item) or starts_programs(item)


def asks_for_a_database(item: pytest.Item) -> bool:
    return item.get_closest_marker("django_db") is not None or bool(ASKS & set(item.fixturenames))


def starts_programs(item: pytest.Item) -> bool:
    """Whether the module of a test, or one of the fixtures that it has, starts programs by itself
    or by what it takes from another module of the tests.
    """
    known = item._fixtureinfo.name2fixturedefs
    fixtures = [found.func for name in item.fixturenames for found in known.get(name, ())]
    named = [
        one.__globals__[name]
        for one in fixtures
        for name in getattr(getattr(one, "__code__", None), "co_names", ())
        if name in one.__globals__
    ]
    return any(map(_is_of_a_starter, [*vars(item.module).values(), *named]))


def _is_of_a_starter(value: object) -> bool:
    """Whether this is the library that starts programs, or of a module of the tests with it."""
    starter = sys.modules["subprocess"]  # not imported here, or this module would be one of them
    of = sys.modules.get(getattr(value, "__module__", None) or "")
    is_ours = of is not None and of.__name__.startswith("tests.")
    return value is starter or (is_ours and starter in vars(of).values())


@pytest.hookimpl(wrapper=True)
def pytest_fixture_setup(fixturedef, request):
    """In each run: a test that is given the database in the end has asked for it openly, or the
    second run would leave it out. It is told once the fixture stands: pytest takes down only what
    was set up, and what it left behind here would fail every later test of this process.
    """
    value = yield
    if fixturedef.argname == HELPER and not asks_for_a_database(request.node):
        pytest.fail(f"{request.node.nodeid} does not say that it uses the database: add `db`.")
    return value
