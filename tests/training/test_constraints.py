"""Does the database itself refuse each row that cannot be, and each change of what is sealed?

One list, held complete against the models: for each constraint and each unique column a row that
fits, and what breaks that constraint and only it. The rows go past the actions and the models'
checks, straight into the database, as a program of somebody else's would send them.
"""

import datetime
import uuid
from dataclasses import dataclass, field

from django.apps import apps
from django.core.exceptions import ValidationError
from django.db import DatabaseError, connection, models, transaction

from tests.training.shop import NOW, TODAY

DAY = datetime.timedelta(days=1)
MODELS = {
    model._meta.label: model
    for app in ("procedures", "quizzes", "training")
    for model in apps.get_app_config(app).get_models(include_auto_created=True)
}


@dataclass(frozen=True)
class Break:
    """What makes of the row that fits one that breaks a constraint. `of_two`: it may stand there
    once, and stands there already, with what `first` sets. `sets` may be a function of the shop.
    """

    label: str
    sets: object = field(default_factory=dict)
    of_two: bool = False
    first: dict = field(default_factory=dict)


# By the name of the constraint; a unique column is called TABLE.COLUMN.
BREAKS = {
    # write-ups
    "procedures_writeup.name": Break("procedures.WriteUp", of_two=True),
    "revision_number_once": Break(
        "procedures.Revision", {"released_on": TODAY, "digest": "a" * 64}, of_two=True
    ),
    "one_open_revision": Break("procedures.Revision", {"number": 51}, of_two=True),
    "released_by_another": Break(
        "procedures.Revision",
        lambda shop: {
            "released_on": TODAY,
            "released_by": shop.senior,
            "author": shop.senior,
            "digest": "a" * 64,
        },
    ),
    "revision_asks_known": Break("procedures.Revision", {"asks": "everything"}),
    "revision_number_from_one": Break("procedures.Revision", {"number": 0}),
    "released_is_hashed": Break("procedures.Revision", {"released_on": TODAY, "digest": ""}),
    "asked_of_change_once": Break("procedures.AskedOfChange", of_two=True),
    "asked_of_change_known": Break("procedures.AskedOfChange", {"asks": "everything"}),
    "typed_once_per_desk": Break("procedures.Typed", of_two=True),
    "example_once": Break("procedures.Example", of_two=True),
    "example_known": Break("procedures.Example", {"thing": "drawing"}),
    "example_read_by_somebody": Break("procedures.Example", {"read_at": NOW}),
    "value_confirmed_once": Break("procedures.ConfirmedValue", of_two=True),
    "training_leftforlater.step": Break("training.LeftForLater", of_two=True),
    "start_step_known": Break("training.LeftForLater", {"step": "coffee"}),
    "procedures_drawing.name": Break("procedures.Drawing", {"digest": "c" * 64}, of_two=True),
    "drawing_kind_known": Break("procedures.Drawing", {"kind": "film"}),
    "drawing_is_hashed": Break("procedures.Drawing", {"digest": "a" * 63}),
    "chosen_fork_once": Break("procedures.ChosenFork", of_two=True),
    # questions and sittings
    "quizzes_quiz.name": Break("quizzes.Quiz", of_two=True),
    "question_name_once": Break("quizzes.Question", of_two=True),
    "question_version_once": Break("quizzes.QuestionVersion", of_two=True),
    "question_kind_known": Break("quizzes.QuestionVersion", {"kind": "sing"}),
    "one_open_sitting": Break("quizzes.Sitting", of_two=True),
    "sitting_ended_with_result": Break("quizzes.Sitting", {"recorded_at": NOW}),
    "pass_percent_is_percent": Break("quizzes.Sitting", {"pass_percent": 101}),
    "answer_place_once": Break("quizzes.Answer", of_two=True),
    "marks_from_0_to_1": Break("quizzes.Answer", {"marks": 2}),
    "one_second_try": Break("quizzes.Answer", {"place": 91}, of_two=True, first={"second_to": 1}),
    "second_try_of_another_question": Break("quizzes.Answer", {"second_to": 90}),
    "one_gonethrough_of_a_sheet": Break("quizzes.GoneThrough", of_two=True),
    "one_talk_of_a_sheet": Break("quizzes.Talk", of_two=True),
    "draft_dropped_once": Break("quizzes.DraftDropped", of_two=True),
    "refresher_place_once": Break("quizzes.RefresherAnswer", of_two=True),
    "refresher_marked_when_given": Break("quizzes.RefresherAnswer", {"marks": 1}),
    # people, levels, rota
    "training_bookentry.digest": Break("training.BookEntry", {"number": 10_001}, of_two=True),
    "one_book": Break("training.BookHead", {"pk": 2}),
    "training_workshop.name": Break("training.Workshop", of_two=True),
    "training_user.login": Break("training.User", {"login": "mika", "goes_by_capitals": True}),
    "login_once_in_any_case": Break("training.User", {"login": "MIKA"}),
    "trade_known": Break("training.User", {"trade": "boss"}),
    "without_bench_work_owner": Break("training.User", {"trade": "owner", "owner": False}),
    "left_not_before_started": Break("training.User", {"started": TODAY, "left": TODAY - DAY}),
    "why_refused_known": Break("training.RefusedSignIn", {"why": "bad luck"}),
    "training_onetimelink.code_hash": Break("training.OneTimeLink", of_two=True),
    "one_place_at_the_bench": Break("training.BenchPlace", of_two=True),
    "one_card_at_a_time": Break("training.Card", of_two=True),
    "one_open_token_of_a_name": Break("training.ProgramToken", {"digest": "b" * 64}, of_two=True),
    "one_calendar_address_at_a_time": Break(
        "training.CalendarAddress", {"digest": "b" * 64}, of_two=True
    ),
    "training_calendaraddress.digest": Break(
        "training.CalendarAddress", {"ended_at": NOW}, of_two=True
    ),
    "own_event_once": Break("training.CalendarEvent", {"uid": uuid.UUID(int=2)}, of_two=True),
    "event_of_shop_once": Break(
        "training.CalendarEvent", {"uid": uuid.UUID(int=2)}, True, {"person": None}
    ),
    "training_calendarevent.uid": Break("training.CalendarEvent", {"key": "other"}, of_two=True),
    "event_not_backwards": Break("training.CalendarEvent", {"until": TODAY - DAY}),
    "one_shop_front": Break("training.ShopFront", {"pk": 2}),
    "wanted_mail_has_address": Break("training.MailWish", {"address": ""}),
    "one_reminder_a_day": Break("training.Reminder", of_two=True),
    "reminder_state_known": Break("training.Reminder", {"state": "lost"}),
    "training_programtoken.digest": Break("training.ProgramToken", {"name": "other"}, of_two=True),
    "card_ended_by_somebody": Break("training.Card", {"ended_at": NOW}),
    "training_level.name": Break("training.Level", {"quiz": None}, of_two=True),
    "training_level.quiz": Break("training.Level", lambda shop: {"quiz": shop.quiz}),
    "valid_months_given": Break("training.LevelRules", {"valid_months": 0}),
    "pass_mark_is_percent": Break("training.LevelRules", {"pass_percent": 101}),
    "absence_not_backwards": Break("training.Absence", {"until": TODAY - DAY}),
    "want_once": Break("training.Want", of_two=True),
    "planned_once": Break("training.Planned", of_two=True),
    # evidence
    "one_reading_a_day": Break("training.Reading", of_two=True),
    "paper_percent_is_percent": Break("training.PaperPass", {"percent": 101}),
    "only_watched_jobs_wait": Break("training.Job", {"watched_by": None}),
    "refused_job_says_why": Break("training.JobConfirmation", {"confirmed": False, "reason": ""}),
    "training_jobconfirmation.job": Break("training.JobConfirmation", of_two=True),
    "training_jobtakenback.job": Break("training.JobTakenBack", of_two=True),
    "training_shownagain.observation": Break("training.ShownAgain", of_two=True),
    "one_sign_off_of_a_sheet": Break("training.SignOff", of_two=True),
    "training_lift.standdown": Break("training.Lift", of_two=True),
    "appointment_not_backwards": Break("training.Appointment", {"until": TODAY - DAY}),
    "appointment_not_ended_backwards": Break("training.AppointmentEnd", {"until": TODAY - DAY}),
    "void_kind_known": Break("training.Void", {"kind": "talk"}),
    "one_entry_for_each_mark": Break("training.Taken", of_two=True),
    "one_void_asked_of_a_sheet": Break("training.VoidAsked", of_two=True),
    "training_voiddecided.asked": Break("training.VoidDecided", {"void": None}, of_two=True),
    "training_voiddecided.void": Break(
        "training.VoidDecided",
        lambda shop: {"asked": another(shop, "training.VoidAsked")},
        of_two=True,
    ),
}


def by_name():
    """Each constraint and unique column of the models, with its model."""
    found = {}
    for model in MODELS.values():
        found |= {rule.name: model for rule in model._meta.constraints}
        found |= {
            f"{model._meta.db_table}.{column.name}": model
            for column in model._meta.concrete_fields
            if column.unique and not column.primary_key
        }
        assert not model._meta.unique_together
    return found


def like(label, **sets):
    """A new row like the first one of its table, which the site has written."""
    row = MODELS[label]._base_manager.order_by("pk").first()
    row.pk, row._state.adding = None, True
    for name, value in sets.items():
        setattr(row, name, value)
    return row


def another(shop, label):
    """A row that fits, in the database."""
    return put_in(fitting(shop)[label]())


def put_in(row):
    row._state.adding = True
    type(row)._base_manager.bulk_create([row])
    return row


def fitting(shop):
    """How to make a row of each table that can come in."""

    def made(label, **sets):
        return lambda: MODELS[label](**sets)

    def draft():
        return like(
            "procedures.Revision",
            number=50,
            released_on=None,
            released_by=None,
            digest="",
            recorded_at=None,
        )

    def example():
        return MODELS["procedures.Example"](
            thing="level", name="fits", brought_by=shop.owner, brought_at=NOW
        )

    def open_sitting():
        ended = ("happened_on", "recorded_at", "percent", "critical_right")
        return like("quizzes.Sitting", person=shop.owner, **dict.fromkeys(ended))

    def observed():
        return put_in(like("training.Observation"))

    sheet = {"shown_digest": "d" * 64}
    own = {"person": shop.mechanic}
    return {
        "procedures.WriteUp": lambda: like("procedures.WriteUp", name="fits"),
        "procedures.Revision": draft,
        "procedures.AskedOfChange": lambda: like(
            "procedures.AskedOfChange", revision=put_in(draft())
        ),
        "procedures.Typed": lambda: MODELS["procedures.Typed"](
            **own, revision=put_in(draft()), desk="one", text="", reason="", seen=NOW, kept_at=NOW
        ),
        "procedures.Example": example,
        "procedures.ConfirmedValue": lambda: MODELS["procedures.ConfirmedValue"](
            example=put_in(example()), name="read-label|12N·m", by=shop.senior, at=NOW
        ),
        "training.LeftForLater": made(
            "training.LeftForLater", step="people", by=shop.owner, at=NOW
        ),
        "procedures.Drawing": lambda: like("procedures.Drawing", name="fits", digest="b" * 64),
        "procedures.ChosenFork": made("procedures.ChosenFork", **own, writeup=shop.writeup),
        "quizzes.Quiz": lambda: like("quizzes.Quiz", name="fits"),
        "quizzes.QuizRules": lambda: like("quizzes.QuizRules"),
        "quizzes.Question": lambda: like("quizzes.Question", name="fits"),
        "quizzes.QuestionVersion": lambda: like("quizzes.QuestionVersion", number=77),
        "quizzes.QuestionConfirmed": lambda: like("quizzes.QuestionConfirmed"),
        "quizzes.Sitting": open_sitting,
        "quizzes.Answer": lambda: like(
            "quizzes.Answer", sitting=put_in(open_sitting()), place=90, marks=None
        ),
        "quizzes.MoreTime": lambda: like("quizzes.MoreTime", sitting=put_in(open_sitting())),
        "quizzes.GoneThrough": lambda: like("quizzes.GoneThrough", once=True, **sheet),
        "quizzes.Talk": lambda: like("quizzes.Talk", once=True, **sheet),
        "quizzes.DraftDropped": made(
            "quizzes.DraftDropped", writeup=shop.writeup, name="d", by=shop.senior, recorded_at=NOW
        ),
        "quizzes.RefresherRound": made(
            "quizzes.RefresherRound", **own, seed=1, started_at=NOW, on=TODAY
        ),
        "quizzes.RefresherAnswer": lambda: MODELS["quizzes.RefresherAnswer"](
            round=another(shop, "quizzes.RefresherRound"),
            place=1,
            shown={},
            version=MODELS["quizzes.QuestionVersion"].objects.first(),
        ),
        "training.BookEntry": lambda: like("training.BookEntry", number=10_000, digest="e" * 64),
        "training.BookHead": lambda: None,  # there is one, and no second one fits
        "training.Workshop": lambda: like("training.Workshop", name="Fits"),
        "training.User": lambda: like("training.User", login="fits", goes_by_capitals=False),
        "training.Tries": made("training.Tries", key="k", last_at=NOW),
        "training.RefusedSignIn": made(
            "training.RefusedSignIn", key="k", why="password", first_at=NOW, last_at=NOW
        ),
        "training.OneTimeLink": made(
            "training.OneTimeLink", **own, code_hash="h", made_at=NOW, ends_at=NOW
        ),
        "training.BenchPlace": made(
            "training.BenchPlace", **own, writeup=shop.writeup, revision=1, kept_at=NOW
        ),
        "training.ProgramToken": made(
            "training.ProgramToken",
            name="board",
            scopes=["may:read"],
            digest="a" * 64,
            until=TODAY,
            made_at=NOW,
            made_by=shop.owner,
        ),
        "training.CalendarAddress": made(
            "training.CalendarAddress", **own, digest="a" * 64, made_at=NOW
        ),
        "training.CalendarEvent": made(
            "training.CalendarEvent",
            **own,
            key="k",
            uid=uuid.UUID(int=1),
            changed_at=NOW,
            first=TODAY,
            until=TODAY,
            summary="Away",
        ),
        "training.ShopFront": made("training.ShopFront", pk=1, changed_at=NOW),
        "training.PersonPhoto": made(
            "training.PersonPhoto", person=shop.owner, data=b"\xff\xd8", made_at=NOW
        ),
        "training.MailWish": made(
            "training.MailWish",
            person=shop.owner,
            address="odile@shop.example",
            is_wanted=True,
            changed_at=NOW,
        ),
        "training.AddressMail": made("training.AddressMail", **own, address_hash="a" * 64, at=NOW),
        "training.Reminder": made("training.Reminder", **own, day=TODAY, at=NOW),
        "training.Card": made("training.Card", **own, made_at=NOW, made_by=shop.owner),
        "training.EntryRules": lambda: like("training.EntryRules"),
        "training.Level": made("training.Level", name="fits", quiz=None),
        "training.LevelRules": lambda: like("training.LevelRules"),
        "training.Absence": made("training.Absence", **own, first=TODAY, until=TODAY, why=""),
        "training.Want": made("training.Want", workshop=shop.workshop, level=shop.level),
        "training.Planned": made(
            "training.Planned", **own, level=shop.level, first=TODAY, until=TODAY
        ),
        "training.Reading": lambda: like(
            "training.Reading", once=True, happened_on=TODAY - 9 * DAY
        ),
        "training.PaperPass": lambda: like("training.PaperPass"),
        "training.Job": lambda: like(
            "training.Job", needs_confirmation=True, watched_by=shop.senior
        ),
        "training.JobConfirmation": lambda: like(
            "training.JobConfirmation", job=another(shop, "training.Job")
        ),
        "training.JobTakenBack": lambda: like(
            "training.JobTakenBack", job=another(shop, "training.Job")
        ),
        "training.ShownAgain": lambda: like("training.ShownAgain", observation=observed()),
        "training.SignOff": lambda: like("training.SignOff", once=True, **sheet),
        "training.Lift": lambda: like(
            "training.Lift", standdown=put_in(like("training.StandDown"))
        ),
        "training.Appointment": lambda: like(
            "training.Appointment", happened_on=TODAY, until=TODAY
        ),
        "training.AppointmentEnd": lambda: like(
            "training.AppointmentEnd", happened_on=TODAY, until=TODAY
        ),
        "training.Void": lambda: like("training.Void"),
        "training.Taken": made("training.Taken", **own, kind="k", mark="m", row=1),
        "training.VoidAsked": lambda: like("training.VoidAsked", **sheet),
        "training.VoidDecided": lambda: like(
            "training.VoidDecided",
            asked=put_in(like("training.VoidAsked", shown_digest="")),
            void=put_in(like("training.Void")),
        ),
    }


def spoilt(shop, name):
    """The row that breaks a constraint, ready to be put in."""
    case = BREAKS[name]
    row = fitting(shop)[case.label]() or like(case.label)
    if case.of_two:
        for column, value in case.first.items():
            setattr(row, column, value)
        row = put_in(row)
        row.pk = None
        row._state.adding = True
    for column, value in (case.sets(shop) if callable(case.sets) else case.sets).items():
        setattr(row, column, value)
    return row


def broken_by(row):
    """The constraints that the row breaks, as the models themselves see it."""
    found = set()
    for rule in row._meta.constraints:
        try:
            rule.validate(type(row), row)
        except ValidationError:
            found.add(rule.name)
    for column in row._meta.concrete_fields:
        if column.unique and not column.primary_key:
            value = getattr(row, column.attname)
            if value is not None and type(row)._base_manager.filter(**{column.attname: value}):
                found.add(f"{row._meta.db_table}.{column.name}")
    return found


class Undo(Exception):
    """What was tried is taken back."""


def tried(do):
    """The database's own words where it refused; empty where it did not. All is undone."""
    try:
        with transaction.atomic():
            do()
            raise Undo
    except Undo:
        return ""
    except DatabaseError as error:
        return str(error) or "refused"


def test_the_list_names_each_constraint_and_each_unique_column_of_the_models():
    assert {name: MODELS[case.label] for name, case in BREAKS.items()} == by_name()


def test_each_constraint_refuses_a_row_that_breaks_it_and_only_it(full):
    wrong = []
    for name in BREAKS:
        seen = []

        def try_it(name=name, seen=seen):
            row = spoilt(full, name)
            seen.append(broken_by(row))
            put_in(row)

        said = tried(try_it)
        if seen != [{name}]:
            wrong.append(f"{name}: the row breaks {seen}: {said}")
        elif not says(said, name):
            wrong.append(f"{name}: {said or 'it came in'}")
    assert "\n".join(wrong) == ""


def says(said, name):
    """Whether the database's refusal is about this constraint."""
    model, (table, _, column) = by_name()[name], name.partition(".")
    if name in said or (column and table in said and column in said):
        return True
    if connection.vendor != "sqlite":
        return False
    # On SQLite a row in the place of a sealed one meets the trigger first, which is there against
    # INSERT OR REPLACE; and a constraint over columns is told by these, not by its name.
    seal = getattr(model, "SEAL", None)
    if seal is not None and BREAKS[name].of_two and said == seal.message:
        return True
    columns = next((rule.fields for rule in model._meta.constraints if rule.name == name), ())
    return "UNIQUE constraint failed" in said and all(f".{one}" in said for one in columns)


def test_each_row_comes_in_while_nothing_is_broken(full):
    """So that the test above can fail: the row itself is not what is refused."""
    refused = {}
    for label, make in fitting(full).items():
        if label != "training.BookHead":
            said = tried(lambda make=make: put_in(make()))
            refused |= {label: said} if said else {}
    assert refused == {}


def test_no_number_that_counts_goes_below_zero(full):
    wrong = []
    for label, model in MODELS.items():
        for column in model._meta.concrete_fields:
            if isinstance(column, models.PositiveIntegerField | models.PositiveSmallIntegerField):

                def try_it(label=label, column=column):
                    row = fitting(full)[label]() or like(label)
                    setattr(row, column.attname, -1)
                    put_in(row)

                if not tried(try_it):
                    wrong.append(f"{label}.{column.name}")
    assert wrong == []


# --- what is sealed


def sealed_rows(model):
    """Rows of a model that nobody changes any more."""
    rows = model._base_manager.order_by("pk")
    when = {"procedures.Revision": "released_on", "quizzes.Sitting": "recorded_at"}
    column = when.get(model._meta.label)
    return rows.exclude(**{column: None}) if column else rows


SEALED = [label for label, model in MODELS.items() if hasattr(model, "SEAL")]


def test_each_seal_refuses_a_change_and_a_deletion_with_its_own_words(full):
    wrong = []
    for label in SEALED:
        model = MODELS[label]
        row = sealed_rows(model).first()
        table, key = model._meta.db_table, model._meta.pk.column
        column = next(
            column.column for column in model._meta.concrete_fields if not column.primary_key
        )
        for statement in (
            f'UPDATE "{table}" SET "{column}" = "{column}" WHERE "{key}" = %s',
            f'DELETE FROM "{table}" WHERE "{key}" = %s',
        ):

            def run(statement=statement, row=row):
                with connection.cursor() as cursor:
                    cursor.execute(statement, [row.pk])

            if model.SEAL.message not in tried(run):
                wrong.append(f"{statement}: {tried(run) or 'done'}")
    assert len(SEALED) > 25
    assert wrong == []


PARENT = {
    "procedures.AskedOfChange": ("revision", "step"),
    "quizzes.Answer": ("sitting", "place"),
    "quizzes.MoreTime": ("sitting", None),
}


def test_nothing_is_added_to_what_is_sealed_and_nothing_moved_into_it(full):
    """Seen: time could be added to a sitting that had ended."""
    assert {label for label in SEALED if MODELS[label].SEAL.insert_when} == PARENT.keys()
    for label, (parent, place) in PARENT.items():
        model = MODELS[label]
        kept = getattr(model._base_manager.order_by("pk").first(), parent)
        assert kept in sealed_rows(type(kept))
        other = {} if place is None else {place: 77}
        said = tried(
            lambda label=label, parent=parent, kept=kept, other=other: put_in(
                like(label, **{parent: kept}, **other)
            )
        )
        assert model.SEAL.message in said, label

        def move(label=label, parent=parent, kept=kept, other=other):
            row = put_in(fitting(full)[label]())
            MODELS[label]._base_manager.filter(pk=row.pk).update(**{parent: kept}, **other)

        assert model.SEAL.message in tried(move), label
