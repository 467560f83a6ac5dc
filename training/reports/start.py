"""How far has a new shop come: which steps of the start are done, which is next, what was left for
later?

What is done is read from the record each time; only that a step was left for later is stored.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

from django.db.models import Q
from django.utils.functional import Promise
from django.utils.translation import gettext, ngettext
from django.utils.translation import gettext_lazy as _

from procedures.models import Thing
from procedures.records import texts
from procedures.records.examples import unread_names
from quizzes.models import Sitting
from training.access import acts
from training.models import (
    DAYS,
    Job,
    LeftForLater,
    Level,
    Observation,
    Rota,
    SignOff,
    StartStep,
    User,
    Void,
    roles,
)
from training.models.people import is_staying

TITLES: dict[str, str | Promise] = {
    StartStep.PEOPLE: _("People"),
    StartStep.LEVELS: _("Services"),
    StartStep.RULES: _("Rules for safe work"),
    StartStep.SIGN_OFFS: _("First sign-offs"),
    StartStep.ROTA: _("Rota"),
}


@dataclass(frozen=True, slots=True)
class StepOfStart:
    """One step: its state is done, next, open or later; `said` is what the record has of it."""

    step: str
    title: str
    state: str
    said: str


@dataclass(frozen=True, slots=True)
class Start:
    """The five steps, and in a sentence what of the examples is not read yet."""

    steps: tuple[StepOfStart, ...]
    unread: str

    @property
    def is_open(self) -> bool:
        """Whether a step is neither done nor left for later."""
        return any(step.state in ("next", "open") for step in self.steps)

    @property
    def left(self) -> tuple[StepOfStart, ...]:
        """The steps that were left for later and are not done."""
        return tuple(step for step in self.steps if step.state == "later")

    @property
    def done(self) -> int:
        """How many steps are done."""
        return sum(step.state == "done" for step in self.steps)


def start_page(on: date) -> Start:
    """How far the shop has come by a day; the number of queries does not grow with it."""
    later = set(LeftForLater.objects.values_list("step", flat=True))
    steps: list[StepOfStart] = []
    has_next = False
    for step, look in LOOKS.items():
        is_done, said = look(on)
        state = "done" if is_done else "later" if step in later else "open" if has_next else "next"
        has_next = has_next or state == "next"
        steps.append(StepOfStart(step, str(TITLES[step]), state, said))
    return Start(tuple(steps), _say_unread())


def start_for(user: User, on: date) -> Start | None:
    """How far the start has come, for an owner whose shop has not begun to work by this record;
    None for anybody else, and in a shop that is made up.
    """
    if not acts.KEEP_PEOPLE.is_open_to(user) or user.workshop.is_demo:
        return None
    # A shop with a job on record has started, whatever it never set up here.
    if any(model._default_manager.exists() for model in (Job, Observation, Sitting)):
        return None
    return start_page(on)


def _people(on: date) -> tuple[bool, str]:
    count = len(_at_bench(on))
    if not count:
        return False, gettext("Nobody works at the bench yet.")
    said = ngettext(
        "{count} person works at the bench.", "{count} people work at the bench.", count
    )
    return True, said.format(count=count)


def _levels(on: date) -> tuple[bool, str]:
    count = Level.objects.count()
    if not count:
        return False, gettext("There are no service levels yet.")
    said = ngettext("There is {count} service level.", "There are {count} service levels.", count)
    return True, said.format(count=count)


def _rules(on: date) -> tuple[bool, str]:
    if texts.newest_rules() is None:
        return False, gettext("The shop has no rules yet.")
    count = len(texts.rules_in_force().safe)
    said = ngettext(
        "The rules name {count} source of danger.",
        "The rules name {count} sources of danger.",
        count,
    )
    return True, said.format(count=count)


def _sign_offs(on: date) -> tuple[bool, str]:
    """Those that were cancelled do not count: a start is not done by a slip."""
    cancelled = set(
        Void.objects.filter(kind="signoff").values_list("person_id", "about", "happened_on")
    )
    rows = SignOff.objects.values_list("person_id", "level__name", "happened_on")
    count = sum(row not in cancelled for row in rows)
    if not count:
        return False, gettext("Nobody is signed off yet.")
    said = ngettext("There is {count} sign-off.", "There are {count} sign-offs.", count)
    return True, said.format(count=count)


def _rota(on: date) -> tuple[bool, str]:
    works = Q(*((day, True) for day in DAYS), _connector=Q.OR)
    rows = Rota.objects.filter(works).filter(Q(until__isnull=True) | Q(until__gte=on))
    count = len(_at_bench(on) & set(rows.values_list("person_id", flat=True)))
    if not count:
        return False, gettext("Nobody who works at the bench is on the rota yet.")
    said = ngettext("{count} person is on the rota.", "{count} people are on the rota.", count)
    return True, said.format(count=count)


def _at_bench(on: date) -> set[int]:
    """Those who work at the bench on a day."""
    has_started = Q(started__isnull=True) | Q(started__lte=on)
    rows = User.objects.filter(has_started, is_staying(on), trade__in=roles.AT_BENCH)
    return set(rows.values_list("pk", flat=True))


LOOKS: dict[str, Callable[[date], tuple[bool, str]]] = {
    StartStep.PEOPLE: _people,
    StartStep.LEVELS: _levels,
    StartStep.RULES: _rules,
    StartStep.SIGN_OFFS: _sign_offs,
    StartStep.ROTA: _rota,
}
"""Whether a step is done by a day, and what the record has of it."""


def _say_unread() -> str:
    """What of the examples nobody has gone through yet, in a sentence; empty where all is read."""
    count = sum(len(unread_names(thing)) for thing in Thing)
    said = ngettext(
        "{count} thing from the examples is not yet read for this shop.",
        "{count} things from the examples are not yet read for this shop.",
        count,
    )
    return said.format(count=count) if count else ""
