"""Does everything that a shop recorded at any released schema come through to the newest one?

`python -m tests.training.history` walks the place that the environment names from nothing through
every released schema, with the models of that day. At each it puts a row into every table there is,
and for what the record book held then an entry, told by the layout of that day. At the end nothing
may be lost or changed, the book must verify, the seals must be on and everybody's standing must be
as it was. What is wrong is printed, a line each.
"""

import datetime
import gc
import hashlib
import sys
import uuid
from collections.abc import Iterator
from typing import Any

from tests.training.released import RELEASED

DAY = datetime.date(2025, 3, 3)
AT = datetime.datetime(2025, 3, 3, 9, 30, tzinfo=datetime.UTC)
APPS = ("procedures", "quizzes", "training")
# One for the whole book, or told by hand below; a shop has one.
BY_HAND = {"bookentry", "bookhead"}
ONCE = {"shopfront"}
HEX = {"digest", "shown_digest", "code_hash", "secret_hash", "change"}
TERMS = (
    *("practice_jobs", "practice_months", "watched_jobs", "observations", "observers"),
    *("pass_percent", "grace_days"),
)
# What the tables of some day ask for, where a value by the kind of the column would not do.
SPECIAL: dict[str, Any] = {
    "revision.author": None,  # nobody releases their own
    "revision.asks": "nothing",
    "askedofchange.asks": "nothing",
    "askedofchange.suggested": "nothing",
    "user.left": None,
    "user.changed_by": None,
    "user.password": "!",
    "user.trade": "mechanic",
    "workshop.time_zone": "Europe/Vienna",
    "quiz.size": 7,
    "quiz.critical_percent": 80,
    "quiz.minutes": 30,
    "quiz.wait_days": 0,
    "quiz.sittings_a_day": 0,
    "quiz.recall_percent": 75,
    "answer.second_to": None,
    "answer.marks": 1,
    "refresheranswer.marks": 1,
    "signoff.founding": True,  # it rests on nothing else
    "signoff.limits": {},
    "levelrules.valid_months": 24,
    "levelrules.from_day": None,
    "levelrules.practice_from": None,
    "levelrules.earlier": [],
    "levelrules.writeups": [],
    **dict.fromkeys(
        (
            f"levelrules.{term}"
            for term in [
                "practice_jobs",
                "practice_months",
                "watched_jobs",
                "observations",
                "observers",
                "pass_percent",
                "grace_days",
            ]
        ),
        0,
    ),
    "job.needs_confirmation": False,
    "voidasked.entries": [],
    "voiddecided.entries": [],
    # The site's own numbers of seconds and days are not about anything here.
    "programtoken.scopes": ["may:read"],
}
ALIKE = "0012_void_sheets"  # the last in which logins may differ only in capitals
MENDED = "0030_kind_of_device"  # which mends the sessions of shops that were there early
# What a later migration takes away or changes on purpose, and where it went.
MOVED_TABLES = {"sentjob": "job", "sentobservation": "observation"}


def main() -> int:
    import django

    django.setup()
    # The models of each step are waste after it. To look for it takes a sixth of the walk's time,
    # and all of it together is 400 MB.
    gc.disable()
    wrong = list(_walk())
    print("\n".join(wrong) or f"{len(RELEASED)} schemas and now, nothing lost")
    return 1 if wrong else 0


def _walk() -> Iterator[str]:
    from django.db import connection, transaction
    from django.db.migrations.executor import MigrationExecutor

    from procedures.records import sealing
    from training.records import keeping

    executor = MigrationExecutor(connection)
    plan = executor.migration_plan(executor.loader.graph.leaf_nodes(), clean_start=True)
    state, shop, before = None, Shop(), ""
    for number, released in enumerate(RELEASED):
        if before < MENDED <= released.training:
            _as_in_the_first_minutes(connection)
        before = released.training
        state = executor.migrate(released.targets, state=state)
        executor.loader.build_graph()
        applied = {name for app, name in executor.loader.applied_migrations if app in APPS}
        yield from (
            f"{released.at}: {name} came too early" for name in applied & {*released.without}
        )
        _forget_stale(state)
        names = {name.partition("_")[2] for name in applied}
        with transaction.atomic():
            shop.fill(state.apps, number, names)
            if released.training == ALIKE:
                _add_people_alike(state.apps, names)
    state = executor.migrate(executor.loader.graph.leaf_nodes(), state=state)
    _forget_stale(state)
    names = {one.name.partition("_")[2] for one, _ in plan}
    with transaction.atomic():
        shop.fill(state.apps, len(RELEASED), names)
    # What `migrate` does after its plan.
    sealing.put_on(connection)
    keeping.after_migrations(plan=plan)
    yield from shop.lost()
    yield from (f"entry {one.number} ({one.kind}): {one.problem}" for one in keeping.faults())
    yield from (f"{one.kind}: {one.problem}" for one in keeping.seal_faults())
    yield from shop.other_standings()
    yield from shop.other_rules()
    yield from _wrong_people_alike()


def _forget_stale(state: Any) -> None:
    """Models are made afresh where those that are left still name classes of steps before."""
    state.clear_delayed_apps_cache()
    state.is_delayed = False


def _add_people_alike(apps: Any, applied: set[str]) -> None:
    """Logins that differ only in capitals, which the next step tells and keeps apart."""
    from tests.training.history_book import record_rows

    workshop = apps.get_model("training", "Workshop").objects.first()
    people = apps.get_model("training", "User").objects
    for login in ("bo", "Bo", "zoe"):
        named = {"login": login, "name": login, "trade": "mechanic", "password": ""}
        row = people.create(workshop=workshop, **named)
        row.refresh_from_db()  # what the database itself put in
        record_rows(apps, {"user": row}, applied)


def _wrong_people_alike() -> Iterator[str]:
    from django.db import IntegrityError, transaction

    from training.models import User, Workshop

    typed = ("bo", "Bo", "BO", "ZOE")
    found = [User.objects.get_by_natural_key(login).login for login in typed]
    if found != ["bo", "Bo", "bo", "zoe"]:
        yield f"{typed} are {found}"
    third = User(login="BO", name="BO", trade="mechanic", workshop=Workshop.objects.first())
    try:
        with transaction.atomic():
            third.save()
    except IntegrityError:
        return
    yield "a third login differs only in capitals"


def _as_in_the_first_minutes(connection: Any) -> None:
    """Sessions as they were on 29 Nov at 18:29: step 0014 was changed after it had landed."""
    with connection.cursor() as cursor:
        cursor.execute("ALTER TABLE training_session RENAME COLUMN kind TO browser")


class Shop:
    """What was put in: at each schema one row in each table."""

    def __init__(self) -> None:
        # The day of the schema, the table, the key and the columns.
        self.kept: list[tuple[str, str, Any, dict[str, Any]]] = []
        self.marks: list[tuple[str, str, Any]] = []
        self.people: list[tuple[str, str]] = []
        self.rules: list[tuple[Any, dict[str, Any]]] = []

    def fill(self, apps: Any, number: int, applied: set[str]) -> None:
        """A row in every table that there is at this schema, and the entries of that day."""
        from tests.training.history_book import record_rows

        made: dict[str, Any] = {}
        days = [*(released.at for released in RELEASED), "now"]
        for model in _in_order(apps):
            name = model._meta.model_name
            if name in BY_HAND or (name in ONCE and model.objects.exists()):
                continue
            row = model.objects.create(**_values(model, number, made))
            made[name] = row
            if name in MOVED_TABLES:
                self.marks.append((MOVED_TABLES[name], row.mark, _entry_of(row)))
            else:
                self.kept.append((days[number], model._meta.label, row.pk, _columns(row)))
        if hasattr(made["quiz"], "writeups"):
            made["quiz"].writeups.add(made["writeup"])
            rules = {name: getattr(made["quiz"], name, None) for name in RULES}
            self.rules.append((made["quiz"].pk, rules | {"writeups": [made["writeup"].name]}))
        self.people.append((made["user"].login, made["level"].name))
        for row in made.values():
            _know_others(row, made)
        record_rows(apps, made, applied)

    def lost(self) -> Iterator[str]:
        """Every row and value that is not there any more as it was put in."""
        from django.apps import apps

        from training.models import Taken

        there: dict[str, dict[Any, dict[str, Any]]] = {}
        for at, label, key, columns in self.kept:
            model = apps.get_model(label)
            names = {field.attname for field in model._meta.concrete_fields}
            if label not in there:
                rows = model._default_manager.values()
                there[label] = {row[model._meta.pk.attname]: row for row in rows}
            found = there[label].get(key)
            if found is None:
                yield f"{at}: {label} {key} is gone"
                continue
            for name, value in columns.items():
                if f"{label}.{name}" in GONE:
                    continue
                if name not in names:
                    yield f"{label}.{name} is gone"
                elif _plain(found[name]) != _plain(value):
                    yield f"{at}: {label} {key}: {name} was {value!r} and is {found[name]!r}"
        for kind, mark, entry in self.marks:
            if not Taken.objects.filter(kind=kind, mark=mark, row=entry).exists():
                yield f"the mark {mark} of a {kind} is gone"

    def other_standings(self) -> Iterator[str]:
        """Whose standing is not what the sign-off of that day gave: alone for 24 months, up to the
        same day of the month, and then supervised where nothing else is asked.
        """
        from training.exchange.asking import question_of
        from training.reports.who_may import who_may

        days = {DAY + datetime.timedelta(days=30): "alone", datetime.date(2027, 3, 4): "watched"}
        for login, level in self.people:
            for on, wanted in days.items():
                question = question_of({"level": level, "on": on.isoformat()}, "here", on)
                (told,) = who_may([question], person=login)
                (found,) = told["people"]
                if found["standing"] != wanted:
                    yield f"{login} at {level} on {on}: {found['standing']}, not {wanted}: {found}"

    def other_rules(self) -> Iterator[str]:
        """Whose rules are not those that stood in the row of the quiz, before they had rows of
        their own; and whether the book took in rules, then questions, then who stands behind them.
        """
        from procedures.models.booking import kind_and_version
        from quizzes.models import QuizRules
        from training.models import BookEntry

        for quiz, wanted in self.rules:
            first = QuizRules.objects.filter(quiz=quiz).order_by("pk").values().first() or {}
            asked = {name: value for name, value in wanted.items() if value is not None}
            found = {name: first.get(name) for name in asked}
            if found != asked:
                yield f"the rules of quiz {quiz} are {found}, not {asked}"
        numbers = BookEntry.objects.filter(kind__startswith="qu").order_by("number")
        kinds = dict.fromkeys(
            kind_and_version(kind)[0] for kind in numbers.values_list("kind", flat=True)
        )
        if [*kinds] != ["quiz rules", "question", "question confirmed", "question withdrawn"]:
            yield f"the entries about quizzes came in as {[*kinds]}"


# What stood in the row of a quiz, and stands in rows of their own since.
RULES = (
    *("size", "critical_percent", "parts", "minutes"),
    *("wait_days", "sittings_a_day", "recall_percent"),
)
# Columns that a later schema has no more, or empties, on purpose: the rules of a quiz are looked at
# where they are now, and whose password it is stands in the book.
GONE = {
    "training.User.password_given_at",
    "training.User.password_own_since",
    "training.Session.kind",
} | {f"quizzes.Quiz.{name}" for name in RULES}


def _entry_of(row: Any) -> int:
    """The entry that a form of those days had made; its first table named it by its model."""
    return row.entry_id if hasattr(row, "entry_id") else row.job_id


def _in_order(apps: Any) -> list[Any]:
    """The models of the three apps, each after those that it names."""
    left = [model for app in APPS for model in apps.get_app_config(app).get_models()]
    left = [model for model in left if not model._meta.auto_created]
    placed: list[Any] = []
    while left:
        # By their labels: a state keeps classes of before beside those of now.
        waiting = {model._meta.label for model in left}
        ready = [model for model in left if not waiting & (_named_by(model) - {model._meta.label})]
        placed, left = [*placed, *ready], [model for model in left if model not in ready]
    return placed


def _named_by(model: Any) -> set[str]:
    fields = model._meta.concrete_fields
    return {field.related_model._meta.label for field in fields if field.is_relation}


def _values(model: Any, number: int, made: dict[str, Any]) -> dict[str, Any]:
    """A value for each column of a row."""
    values = {
        field.attname: _value(field, f"{model._meta.model_name}.{field.name}", number, made)
        for field in model._meta.concrete_fields
        if not getattr(field, "db_returning", False)
    }
    if model._meta.model_name == "sitting" and "minutes" not in values:
        # Open: what the book said of an ended one grew in the project's first hours, and nobody
        # can read that text as it was then.
        values |= dict.fromkeys(("recorded_at", "happened_on", "percent", "critical_right"))
    return values


def _value(field: Any, name: str, number: int, made: dict[str, Any]) -> Any:
    if name in SPECIAL:
        return SPECIAL[name]
    if field.is_relation:
        row = made.get(field.related_model._meta.model_name)
        return row and row.pk
    if field.primary_key and field.get_internal_type().endswith("IntegerField"):
        return 1
    if field.choices:
        keys = [key for key, _ in field.choices]
        return keys[number % len(keys)] if field.unique or field.primary_key else keys[0]
    return _of_kind(field, name, number)


def _of_kind(field: Any, name: str, number: int) -> Any:
    from procedures.records.files import keep

    text = f"{name}-{number}"
    if name == "drawing.digest":
        return keep(text.encode())
    match field.get_internal_type():
        case "CharField" if field.name in HEX or field.max_length == 64:
            return hashlib.sha256(text.encode()).hexdigest()
        case "CharField" | "TextField" | "SlugField" | "EmailField":
            return text.replace(".", "-")[: field.max_length or 100]
        case "DateTimeField":
            return AT
        case "DateField":
            return DAY
        case "BooleanField":
            return field.get_default() if field.has_default() else True
        case "JSONField":
            return field.get_default() if field.has_default() else []
        case "BinaryField":
            return b"\xff\xd8"
        case "UUIDField":
            return uuid.uuid5(uuid.NAMESPACE_OID, text)
        case "DecimalField":
            return 80
        case _:
            return field.get_default() if field.has_default() else 1


def _know_others(row: Any, made: dict[str, Any]) -> None:
    """The rows that this one names are not fetched again."""
    for field in row._meta.concrete_fields:
        other = field.is_relation and made.get(field.related_model._meta.model_name)
        if other and other.pk == getattr(row, field.attname):
            field.set_cached_value(row, other)


def _columns(row: Any) -> dict[str, Any]:
    row.refresh_from_db()
    return {field.attname: getattr(row, field.attname) for field in row._meta.concrete_fields}


def _plain(value: Any) -> Any:
    return bytes(value) if isinstance(value, memoryview) else value


if __name__ == "__main__":
    sys.exit(main())
