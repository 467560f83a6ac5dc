"""What does a plan do: who is then alone on which day, which gaps does each line close, and why do
some stay?

This is the plan's own account; `promise.py` asks the standing.
"""

from __future__ import annotations

from collections.abc import Collection, Sequence
from dataclasses import dataclass, field, replace
from datetime import date

from training.cover.gaps import DayCover
from training.cover.plan import Ground, Line, Option, Plan, WhyShort

# In weeks: beyond every span, and small enough for the calendar when it becomes a day.
NEVER = 10_000


@dataclass(slots=True)
class Alone:
    """Is somebody alone at a level on a day, with some of the options done?"""

    ground: Ground
    options: Collection[Option]
    _of: dict[str, list[Option]] = field(init=False, default_factory=dict)
    _known: dict[tuple[str, str, date], bool] = field(init=False, default_factory=dict)

    def __post_init__(self) -> None:
        """File the options."""
        for option in self.options:
            self._of.setdefault(option.task.person, []).append(option)

    def __call__(self, person: str, level: str, day: date) -> bool:
        """Say so."""
        asked = (person, level, day)
        if asked not in self._known:
            # Earlier levels are asked for the same day, since
            # a plan can give and lose them within its span.
            self._known[asked] = self._holds(person, level, day) and all(
                self(person, earlier, day) for earlier in self.ground.earlier(level, day)
            )
        return self._known[asked]

    def _holds(self, person: str, level: str, day: date) -> bool:
        return day in self.ground.own.get((person, level), ()) or any(
            day in option.gives(level) for option in self._of.get(person, ())
        )


def cover_with(ground: Ground, lines: Collection[Line]) -> tuple[DayCover, ...]:
    """Return the cover with these lines: whoever is alone by then is there on every day at work."""
    alone = Alone(ground, [line.option for line in lines])
    # Only those can be more: a plan takes nothing away from anybody.
    gained = dict.fromkeys(who for who, _ in (line.key for line in lines))
    return tuple(
        replace(
            day,
            there=(
                *day.there,
                *(
                    who
                    for who in ground.people
                    if who in gained and _is_more(ground, alone, who, day)
                ),
            ),
        )
        for day in ground.days
    )


def _is_more(ground: Ground, alone: Alone, person: str, day: DayCover) -> bool:
    """Whether somebody is one more on that day than without a plan."""
    return (
        person not in day.there
        and ground.is_at_work(person, day.workshop, day.day)
        and alone(person, day.level, day.day)
    )


def keep_possible(ground: Ground, lines: Sequence[Line]) -> tuple[Line, ...]:
    """Return the lines that can be done when there are no others: earlier levels held, the signer
    and everybody who teaches alone when they do.
    """
    # Taking one line out may take the signer of another away, so it goes on until all can stay.
    while True:
        alone = Alone(ground, [line.option for line in lines])
        left = tuple(line for line in lines if _can_be(ground, alone, line, lines))
        if len(left) == len(lines):
            return left
        lines = left


def _can_be(ground: Ground, alone: Alone, line: Line, lines: Sequence[Line]) -> bool:
    option, (person, level) = line.option, line.key
    begins = ground.first_at_it(option)
    # The promise holds for a signature later in the week too, up to its last day.
    signs = (option.signed_on, ground.week(option.ends)[-1])
    if begins is None or not all(alone(option.signer, level, day) for day in signs):
        return False
    if not all(
        alone(person, earlier, day)
        # Earlier levels first: held when the learning begins, and still at the signature.
        for day in (begins, option.signed_on)
        for earlier in ground.earlier(level, day)
    ):
        return False
    if follows_training(ground, option) and not any(
        # In time too: a renewal in the week of the training would renew nothing yet.
        one.key == line.key and one.task.kind == "train" and one.option.ends < option.begins
        for one in lines
    ):
        return False
    return all(
        any(
            ground.meet(person, senior, day) and alone(senior, level, day)
            for week in option.span
            for day in ground.week(week)
        )
        for senior in line.seniors
    )


def follows_training(ground: Ground, option: Option) -> bool:
    """Say whether an option renews what only a training of this plan gives."""
    return option.task.kind == "renew" and any(
        task.key == option.task.key and task.kind == "train" for task in ground.tasks
    )


def closes(ground: Ground, plan: Plan, line: Line) -> tuple[DayCover, ...]:
    """Return the days that are short, or shorter, where this line (and what cannot be without it)
    is taken out and the rest stays.
    """
    # What hangs on the line goes with it: a signer trained by it, a level that it opens.
    without = cover_with(ground, keep_possible(ground, [one for one in plan.lines if one != line]))
    with_all = cover_with(ground, plan.lines)
    return tuple(
        after
        for before, after in zip(with_all, without, strict=True)
        if after.missing > before.missing
    )


def explain_short(ground: Ground, day: DayCover, at_work: int) -> WhyShort:
    """Say why a day stays short in the best plan: too few people are at work at all; too few
    can be ready by then; nobody who may teach and sign is at work with them; or there are not the
    hours (or they are spent better elsewhere). `at_work` is how many work there on that day,
    whoever they are.
    """
    # From what nobody can mend to what more hours would: the first that holds is the reason.
    if at_work < day.wanted:
        return "people"
    # Only who is at work could close this gap, whatever is trained.
    others = [
        who
        for who in ground.people
        if who not in day.there and ground.is_at_work(who, day.workshop, day.day)
    ]
    soon = sum(
        ground.holds_from(_soonest(ground, who, day.level, day.day)) <= day.day for who in others
    )
    if len(day.there) + soon < day.wanted:
        return "time"
    # Every option at once, hours left aside: who is not alone even then lacks somebody to teach or
    # sign.
    alone = Alone(ground, ground.options)
    could = sum(alone(who, day.level, day.day) for who in others)
    return "hours" if len(day.there) + could >= day.wanted else "senior"


def _soonest(ground: Ground, person: str, level: str, day: date) -> int:
    """The first week at whose end somebody could have a level, were there seniors and hours
    enough; -1 where nothing is missing on that day.
    """
    before = [_soonest(ground, person, name, day) for name in ground.earlier(level, day)]
    last = max(before, default=-1)
    if day in ground.own.get((person, level), ()):
        return last
    task = next((one for one in ground.tasks if one.key == (person, level)), None)
    begins = min(ground.learns.get((person, level), ()), default=None)
    if task is None or begins is None:
        # Past the end of every span: no way leads there, whatever the calendar of the days before.
        return min(NEVER, 53 + ground.weeks)
    return min(NEVER, max(last, (begins - ground.first).days // 7 - 1) + task.weeks)
