"""How is a draft folded, so that its outline fits a phone and every step is two touches away?"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from django.utils.translation import gettext

from procedures.reports.desk import Beside, say_errors, say_suggestions

SHORT = 12  # a draft of no more steps is shown unfolded
LONGEST_FOLD, RUN = 25, 20  # steps of a phase that is one fold; of a longer one, in each of several


@dataclass(frozen=True, slots=True)
class DraftPart:
    """A phase or a step in the list, with what was found in it."""

    key: str
    is_step: bool
    number: str
    title: str
    chips: tuple[str, ...]
    found: tuple[Beside, ...]

    @property
    def has_error(self) -> bool:
        """Whether something here stands against a release by itself."""
        return any(one.kind == "error" for one in self.found)

    @property
    def told(self) -> str:
        """How many errors and suggestions there are here; empty without any."""
        return _told(self.found)


@dataclass(frozen=True, slots=True)
class Fold:
    """A phase with its steps, or a stretch of a long one. `phase` is None where its steps stand in
    no phase, or where it is told in the fold above.
    """

    key: str
    title: str
    phase: DraftPart | None
    steps: tuple[DraftPart, ...]
    is_open: bool

    @property
    def numbers(self) -> str:
        """The numbers of its steps, from the first to the last."""
        if not self.steps:
            return ""
        first, last = self.steps[0].number, self.steps[-1].number
        return first if first == last else f"{first}–{last}"

    @property
    def told(self) -> str:
        """How many errors and suggestions there are in it; empty without any."""
        return _told([one for part in _all_of(self) for one in part.found])


@dataclass(frozen=True, slots=True)
class Outline:
    """The folds of a draft. `opened` is the part that was asked for; `next_found` the key of the
    next one behind it with something to put right, from the first one again after the last.
    """

    folds: tuple[Fold, ...]
    opened: str
    next_found: str
    steps: int
    is_short: bool


def make_outline(parts: Sequence[DraftPart], opened: str) -> Outline:
    """The parts of a draft, folded; a fold is open that has an error or the part asked for."""
    steps = sum(part.is_step for part in parts)
    is_short = steps <= SHORT
    folds = []
    for number, (key, title, phase, inside) in enumerate(_stretches(parts)):
        of_it = [*([phase] if phase else []), *inside]
        is_open = is_short or any(part.has_error or part.key == opened for part in of_it)
        folds.append(Fold(key or f"fold-{number}", title, phase, inside, is_open))
    return Outline(tuple(folds), opened, _next_found(parts, opened), steps, is_short)


def _stretches(
    parts: Sequence[DraftPart],
) -> Iterator[tuple[str, str, DraftPart | None, tuple[DraftPart, ...]]]:
    """Key, title, phase and steps of each fold."""
    groups: list[tuple[DraftPart | None, list[DraftPart]]] = []
    for part in parts:
        if not part.is_step:
            groups.append((part, []))
        elif groups:
            groups[-1][1].append(part)
        else:
            groups.append((None, [part]))
    for phase, steps in groups:
        title = phase.title if phase else gettext("Steps before the first phase")
        first = tuple(steps[:RUN] if len(steps) > LONGEST_FOLD else steps)
        yield phase.key if phase else "", title, phase, first
        for at in range(len(first), len(steps), RUN):
            run = tuple(steps[at : at + RUN])
            more = gettext("{title}, from step {number}").format(title=title, number=run[0].number)
            yield "", more, None, run


def _next_found(parts: Sequence[DraftPart], opened: str) -> str:
    keys = [part.key for part in parts]
    at = keys.index(opened) + 1 if opened in keys else 0
    return next((part.key for part in [*parts[at:], *parts[:at]] if part.found), "")


def _all_of(fold: Fold) -> tuple[DraftPart, ...]:
    return ((fold.phase,) if fold.phase else ()) + fold.steps


def _told(found: Sequence[Beside]) -> str:
    errors = sum(one.kind == "error" for one in found)
    said = [say_errors(errors)] if errors else []
    if len(found) > errors:
        said.append(say_suggestions(len(found) - errors))
    return " ".join(said)
