"""Is every answer there that a server had taken before it was killed?

`python -m tests.quizzes.killed_server` makes a database and a small shop of its own, and gives each
answer of a sitting to a new server process, over HTTP, as a browser does. As soon as the server
says that it has the answer, it is killed with signal 9; the next one goes on. What is printed: how
many kills, how many answers are kept, and the result of the sitting.
"""

import multiprocessing
import re
import sys
import urllib.error
import urllib.parse
import urllib.request
from multiprocessing.connection import Connection

import time_machine

from tests.bench.own_database import own_database
from tests.training.places import collect_static

TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')


def main() -> int:
    """0 comes back when every answer is kept and the sitting is passed with all of them, else 1."""
    with own_database("killed_server"):
        from django.db import connections

        from tests.training.shop import NOW, TODAY

        collect_static()  # into the folder that goes with the database
        with time_machine.travel(NOW, tick=True):
            sitting, cookie = _sitting()
            answers = [
                (answer.place, _typed(answer))
                for answer in sitting.answers.select_related("version__question")
            ]
            for place, typed in answers:
                connections.close_all()
                _answered_by_a_server_that_dies(f"/sitting/{sitting.pk}/{place}/", typed, cookie)
            kept = sitting.answers.filter(given__isnull=False).count()
            from quizzes.actions.sittings import end_sitting

            ended = end_sitting(sitting=sitting, now=NOW, today=TODAY)
        print(
            f"{len(answers)} kills, {kept} of {len(answers)} answers kept, {ended.percent} per cent"
        )
        return 0 if kept == len(answers) and ended.percent == 100 else 1


def _sitting():
    """An open sitting in a small shop, and the cookie of its signed-in trainee."""
    from django.conf import settings
    from django.test import Client

    from quizzes.actions.sittings import start_sitting
    from tests.training.shop import NOW, TODAY, small_shop

    shop = small_shop()
    browser = Client()
    browser.force_login(shop.trainee, backend="training.access.sign_in.ShopBackend")
    sitting = start_sitting(
        quiz=shop.quiz, person=shop.trainee, pass_percent=75, now=NOW, seed=7, today=TODAY
    )
    return sitting, browser.cookies[settings.SESSION_COOKIE_NAME].value


def _typed(answer):
    from tests.quizzes.factories import typed_answer

    return typed_answer(answer)


def _answered_by_a_server_that_dies(path: str, typed: list[str], cookie: str) -> None:
    from django.conf import settings

    session = f"{settings.SESSION_COOKIE_NAME}={cookie}"
    fork = multiprocessing.get_context("fork")  # no thread runs and no connection is open here
    here, there = fork.Pipe()
    server = fork.Process(target=serve, args=(there,))
    server.start()
    there.close()
    try:
        address = f"http://127.0.0.1:{here.recv()}"
        browser = urllib.request.build_opener(_Stay)
        browser.addheaders = [("Cookie", session)]
        shown = browser.open(address + path)
        token = TOKEN.search(shown.read().decode())[1]
        browser.addheaders = [("Cookie", f"{session}; {settings.CSRF_COOKIE_NAME}={token}")]
        fields = [("csrfmiddlewaretoken", token), *(("answer", each) for each in typed)]
        try:
            browser.open(address + path, urllib.parse.urlencode(fields).encode())
        except urllib.error.HTTPError as led_on:
            if led_on.code != 302:
                raise
    finally:
        server.kill()
        server.join()


class _Stay(urllib.request.HTTPRedirectHandler):
    """Follows nothing: being led on is the sign that the answer was taken."""

    def redirect_request(self, *_):
        return None


def serve(tell: Connection) -> None:
    """The site on a free port of this machine, which is told; until it is killed."""
    from wsgiref.simple_server import WSGIRequestHandler, make_server

    class Quiet(WSGIRequestHandler):
        def log_message(self, *_):
            pass

    from django.core.wsgi import get_wsgi_application

    application = get_wsgi_application()
    with make_server("127.0.0.1", 0, application, handler_class=Quiet) as server:
        tell.send(server.server_port)
        server.serve_forever()


if __name__ == "__main__":
    sys.exit(main())
