"""Which questions stand on steps that a release has changed since somebody last read both side by
side?

Nothing of this is stored: it is worked out from the confirmations, the revision now current, and
the one of then.
"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass
from datetime import datetime
from functools import lru_cache

from django.utils.translation import gettext, ngettext

from procedures.records.texts import parse_once
from quizzes.marking.changed import is_amount_gone, steps_to_read_again
from quizzes.models import QuestionConfirmed, QuestionVersion
from quizzes.records.sources import Source, pinned_sources


@dataclass(frozen=True, slots=True)
class LastRead:
    """The revision (its number) beside which a version was last read, and when."""

    number: int
    at: datetime


def find_last_read(versions: Collection[QuestionVersion]) -> dict[int, LastRead]:
    """Where each version was last written or confirmed, by its key; one query. Old rows that do not
    say are left out.
    """
    beside = {
        one.pk: LastRead(one.revision, one.recorded_at)
        for one in versions
        if one.revision is not None
    }
    # By key, so that the newest confirmation is the one that is left.
    rows = QuestionConfirmed.objects.filter(version__in=[one.pk for one in versions]).order_by("pk")
    for version, number, at in rows.values_list("version", "revision", "recorded_at"):
        beside[version] = LastRead(number, at)
    return beside


def find_changed_since(
    versions: Collection[QuestionVersion], sources: Mapping[int, Source]
) -> dict[int, tuple[int, tuple[str, ...]]]:
    """By the key of each version that is set aside: the number of the revision it was last read
    beside, and which of its steps have changed since then. `sources` are the current revisions by
    write-up. Two queries at most.
    """
    beside = find_last_read(versions)
    asked = [one for one in versions if one.question.writeup_id in sources and one.pk in beside]
    current = {(writeup, source.number): source for writeup, source in sources.items()}
    wanted = {(one.question.writeup_id, beside[one.pk].number) for one in asked}
    known = current | pinned_sources(wanted - current.keys())
    found = {}
    for one in asked:
        then, now = beside[one.pk], sources[one.question.writeup_id]
        before = known.get((one.question.writeup_id, then.number))
        steps = _changed(before, now, then, tuple(one.steps))
        if steps:
            found[one.pk] = (then.number, steps)
    return found


def find_text_read(version: QuestionVersion) -> str | None:
    """The text beside which a version was last read; None where that is not known any more. Two
    queries.
    """
    then = find_last_read([version]).get(version.pk)
    if then is None:
        return None
    key = (version.question.writeup_id, then.number)
    before = pinned_sources([key]).get(key)
    return before.text if before is not None and _is_as_then(before, then) else None


def say_amount_gone(version: QuestionVersion, source: Source) -> str:
    """Why this version cannot be confirmed: its right amount stood at its steps when it was last
    read, and no longer does beside this revision. Empty where that is not so. Two queries.
    """
    amounts = version.content().right_amounts()
    text = find_text_read(version) if amounts else None
    if text is None:
        return ""
    for amount in amounts:
        if is_amount_gone(amount, version.steps, parse_once(text), source.writeup):
            return gettext(
                "The right answer here is {amount}, but the step says something else now. Change "
                "the question, or withdraw it."
            ).format(amount=amount)
    return ""


def _is_as_then(before: Source, then: LastRead) -> bool:
    return before.changed_at is None or before.changed_at <= then.at


def _changed(
    before: Source | None, now: Source, then: LastRead, steps: tuple[str, ...]
) -> tuple[str, ...]:
    if before is None or not _is_as_then(before, then):
        # It was read beside a draft that was written on since: what it said then is no longer
        # known.
        return steps
    changed = frozenset() if before.number == now.number else _between(before.text, now.text)
    return tuple(step for step in steps if step in changed)


@lru_cache(maxsize=256)
def _between(old: str, new: str) -> frozenset[str]:
    return steps_to_read_again(parse_once(old), parse_once(new))


def change_words(number: int, titles: Collection[str]) -> str:
    """The change as a sentence: `titles` are the steps that it is about."""
    listed = ", ".join(f"“{title}”" for title in titles)
    return ngettext(
        "This step has changed since the question was read beside revision {number}: {listed}. "
        "Confirm the question, or rewrite it.",
        "These steps have changed since the question was read beside revision {number}: {listed}. "
        "Confirm the question, or rewrite it.",
        len(titles),
    ).format(number=number, listed=listed)
