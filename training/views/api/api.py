"""What may other programs ask this site, and what do they get?"""

from __future__ import annotations

import hashlib
import json
from collections.abc import Callable
from datetime import date
from functools import wraps
from typing import Any

from django.http import HttpRequest, HttpResponse
from django.utils.translation import gettext, gettext_noop
from ninja import NinjaAPI, Query, Schema
from ninja.security import HttpBearer

from procedures.models import Revision
from procedures.records.days.reader import write_days_for
from procedures.records.days.writing import ISO
from procedures.records.refused import Refused
from procedures.writeup.letters import strip_hidden
from training.actions.entries import record_job
from training.actions.once import write_once
from training.actions.programs import take_program
from training.exchange.asking import fork_of, question_of
from training.exchange.folder import cells
from training.models import Absence, Job, Level, Rota, User, Want, Workshop, shop_now
from training.models.programs import (
    BOOK_READ,
    COVER_READ,
    JOBS_WRITE,
    MAY_READ,
    WRITEUPS_READ,
    ProgramToken,
)
from training.records.gathering import gather
from training.records.keeping import head
from training.reports.cover_told import CoverSpan, cover_told
from training.reports.who_may import who_may
from training.views.api.problems import NotAllowed, NotThere, Problem, tell_problems
from training.views.api.shapes import (
    BookShape,
    CoverQuery,
    CoverShape,
    JobIn,
    JobOut,
    MayQuery,
    MayShape,
    PersonQuery,
    WriteUpShape,
)

PROBLEMS = dict.fromkeys((400, 401, 403, 404, 422, 429), Problem)

LONGEST_MARK = 200


ABOUT = gettext_noop(
    "Who may do which service in this workshop, and why not the others. Every answer is as of the "
    "moment it is asked; keep none for longer than the work takes."
)


class Token(HttpBearer):
    """Authorization: Bearer with a program's token."""

    def authenticate(self, request: HttpRequest, token: str) -> ProgramToken | None:
        return take_program(request=request, token=token, now=shop_now())


class ShopAPI(NinjaAPI):
    """The API with its problems described as what they are."""

    def get_openapi_schema(self, **more: Any) -> Any:
        told = super().get_openapi_schema(**more)
        for path in told["paths"].values():
            for operation in path.values():
                for status, answer in operation["responses"].items():
                    if int(status) >= 400:
                        answer["content"] = {
                            "application/problem+json": answer["content"]["application/json"]
                        }
                if "summary" in operation:
                    operation["summary"] = gettext(operation["summary"])
        told["info"]["description"] = gettext(ABOUT)
        return told


api = ShopAPI(
    title="Benchright",
    version="1",
    description=ABOUT,
    auth=Token(),
    # The library's page of documentation loads scripts from elsewhere, which the policy forbids.
    docs_url=None,
    urls_namespace="api",
)
tell_problems(api)

View = Callable[..., HttpResponse]


def asks(scope: str) -> Callable[[View], View]:
    """A question that needs this scope, and is not worked out again while nothing has changed."""

    def wrap(view: View) -> View:
        @wraps(view)
        def answer(request: HttpRequest, **more: Any) -> HttpResponse:
            # Before the tag: a 304 would tell that nothing changed to whoever may not ask.
            _token_for(request, scope)
            tag = f'"{state_tag()}"'
            asked = request.headers.get("If-None-Match", "")
            # RFC 9110, 13.1.2: If-None-Match compares weakly.
            if tag in [part.strip().removeprefix("W/") for part in asked.split(",")]:
                return HttpResponse(status=304, headers={"ETag": tag})
            with write_days_for(ISO):  # so that the tag says nothing about a reader
                made = view(request, **more)
            made["ETag"] = tag
            return made

        return answer

    return wrap


def state_tag() -> str:
    """What all answers of this moment rest on: the newest entry of the record book, the rota and
    what is wanted (which are not in the book), and the day in each workshop.
    """
    now = shop_now()
    said = [
        # The newest link stands for all evidence: nothing counts that is not in the book.
        head()[1],
        [row.day_of(now).isoformat() for row in Workshop.objects.order_by("pk")],
        *(list(table.objects.order_by("pk").values_list()) for table in (Rota, Absence, Want)),
    ]
    return hashlib.sha256(json.dumps(said, default=str).encode()).hexdigest()[:32]


def as_answer(told: Any) -> HttpResponse:
    """The text that the commands print, too."""
    return HttpResponse(
        json.dumps(told, ensure_ascii=False, indent=1), content_type="application/json"
    )


@api.get(
    "/may/{level}",
    response={200: MayShape, **PROBLEMS},
    summary=gettext_noop("Who may do a service"),
)
@asks(MAY_READ)
def may(request: HttpRequest, level: str, asked: Query[MayQuery]) -> HttpResponse:
    """Who may do a service on a day, as known at an instant; the same as `manage.py may`."""
    _check_names(request, asked)
    _known_level(level)
    said = {
        "level": level,
        "on": asked.on,
        "known_at": asked.known_at,
        "variant": fork_of(asked.variant),
    }
    question = question_of(said, "the address", _today())
    return as_answer(who_may([question], person=asked.person, workshop=asked.workshop)[0])


@api.get(
    "/people/{login}",
    response={200: list[MayShape], **PROBLEMS},
    summary=gettext_noop("One person"),
)
@asks(MAY_READ)
def one_person(request: HttpRequest, login: str, asked: Query[PersonQuery]) -> HttpResponse:
    """What one person may do: one answer for each level."""
    _check_names(request, asked)
    if not User.objects.filter(login=login).exists():
        raise NotThere(gettext("There is nobody with the login “{person}”.").format(person=login))
    levels = sorted({rules.level for rules in gather().levels})
    questions = [
        question_of(
            {"level": level, "on": asked.on, "known_at": asked.known_at}, "the address", _today()
        )
        for level in levels
    ]
    return as_answer(who_may(questions, person=login))


@api.get("/cover", response={200: list[CoverShape], **PROBLEMS}, summary=gettext_noop("Cover"))
@asks(COVER_READ)
def cover(request: HttpRequest, asked: Query[CoverQuery]) -> HttpResponse:
    """How many are needed and there on each day; the same as `manage.py cover`."""
    _check_names(request, asked)
    try:
        span = CoverSpan(
            cells.read_day(asked.first),
            cells.read_day(asked.until),
            asked.pace == "usual",
            tuple(dict.fromkeys(asked.without)),
        )
    except cells.Expected as expected:
        text = gettext("from and to cannot be read; expected {expected}.")
        raise Refused(text.format(expected=expected)) from expected
    return as_answer(cover_told(span, on=_today(), now=shop_now()))


@api.get(
    "/write-ups", response={200: list[WriteUpShape], **PROBLEMS}, summary=gettext_noop("Write-ups")
)
@asks(WRITEUPS_READ)
def write_ups(request: HttpRequest) -> HttpResponse:
    """The revision in force of each write-up."""
    newest = {
        row.writeup.name: row
        for row in Revision.objects.released().select_related("writeup").order_by("number")
    }
    return as_answer(
        [
            {
                "name": name,
                "title": row.writeup.title,
                "revision": row.number,
                "released_on": str(row.released_on),
            }
            for name, row in sorted(newest.items())
        ]
    )


@api.get("/book", response={200: BookShape, **PROBLEMS}, summary=gettext_noop("The record book"))
@asks(BOOK_READ)
def book(request: HttpRequest) -> HttpResponse:
    """The number and the check code of the newest entry."""
    number, digest = head()
    return as_answer({"number": number, "head": digest})


@api.post(
    "/jobs", response={200: JobOut, 201: JobOut, **PROBLEMS}, summary=gettext_noop("Log a job")
)
def write_job(request: HttpRequest, said: JobIn) -> HttpResponse:
    """A job that was done, in the name of whoever made the token, else of the person. With a
    watcher it counts once the watcher has confirmed it. The same mark again writes nothing twice.
    """
    token = _token_for(request, JOBS_WRITE)
    person, level = _person(said.login), _level(said.level)
    watcher = _person(said.watched_by) if said.watched_by else None
    # Somebody of the shop answers for what a program writes.
    by = token.made_by or person
    # With the token's key: two programs may use the same marks for different jobs.
    mark = hashlib.sha256(f"{token.pk} {said.mark}".encode("utf-8", "replace")).hexdigest()
    if not 0 < len(said.mark) <= LONGEST_MARK:
        text = gettext("mark must have 1 to {most} characters.")
        raise Refused(text.format(most=LONGEST_MARK))
    try:
        on = cells.read_day(said.on)
    except cells.Expected as expected:
        text = gettext("on cannot be read; expected {expected}.")
        raise Refused(text.format(expected=expected)) from expected
    done = write_once(
        Job,
        person=by,
        mark=mark,
        write=lambda: record_job(
            person=person,
            level=level,
            revision=_revision(said),
            on=on,
            watched_by=watcher,
            variant=said.variant,
            by=by,
            came_back=said.came_back,
            note=strip_hidden(said.note),
            by_program=True,
        ),
    )
    told = {"job": done.row.pk, "again": done.again, "counts": not done.row.needs_confirmation}
    answer = as_answer(told)
    # 201 says that something came to be; a mark that comes again makes nothing.
    answer.status_code = 200 if done.again else 201
    return answer


def _token_for(request: HttpRequest, scope: str) -> ProgramToken:
    token: ProgramToken = request.auth  # type: ignore[attr-defined]
    if scope not in token.scopes:
        raise NotAllowed(scope)
    return token


def _person(login: str) -> User:
    row = User.objects.select_related("workshop").filter(login=login).first()
    if row is None:
        raise NotThere(gettext("There is nobody with the login “{person}”.").format(person=login))
    return row


def _level(name: str) -> Level:
    row = Level.objects.filter(name=name).first()
    if row is None:
        raise NotThere(gettext("There is no level “{level}”.").format(level=name))
    return row


def _revision(said: JobIn) -> Revision | None:
    if not said.writeup:
        return None
    rows = Revision.objects.released().select_related("writeup").filter(writeup__name=said.writeup)
    row = rows.filter(number=said.revision).first() if said.revision else rows.last()
    if row is None:
        text = gettext("“{writeup}” has no such released revision.")
        raise NotThere(text.format(writeup=said.writeup))
    return row


def _today() -> date:
    workshop = Workshop.objects.order_by("pk").first()
    return workshop.today() if workshop else shop_now().date()


def _check_names(request: HttpRequest, asked: Schema) -> None:
    """Raises Refused for a name in the address that is not asked: a day under another name would
    be passed over, and the answer be that of today.
    """
    known = [field.alias or name for name, field in type(asked).model_fields.items()]
    for name in request.GET:
        if name not in known:
            text = gettext("In the address “{name}” is not known. Use {known}.")
            raise Refused(text.format(name=name, known=", ".join(known)))


def _known_level(level: str) -> None:
    known = sorted({rules.level for rules in gather().levels})
    if level not in known:
        text = gettext("There is no level “{level}”. Choose one of these: {known}.")
        raise NotThere(text.format(level=level, known=", ".join(known) or gettext("none yet")))
