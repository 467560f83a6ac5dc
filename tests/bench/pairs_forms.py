"""Which forms write evidence, and what does a browser send for each, as often as is asked?

Each is its name, the table, and for each pair the view, who presses, what stands in the address and
what is sent.
"""

import json
import uuid
from collections.abc import Callable, Iterator
from datetime import timedelta
from typing import Any

from django.db import transaction

from quizzes.actions.sittings import seal
from quizzes.models import Answer, GoneThrough, Sitting, Talk
from tests.training.factories import PASSWORD
from tests.training.shop import LONG_AGO, TODAY, make_ready, observe, sit, small_shop
from training.actions.people import add_person
from training.models import (
    Appointment,
    Job,
    Level,
    Lift,
    Observation,
    Reading,
    ShownAgain,
    SignOff,
    StandDown,
    User,
    VoidAsked,
    VoidDecided,
    shop_now,
)
from training.records.clearing import clearing_sheet
from training.records.seen_again import shown_again_sheet
from training.records.sheets import signing_sheet
from training.records.void_sheets import void_sheet
from training.views import bench, clearing, jobs, observing, people, signing, study, voids

View = Callable[..., Any]
Pair = tuple[View, str, dict[str, Any], dict[str, Any]]
Form = tuple[str, Any, Iterator[Pair]]


def forms(count: int) -> Iterator[Form]:
    """Every form, on a small shop in which somebody is ready to be signed off. What a pair needs is
    made just before it.
    """
    shop = small_shop()
    make_ready(shop, shop.trainee)
    days = [TODAY - timedelta(days=back) for back in range(count)]
    late = [TODAY - timedelta(days=back % 7) for back in range(count)]  # not too late for a job
    level = {"level": "air-spring"}
    yield "reading", Reading, readings(shop, count)
    yield (
        "job",
        Job,
        (
            (jobs.job, "sol", level, marked(**{"on": day, "watched_by": "", "v-ring": "prong"}))
            for day in late
        ),
    )
    yield (
        "job at the bench",
        Job,
        (
            (
                bench.job,
                "sol",
                {"name": shop.writeup.name},
                marked(
                    revision=1,
                    fork=json.dumps({"ring": "prong"}),
                    given="{}",
                    on=day,
                    watched_by="",
                ),
            )
            for day in late
        ),
    )
    yield (
        "observation",
        Observation,
        (
            (
                observing.observe,
                "sol",
                level | {"login": "tilda"},
                marked(**{"seen-let-air-out": "unaided", "revision": "1"}),
            )
            for _ in days
        ),
    )
    yield "sign-off", SignOff, sign_offs(signing.sign_off, shop.trainee, shop.senior, count)
    yield (
        "first sign-off by the owner",
        SignOff,
        sign_offs(signing.founding, shop.mechanic, shop.owner, count),
    )
    yield (
        "stand-down",
        StandDown,
        (
            (
                signing.stand_down,
                "sol",
                {"login": "mika"},
                signed(level="", first=day, reason="A ring came out."),
            )
            for day in days
        ),
    )
    yield (
        "allow again",
        Lift,
        (
            (signing.lift, "odile", {"pk": key}, signed(on=TODAY, reason="Settled."))
            for key in StandDown.objects.values_list("pk", flat=True)
        ),
    )
    yield (
        "appointment",
        Appointment,
        (
            (
                people.appoint,
                "odile",
                {"login": "wim"},
                marked(level="air-spring", first=day, until=""),
            )
            for day in days
        ),
    )
    sat = sittings(shop, count)
    yield (
        "gone through",
        GoneThrough,
        clearings(clearing.gone_through, GoneThrough.KIND, shop.senior, sat),
    )
    yield "talk", Talk, clearings(clearing.talk, Talk.KIND, shop.senior, sat)
    yield "shown again", ShownAgain, shown_again(shop, count)
    yield "void asked for", VoidAsked, voids_asked(shop, count)
    yield "void decided", VoidDecided, voids_decided(shop)


def marked(**data: Any) -> dict[str, Any]:
    return {"mark": uuid.uuid4().hex} | data


def signed(**data: Any) -> dict[str, Any]:
    return marked(password=PASSWORD, **data)


def readings(shop: Any, count: int) -> Iterator[Pair]:
    for place in range(count):
        add_person(
            login=f"p{place}",
            name=f"Person {place}",
            trade="trainee",
            workshop=shop.workshop,
            started=LONG_AGO,
        )
        yield study.read, f"p{place}", {"name": shop.writeup.name}, marked(revision=1)


def sign_offs(view: View, person: User, signer: User, count: int) -> Iterator[Pair]:
    founding = view == signing.founding
    for _ in range(count):
        now = shop_now()
        sheet = signing_sheet(
            person=person,
            level=Level.objects.get(),
            signer=signer,
            limits={},
            on=signer.workshop.day_of(now),
            now=now,
            founding=founding,
        )
        data = signed(shown=sheet.digest, note="Ten years at another bench.")
        yield view, signer.login, {"level": "air-spring", "login": person.login}, data


def sittings(shop: Any, count: int) -> list[Sitting]:
    """Sittings that were not passed, as copies of one."""
    ended = sit(shop.trainee, shop.quiz, wrong=("torque",))
    answers = list(ended.answers.all())
    return [_copy(Sitting.objects.get(pk=ended.pk), answers) for _ in range(count)]


@transaction.atomic
def _copy(sitting: Sitting, answers: list[Answer]) -> Sitting:
    at, result = sitting.recorded_at, (sitting.percent, sitting.critical_right, sitting.happened_on)
    (
        sitting.pk,
        sitting.recorded_at,
        sitting.percent,
        sitting.critical_right,
        sitting.happened_on,
    ) = None, None, None, None, None
    sitting.save(force_insert=True)
    for answer in answers:
        answer.pk, answer.sitting = None, sitting
    Answer.objects.bulk_create(answers)
    sitting.recorded_at, (sitting.percent, sitting.critical_right, sitting.happened_on) = at, result
    return seal(sitting)


def clearings(view: View, kind: str, senior: User, sat: list[Sitting]) -> Iterator[Pair]:
    for sitting in sat:
        sheet = clearing_sheet(kind, sitting=sitting, signer=senior, on=senior.workshop.today())
        steps = [step.key for step in sheet.steps]
        yield (
            view,
            senior.login,
            {"pk": sitting.pk},
            signed(shown=sheet.digest, steps=steps, note="The torque is clear now."),
        )


def voids_asked(shop: Any, count: int) -> Iterator[Pair]:
    """The readings of the first form, person by person."""
    named = {"kind": "reading", "about": shop.writeup.name}
    for place in range(count):
        sheet = void_sheet(
            **named, person=User.objects.get(login=f"p{place}"), on=TODAY, signer=shop.owner
        )
        there = named | {"login": f"p{place}", "day": TODAY.isoformat()}
        yield voids.ask, "odile", there, signed(shown=sheet.digest, reason="Not read.")


def voids_decided(shop: Any) -> Iterator[Pair]:
    for asked in VoidAsked.objects.select_related("person", "by"):
        sheet = void_sheet(
            kind=asked.kind,
            person=asked.person,
            about=asked.about,
            on=asked.happened_on,
            signer=shop.other_senior,
            asked=asked,
        )
        yield (
            voids.void,
            "wim",
            {"pk": asked.pk},
            signed(shown=sheet.digest, reason="", confirm="yes"),
        )


def shown_again(shop: Any, count: int) -> Iterator[Pair]:
    for _ in range(count):
        row = observe(shop, shop.trainee, "not right")
        sheet = shown_again_sheet(row, signer=shop.senior, on=shop.workshop.today())
        steps = [line.step for line in sheet.lines]
        yield (
            observing.shown_again,
            "sol",
            {"pk": row.pk},
            signed(shown=sheet.digest, steps=steps, note=""),
        )
