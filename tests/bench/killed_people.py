"""Who works at the server that is killed, and what was each of them told is saved?"""

import http.client
import io
import os
import re
import threading
import urllib.error
import urllib.request
import uuid
from collections import Counter
from collections.abc import Callable
from typing import Any

TOKEN = re.compile(r'name="csrfmiddlewaretoken" value="([^"]+)"')
SHOWN = re.compile(r'name="shown" value="([0-9a-f]{64})"')
FORM = "benchright-form"  # the cookie against forged forms
BACKEND = "training.access.sign_in.ShopBackend"


class Told:
    """What people were told is saved: forms by kind and mark, and answers by sitting and place."""

    def __init__(self) -> None:
        self.lock = threading.Lock()
        self.forms: set[tuple[str, str]] = set()
        self.answers: dict[tuple[int, int], Any] = {}
        self.lost = self.again = 0
        self.refused: Counter[str] = Counter()

    def summary(self) -> str:
        """How much of each kind, and how many answers never came."""
        kinds = Counter(kind for kind, _ in self.forms)
        said = [f"{number} {kind}" for kind, number in sorted(kinds.items())]
        odd = f", refused: {dict(self.refused)}" if self.refused else ""
        return (
            f"told as saved: {', '.join(said) or 'no form'}, {len(self.answers)} answers; "
            f"{self.lost} without an answer, {self.again} sent again{odd}"
        )


class Person:
    """Somebody signed in, who does one thing again and again: `next_form` gives a form to send, and
    what to note once the site has said that it is saved.
    """

    def __init__(self, told: Told, cookies: dict[str, str], next_form: Callable) -> None:
        self.told, self.cookies, self.next_form = told, cookies, next_form
        self.address = ""
        self.unanswered: tuple | None = None

    def work(self, address: str, is_over: threading.Event) -> None:
        """Sends form after form until it is over, first the one of which nobody knows."""
        self.address = address
        while not is_over.is_set():
            form, is_again = self.unanswered, self.unanswered is not None
            if form is None:
                form = self.next_form(self)
            if form is None:
                continue
            self._send(form, is_again)

    def _send(self, form: tuple, is_again: bool) -> None:
        path, fields, files, note = form
        status, page, place = self.post(path, fields, files)
        with self.told.lock:
            if status == 0:
                self.told.lost += not is_again
                self.unanswered = form
                return
            self.unanswered = None
            if status == 302 and not place.startswith("/sign-in/"):
                self.told.again += is_again
                note()
            else:
                said = re.sub(r"<[^>]+>|\s+", " ", page.partition("<main")[2])[:200]
                self.told.refused[f"{status} {path} {' '.join(said.split())}"] += 1

    def get(self, path: str) -> str:
        """The page; empty where no answer came."""
        return self._ask(urllib.request.Request(self.address + path))[1]  # noqa: S310

    def post(self, path: str, fields: dict, files: dict) -> tuple[int, str, str]:
        """Status, page and the place one is led on to; 0 where no answer came."""
        from django.core.files.uploadedfile import SimpleUploadedFile
        from django.test.client import BOUNDARY, MULTIPART_CONTENT, encode_multipart

        # A new one each time: what was sent once has been read to its end.
        sent = {name: SimpleUploadedFile("a.jpg", data) for name, data in files.items()}
        fields = {**fields, **sent, "csrfmiddlewaretoken": self.cookies[FORM]}
        return self._ask(
            urllib.request.Request(  # noqa: S310
                self.address + path,
                data=encode_multipart(BOUNDARY, fields),
                headers={"Content-Type": MULTIPART_CONTENT},
            )
        )

    def _ask(self, request: urllib.request.Request) -> tuple[int, str, str]:
        request.add_header("Cookie", "; ".join(f"{k}={v}" for k, v in self.cookies.items()))
        try:
            with urllib.request.build_opener(_Stay).open(request, timeout=60) as answer:
                return answer.status, answer.read().decode(), ""
        except urllib.error.HTTPError as said:
            try:
                return said.code, said.read().decode(errors="replace"), said.headers["Location"]
            except (OSError, http.client.HTTPException):
                return 0, "", ""
        except (OSError, http.client.HTTPException):
            return 0, "", ""


class _Stay(urllib.request.HTTPRedirectHandler):
    def redirect_request(self, *_: object) -> None:
        return None


def people_at_work(told: Told) -> list[Person]:
    """The people of a small shop that is made here, each signed in and with something to do."""
    import time_machine
    from django.utils import timezone

    from quizzes.actions.questions import set_quiz_rules
    from tests.training.shop import NOW, small_shop
    from training.models import Job, Observation, SignOff

    # The machine's clock may stand before the days of the small shop, which would refuse all work.
    with time_machine.travel(min(NOW, timezone.now()), tick=True):
        shop = small_shop()
        # As often on one day as the bench likes.
        set_quiz_rules(quiz=shop.quiz, size=4, wait_days=0, sittings_a_day=0)

    def noted(kind: str, mark: str) -> Callable[[], None]:
        return lambda: told.forms.add((kind, mark))

    def job(_: Person) -> tuple:
        mark = uuid.uuid4().hex
        fields = {
            "on": timezone.localdate().isoformat(),
            "watched_by": "",
            "v-ring": "prong",
            "mark": mark,
        }
        return "/levels/air-spring/job/", fields, {}, noted(Job.KIND, mark)

    def observation(_: Person) -> tuple:
        mark = uuid.uuid4().hex
        fields = {"seen-let-air-out": "unaided", "revision": "1", "mark": mark}
        there = "/who-may/air-spring/tilda/observe/?v-ring=prong"
        return there, fields, {"photos": _photo()}, noted(Observation.KIND, mark)

    def sign_off(person: Person) -> tuple | None:
        from tests.training.factories import PASSWORD

        there = "/who-may/air-spring/mika/founding/"
        found = SHOWN.search(person.get(there))
        if found is None:
            return None
        fields = {"shown": found[1], "password": PASSWORD, "note": "Ten years at another bench."}
        return there, fields, {}, noted(SignOff.KIND, found[1])

    return [
        _signed_in(told, shop.senior, job),
        _signed_in(told, shop.senior, observation),
        _signed_in(told, shop.owner, sign_off),
        _signed_in(told, shop.trainee, _Sitter(told, shop)),
    ]


class _Sitter:
    """Answers quiz after quiz, and ends each: a form for each question and one for the end."""

    def __init__(self, told: Told, shop: Any) -> None:
        self.told, self.shop = told, shop
        self.left: list[tuple] = []

    def __call__(self, _: Person) -> tuple:
        if not self.left:
            self.left = self._sitting()
        return self.left.pop(0)

    def _sitting(self) -> list[tuple]:
        from django.db import connections
        from django.utils import timezone

        from quizzes.actions.sittings import start_sitting
        from tests.quizzes.factories import right_answer, typed_answer

        now = timezone.now()
        sitting = start_sitting(
            quiz=self.shop.quiz,
            person=self.shop.trainee,
            pass_percent=75,
            now=now,
            seed=7,
            today=timezone.localdate(),
        )
        there = f"/sitting/{sitting.pk}/"
        rows = list(sitting.answers.select_related("version__question"))
        forms = [
            (
                f"{there}{row.place}/",
                {"answer": typed_answer(row)},
                {},
                self._noted(sitting.pk, row.place, right_answer(row)),
            )
            for row in rows
        ]
        connections.close_all()
        ended = lambda: self.told.forms.add(("sitting", str(sitting.pk)))  # noqa: E731
        return [*forms, (f"{there}end/", {}, {}, ended)]

    def _noted(self, sitting: int, place: int, given: Any) -> Callable[[], None]:
        return lambda: self.told.answers.__setitem__((sitting, place), given)


def _signed_in(told: Told, row: Any, next_form: Callable) -> Person:
    from django.conf import settings
    from django.middleware.csrf import _get_new_csrf_string
    from django.test import Client

    browser = Client()
    browser.force_login(row, backend=BACKEND)
    name = settings.SESSION_COOKIE_NAME
    cookies = {name: browser.cookies[name].value, FORM: _get_new_csrf_string()}
    return Person(told, cookies, next_form)


def _photo() -> bytes:
    """A photo that nobody has sent before."""
    from PIL import Image

    file = io.BytesIO()
    Image.frombytes("RGB", (64, 48), os.urandom(64 * 48 * 3)).save(file, "JPEG")
    return file.getvalue()
