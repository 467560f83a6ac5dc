"""Which small shop do the tests of pages and actions work in?

One workshop; a write-up of one level with a quiz of four questions; a senior who may sign; somebody
who is ready to be signed off. Everything is written through the actions of the site, so that the
record book is whole.
"""

import datetime
import io
from types import SimpleNamespace

from django.contrib.auth.hashers import make_password
from django.core.files.uploadedfile import SimpleUploadedFile
from django.core.management import call_command
from django.db import transaction

from procedures.actions import writeups as procedures_actions
from procedures.actions.drawings import keep_drawing
from procedures.models import Revision, ShopRules
from procedures.pictures.clean import clean_photo_file
from procedures.records import files
from procedures.records.above import record
from procedures.writeup.parse import parse
from quizzes.actions.questions import set_quiz, set_quiz_rules
from quizzes.actions.refreshers import start_round
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import Question
from tests.pages import TRADES
from tests.procedures.factories import RULES, TEXT
from tests.procedures.picture_files import photo_bytes
from tests.quizzes.factories import VersionFactory, right_answer
from tests.training.factories import PASSWORD, WorkshopFactory
from training.actions import entries, rota, signing
from training.actions.calendars import make_address
from training.actions.cards import make_card
from training.actions.clearing import sign_gone_through, sign_talk
from training.actions.confirming import confirm_job
from training.actions.front import keep_photo, set_front
from training.actions.levels import set_level
from training.actions.observing import sign_shown_again
from training.actions.people import add_person
from training.actions.plan import accept_plan
from training.actions.programs import make_token
from training.actions.reminders import confirm_address, count_address_mail, set_wish
from training.actions.start import leave_for_later
from training.actions.voids import ask_for_void, decide_void, words_of_asking, words_of_deciding
from training.cover.plan import PlannedLine
from training.models import Level, SignOff, User, Workshop
from training.records.clearing import clearing_sheet
from training.records.seen_again import shown_again_sheet
from training.records.sheets import signing_sheet
from training.records.void_sheets import void_sheet
from training.reports.cards import address_of
from training.reports.confirm_mail import confirm_path
from training.reports.stop_mail import stop_path
from training.standing.terms import Terms

TODAY = datetime.date(2026, 11, 25)
NOW = datetime.datetime(2026, 11, 25, 9, 30, tzinfo=datetime.UTC)
LONG_AGO = datetime.date(2026, 1, 5)
TERMS = Terms(
    title="Air-spring service",
    valid_months=24,
    writeups=("air-spring-service",),
    watched_jobs=1,
    observations=1,
    pass_percent=75,
    grace_days=14,
)


def proof(person, about):
    return signing.PasswordProof(person.pk, about)


def found(person, level, owner, on=LONG_AGO, now=NOW):
    """A founding sign-off by the owner."""
    sheet = signing_sheet(
        person=person, level=level, signer=owner, limits={}, on=on, now=now, founding=True
    )
    return signing.sign_off(
        person=person,
        level=level,
        signer=owner,
        limits={},
        shown=sheet.digest,
        proof=proof(owner, sheet.digest),
        on=on,
        now=now,
        note="Ten years at another bench.",
        founding=True,
    )


def stood_down(*, person, by, level=None, first=TODAY, reason="A ring came out.", now=NOW):
    """A stand-down with the password that was given for it."""
    given = proof(by, signing.words_of_stand_down(person, level, first, reason))
    return signing.stand_down(
        person=person, level=level, first=first, by=by, reason=reason, proof=given, now=now
    )


def lifted(*, standdown, by, on=TODAY, reason="Settled.", now=NOW):
    """A lift with the password that was given for it."""
    given = proof(by, signing.words_of_lift(standdown, on, reason))
    return signing.lift(standdown=standdown, on=on, by=by, reason=reason, proof=given, now=now)


def void_asked(*, by, reason="Signed for the wrong fork.", shown=None, now=NOW, **meant):
    """A void that was asked for, with the password that was given for what was shown."""
    shown = shown or void_sheet(**meant, signer=by).digest
    return ask_for_void(
        **meant,
        by=by,
        reason=reason,
        shown=shown,
        proof=proof(by, words_of_asking(shown, reason)),
        now=now,
    )


def void_decided(asked, by, *, confirm=True, reason="", shown=None, now=NOW):
    """The second person's word, with the password that was given for what was shown."""
    meant = {
        "kind": asked.kind,
        "person": asked.person,
        "about": asked.about,
        "on": asked.happened_on,
    }
    shown = shown or void_sheet(**meant, signer=by, asked=asked).digest
    given = proof(by, words_of_deciding(shown, confirm, reason))
    return decide_void(
        asked=asked, confirm=confirm, by=by, reason=reason, shown=shown, proof=given, now=now
    )


def sit(person, quiz, *, wrong=(), now=NOW, today=TODAY):
    """An ended sitting with everything right but the questions named."""
    sitting = start_sitting(quiz=quiz, person=person, pass_percent=75, now=now, seed=1, today=today)
    for answer in sitting.answers.select_related("version__question"):
        if answer.version.question.name not in wrong:
            save_answer(sitting=sitting, place=answer.place, given=right_answer(answer), now=now)
    return end_sitting(sitting=sitting, now=now, today=today)


def sign_clearing(shop, sitting):
    """Both statements of the senior on a sitting that was not passed: gone through, and a talk."""
    common = {"sitting": sitting, "by": shop.senior, "on": TODAY, "now": NOW}
    sheet = clearing_sheet("gone through", sitting=sitting, signer=shop.senior, on=TODAY)
    keys = [step.key for step in sheet.steps]
    sign_gone_through(
        steps=keys, shown=sheet.digest, proof=proof(shop.senior, sheet.digest), **common
    )
    sheet = clearing_sheet("talk", sitting=sitting, signer=shop.senior, on=TODAY)
    sign_talk(
        note="The torque is clear now.",
        shown=sheet.digest,
        proof=proof(shop.senior, sheet.digest),
        **common,
    )


def waiting_job(shop, person, on=TODAY, **more):
    """A watched job that the senior has not confirmed yet."""
    return entries.record_job(
        **{
            "person": person,
            "level": shop.level,
            "revision": shop.revision,
            "on": on,
            "today": TODAY,
            "watched_by": shop.senior,
            "variant": {"ring": "prong"},
            "by": person,
            "now": NOW,
            **more,
        }
    )


def watched_job(shop, person, on=TODAY, now=NOW, **more):
    """A watched job, confirmed by the senior."""
    job = waiting_job(shop, person, on, now=now, **more)
    confirm_job(job=job, by=shop.senior, now=now)
    return job


def seen_lines(revision, seen="unaided"):
    from dataclasses import replace

    from training.reports.observing import observing_page

    level = Level.objects.get()
    chosen = {"writeup": revision.writeup.name, "v-ring": "prong"}
    page = observing_page(
        User.objects.get(login="sol"),
        User.objects.get(login="tilda"),
        level,
        chosen,
        today=TODAY,
        now=NOW,
    )
    return [replace(line, seen=seen) for line in page.lines]


def observe(shop, person, seen="unaided", observer=None, revision=None, **more):
    revision = revision or shop.revision
    return entries.record_observation(
        person=person,
        level=shop.level,
        observer=observer or shop.senior,
        revision=revision,
        variant={"ring": "prong"},
        lines=seen_lines(revision, seen),
        on=TODAY,
        today=TODAY,
        now=NOW,
        **more,
    )


def wish_mail(person, address):
    """Somebody wants the daily mail at an address that is confirmed."""
    wish = set_wish(person=person, address=address, is_wanted=True, now=NOW)
    if wish.confirmed_at is None:
        confirm_address(wish=wish, now=NOW)
    return wish


def shown_again(shop, row, by=None):
    """The statement that every line that was not right was shown again."""
    by = by or shop.senior
    sheet = shown_again_sheet(row, signer=by, on=TODAY)
    steps = [line.step for line in sheet.lines]
    return sign_shown_again(
        observation=row,
        steps=steps,
        by=by,
        shown=sheet.digest,
        proof=proof(by, sheet.digest),
        on=TODAY,
        now=NOW,
    )


def make_ready(shop, person):
    """All that the level asks before a sign-off."""
    entries.record_reading(person=person, revision=shop.revision, on=TODAY, now=NOW)
    sit(person, shop.quiz)
    watched_job(shop, person)
    observe(shop, person)


def small_shop():
    """The shop, with what is in it by name."""
    workshop: Workshop = WorkshopFactory()
    with transaction.atomic():
        record(workshop.KIND, workshop)
    people = {
        trade: add_person(
            login=login,
            name=name,
            trade=trade.partition(" ")[0],
            workshop=workshop,
            started=datetime.date(2020, 1, 1),
        )
        for trade, login, name in (
            ("owner", "odile", "Odile Owner"),
            ("senior", "sol", "Sol Senior"),
            ("senior two", "wim", "Wim Writer"),
            ("mechanic", "mika", "Mika Mechanic"),
            ("trainee", "tilda", "Tilda Trainee"),
        )
    }
    hashed = make_password(PASSWORD)  # once: outside pytest it costs what it should
    for person in people.values():
        person.password = hashed
        person.save(update_fields=["password"])
    procedures_actions.set_rules(text=RULES, author=None, now=NOW)
    writeup = procedures_actions.bring_writeup(
        name="air-spring-service", title="Air-spring service"
    )
    revision = procedures_actions.bring_revision(
        writeup=writeup,
        number=1,
        text=TEXT.format(title="Air-spring service"),
        asks="nothing",
        released_on=LONG_AGO,
        now=NOW,
    )
    for name, traits in {
        "one": {},
        "all": {"several": True},
        "order": {"order": True},
        "torque": {"amount": True},
    }.items():
        question = Question.objects.create(writeup=writeup, name=name)
        version = VersionFactory(question=question, critical=name == "torque", **traits)
        with transaction.atomic():
            record(version.KIND, version)
    set_level(name="air-spring", terms=TERMS, now=NOW, from_day=None)
    level = Level.objects.get()
    set_quiz(name="air-spring", title=TERMS.title, writeups=[writeup], size=4)
    shop = SimpleNamespace(
        workshop=workshop,
        owner=people["owner"],
        senior=people["senior"],
        other_senior=people["senior two"],
        mechanic=people["mechanic"],
        trainee=people["trainee"],
        writeup=writeup,
        revision=Revision.objects.get(pk=revision.pk),
        level=level,
        quiz=level.quiz,
    )
    found(shop.senior, level, shop.owner)
    signing.appoint(
        person=shop.senior, level=level, by=shop.owner, first=LONG_AGO, until=None, now=NOW
    )
    # This owner keeps no rota, and so comes to the bench and not to the start.
    leave_for_later(steps=["rota"], by=shop.owner, now=NOW)
    return shop


def demo_shop():
    """The demo shop, as the command loads it; what the command says."""
    said = io.StringIO()
    call_command("demo", no_serve=True, stdout=said, stderr=io.StringIO())
    return said.getvalue()


def ready_shop():
    """The small shop; the trainee has all that the level asks before a sign-off."""
    shop = small_shop()
    make_ready(shop, shop.trainee)
    return shop


def wanting_shop():
    """A senior, who is alone, and the trainee, who lacks the sign-off only, work from Monday to
    Friday; two are wanted on Mondays.
    """
    shop = ready_shop()
    week = ["mon", "tue", "wed", "thu", "fri"]
    for person in (shop.senior, shop.trainee):
        rota.set_shift(
            person=person, workshop=shop.workshop, weekdays=week, first=TODAY, by=shop.owner
        )
    rota.set_want(workshop=shop.workshop, level=shop.level, counts={"mon": 2}, by=shop.owner)
    return shop


def busy_shop():
    """The small shop with something on every page."""
    return with_something_on_every_page(small_shop())


def with_something_on_every_page(shop):
    """The shop with somebody ready, an ended and an open sitting, a stand-down and a draft; `args`
    for every route.
    """
    make_ready(shop, shop.trainee)
    set_quiz_rules(quiz=shop.quiz, size=4, wait_days=0, sittings_a_day=0)
    ended = sit(shop.trainee, shop.quiz, wrong=("torque",))
    first_round = start_round(person=shop.trainee, now=NOW, today=TODAY, seed=3)
    open_ = start_sitting(
        quiz=shop.quiz, person=shop.trainee, pass_percent=75, now=NOW, seed=2, today=TODAY
    )
    down = stood_down(
        person=shop.other_senior,
        level=shop.level,
        first=TODAY,
        by=shop.owner,
        reason="A ring came out.",
    )
    procedures_actions.start_revision(writeup=shop.writeup, author=shop.other_senior, now=NOW)
    picture = keep_drawing(
        name="ring-pliers",
        title="Ring pliers",
        description="A pair of pliers.",
        data=photo_bytes(),
        by=shop.senior,
        now=NOW,
    )
    seen = observe(
        shop, shop.trainee, "not right", photos=[files.keep(clean_photo_file(photo_bytes()).data)]
    )
    # One that came in from earlier records: the trainee lacks today's, and stays ready for it.
    with transaction.atomic():
        signed = entries.write_down(
            SignOff(
                person=shop.trainee,
                level=shop.level,
                signer=shop.senior,
                happened_on=LONG_AGO,
                recorded_at=NOW,
                printed_name="Sol Senior",
            )
        )
    waiting = waiting_job(shop, shop.trainee)
    card = make_card(person=shop.trainee, by=shop.trainee, now=NOW)
    asked = void_asked(
        kind="reading",
        person=shop.trainee,
        about=shop.writeup.name,
        on=TODAY,
        by=shop.other_senior,
        reason="It was the old one.",
    )
    rota.set_shift(
        person=shop.senior,
        workshop=shop.workshop,
        weekdays=["mon", "tue", "wed"],
        first=LONG_AGO,
        by=shop.owner,
    )
    rota.set_shift(
        person=shop.trainee,
        workshop=shop.workshop,
        weekdays=["mon", "tue", "fri"],
        first=LONG_AGO,
        by=shop.owner,
    )
    accept_plan(
        by=shop.owner, lines=[PlannedLine(shop.trainee.login, shop.level.name, TODAY, TODAY)]
    )
    rota.set_want(
        workshop=shop.workshop, level=shop.level, counts={"mon": 2, "fri": 1}, by=shop.owner
    )
    away = rota.add_absence(
        person=shop.mechanic, first=TODAY, until=TODAY, why="ill", by=shop.owner
    )
    front = set_front(
        name="Test Workshop",
        logo=SimpleUploadedFile("logo.jpg", photo_bytes()),
        is_logo_removed=False,
        all_may_look=False,
        by=shop.owner,
        now=NOW,
    )
    keep_photo(person=shop.trainee, photo=SimpleUploadedFile("tilda.jpg", photo_bytes()), now=NOW)
    wish = set_wish(person=shop.trainee, address="tilda@shop.example", is_wanted=True, now=NOW)
    count_address_mail(person=shop.trainee, address=wish.address, now=NOW)
    shop.args = {
        "writeup": shop.writeup.name,
        "level": shop.level.name,
        "standdown": down.pk,
        "open_sitting": open_.pk,
        "ended_sitting": ended.pk,
        "round": first_round.pk,
        "question": "one",
        "step": parse(shop.revision.text).steps[0].id,
        "photo": picture.digest,
        "observation": seen.pk,
        "signoff": signed.pk,
        "card": card.pk,
        "watched_job": waiting.pk,
        "appointment": shop.senior.appointments.get().pk,
        "seal": address_of(card).split("/")[-2],
        "calendar": make_address(person=shop.trainee, is_shop=False, now=NOW),
        "program": make_token(
            name="till", scopes=["may:read"], until=TODAY, by=shop.owner, today=TODAY, now=NOW
        )[0].pk,
        "wish": wish.pk,
        "logo": front.digest,
        "mail_link": confirm_path(wish).split("/")[-2],
        "stop_seal": stop_path(wish).split("/")[-2],
        "purpose": "revocation",
        "quiz": shop.quiz.name,
        "void": asked.pk,
        "reading": "reading",
        "day": TODAY.isoformat(),
        "rules": ShopRules.objects.latest("pk").pk,
        "1": 1,
        "2": 2,
        "code": "abcd-efgh-ijkl-mnop",
        "away": away.pk,
        "workshop": shop.workshop.pk,
        **{trade: getattr(shop, trade).login for trade in TRADES},
    }
    return shop
