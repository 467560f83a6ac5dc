"""How does a journey get its browser, its shop and its watchful eye?"""

import threading
from contextlib import closing
from time import sleep

import pytest
from django.contrib.staticfiles.handlers import StaticFilesHandler
from django.core.handlers.wsgi import WSGIHandler
from django.db import connection
from django.http import HttpResponse

from tests.conftest import browser_path, must_be_there
from tests.journeys.walker import Walker
from tests.put_in import put_in
from tests.training.factories import PASSWORD
from tests.training.shop import NOW, demo_shop, small_shop
from training.models import User

SWITCHED_OFF = (
    # A frame of its own for each page of one and the same site: a fifth of the way to the next.
    "RenderDocument",
    # The list under the address bar is a page of its own in each window, and costs more than ours.
    "WebUIOmniboxPopup",
    "WebUIOmniboxAimPopup",
    # What the driver switches off by itself: of two such lists the browser takes the last.
    "AvoidUnnecessaryBeforeUnloadCheckSync",
    "DestroyProfileOnBrowserClose",
    "HttpsUpgrades",
    "HttpsFirstBalancedModeAutoEnable",
    "LensOverlay",
    "MediaRouter",
    "PaintHolding",
    "ThirdPartyStoragePartitioning",
    "AvoidCorsURLLoaderRestartOnRedirect",
    "OptimizationHints",
    "NetworkTimeServiceQuerying",
    "AimEnabled",
    "PreconnectToSearch",
)
SWITCHED_ON = (
    # What fetches is a part of the browser, as on a small device, and no process beside it.
    "NetworkServiceInProcess2",
    # What the driver switches on by itself: here too, the last list is taken.
    "CDPScreenshotNewSurface",
    "SkipListAccountsWithoutGaiaCookies",
)
# A page is left before a compiler for what runs long has earned its time. What a script does is the
# same without it.
SCRIPTS = ("--no-opt", "--no-maglev")
ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-quic",
    "--no-first-run",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--in-process-gpu",  # what draws is a part of it, too
    # a request to elsewhere fails, which a walker notes
    "--host-resolver-rules=MAP * ~NOTFOUND, EXCLUDE 127.0.0.1, EXCLUDE localhost",
    f"--disable-features={','.join(SWITCHED_OFF)}",
    f"--enable-features={','.join(SWITCHED_ON)}",
    f"--js-flags={','.join(SCRIPTS)}",
]


def pytest_addoption(parser):
    parser.addoption(
        "--shots",
        default="",
        metavar="DIR",
        help="write a screenshot of every page into this folder",
    )


# What a page shows on either database is held without a browser; these write a shop's whole way, or
# at one moment, and so run on both.
ON_BOTH_DATABASES = {"test_first_hour", "test_nothing_lost", "test_owner", "test_to_alone"}


def pytest_itemcollected(item):
    item.add_marker(pytest.mark.browser)
    if item.path.stem not in ON_BOTH_DATABASES:
        item.add_marker(pytest.mark.any_database)


# Those that take longest, in the order in which they are handed out to two workers by turns. The
# demo shop is built for the first of them, while the other worker looks at pages of another shop;
# it then finds the demo in its file.
LONGEST = ("test_the_first_hour", "test_axe_finds_nothing", "test_a_newcomer_gets_from_nothing")


@pytest.hookimpl(trylast=True)  # after the tests are put in their random order
def pytest_collection_modifyitems(items):
    # Each of two workers begins with some of them, so that neither waits for the other at the end.
    longest = [item for name in LONGEST for item in items if name in item.name]
    for item in longest:
        items.remove(item)
    half = len(items) // 2
    items[half:half] = longest[1::2]
    items[:0] = longest[::2]


@pytest.fixture(scope="session")
def browser_type_launch_args(browser_type_launch_args):
    if browser_path() is None:
        must_be_there("Chromium")
    return {**browser_type_launch_args, "executable_path": browser_path(), "args": ARGUMENTS}


@pytest.fixture
def shop(request, transactional_db, time_machine):
    """The small shop, or the one that a test asks for, on 25 Nov 2026."""
    time_machine.move_to(NOW, tick=True)
    return put_in(getattr(request, "param", small_shop))


@pytest.fixture
def demo(transactional_db, time_machine):
    """The demo shop on 25 Nov 2026, people by login."""
    time_machine.move_to(NOW, tick=True)
    put_in(demo_shop)
    people = {person.login: person for person in User.objects.all()}
    for person in people.values():
        person.set_password(PASSWORD)
        person.save(update_fields=["password"])
    return people


@pytest.fixture(scope="session", autouse=True)
def one_request_at_a_time():
    """An SQLite database in memory is one connection for all threads of the server, which a page
    that asks twice at once would share in the middle of a statement. A site has a connection for
    each; there the tests of one moment look.
    """
    if connection.vendor != "sqlite":
        yield
        return
    turn, answer = threading.Lock(), WSGIHandler.__call__

    def in_turn(self, environ, start_response):
        with turn:
            response = answer(self, environ, start_response)
            if getattr(response, "streaming", False) and hasattr(response, "streaming_content"):
                response.streaming_content = list(response.streaming_content)
            return response

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(WSGIHandler, "__call__", in_turn)
        yield


@pytest.fixture
def given(monkeypatch):
    """Answers by address: the next browser that asks for one of them gets it as it is, and the site
    does not make the page a second time.
    """
    answers, answer = {}, WSGIHandler.get_response

    def give(self, request):
        return answers.pop(request.get_full_path(), None) or answer(self, request)

    monkeypatch.setattr(WSGIHandler, "get_response", give)
    return answers


@pytest.fixture(scope="session", autouse=True)
def styles_and_scripts_are_kept():
    """As on a shop's own site, a browser asks for a style or a script once, not with each page; and
    as a web server does, this one need not look for it again.
    """
    serve, kept = StaticFilesHandler.serve, {}

    def serve_to_keep(self, request):
        if request.path not in kept:
            with closing(serve(self, request)) as answer:
                kept[request.path] = answer.getvalue(), answer["Content-Type"]
        body, kind = kept[request.path]
        return HttpResponse(body, content_type=kind, headers={"Cache-Control": "max-age=3600"})

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(StaticFilesHandler, "serve", serve_to_keep)
        yield


@pytest.fixture
def walk(browser, live_server, shop):
    """`walk(person)` is a signed-in browser of its own: phone-sized, unless `wide=True` is said.
    The site's own worker runs only where a test is about it: it asks for pages of its own.
    """
    walkers = []

    def start(person=None, *, wide=False, scripts=True, dark=False, worker=False):
        context = browser.new_context(
            viewport={"width": 1440, "height": 900} if wide else {"width": 360, "height": 800},
            java_script_enabled=scripts,
            color_scheme="dark" if dark else "light",
            service_workers="allow" if worker else "block",
            locale="en-GB",  # days stand in the order of the browser's region
        )
        walker = Walker(context, live_server.url)
        walkers.append(walker)
        if person is not None:
            walker.enter(person)
        return walker

    yield start
    for walker in walkers:
        walker.context.close()
    until_the_server_is_idle()
    for walker in walkers:
        assert walker.complaints == [], "the browser complained"


def until_the_server_is_idle(*, tries=2000):
    """A request that a closed page had under way still holds a connection, which would stand in the
    way of clearing up. It may be one that is only about to begin, and cannot be joined yet.
    """
    for _ in range(tries):
        if not any("process_request_thread" in thread.name for thread in threading.enumerate()):
            return
        sleep(0.005)
    raise TimeoutError("the server still answers a request of this journey")
