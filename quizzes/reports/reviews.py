"""Is a question asked at present, and if not, what has to happen first?"""

from __future__ import annotations

from collections.abc import Collection, Mapping
from dataclasses import dataclass

from django.utils.translation import gettext

from quizzes.models import QuestionVersion, QuestionWithdrawn
from quizzes.records.album import Album
from quizzes.records.confirming import change_words, find_changed_since
from quizzes.records.sources import Source


@dataclass(frozen=True, slots=True)
class Review:
    """How a version stands: accepted by another than its author or not, withdrawn (why) or not,
    which steps have changed since it was last read beside the write-up; and every reason for which
    it is not asked, in sentences.
    """

    is_accepted: bool
    withdrawn: str
    changed: tuple[str, ...]
    why_not: tuple[str, ...]

    @property
    def is_withdrawn(self) -> bool:
        return bool(self.withdrawn)


def reviews(
    versions: Collection[QuestionVersion],
    sources: Mapping[int, Source],
    rules: str,
    pictures: Album,
) -> dict[int, Review]:
    """The review of each of these newest versions, by its key; five queries."""
    keys = [version.pk for version in versions]
    accepted = set(
        QuestionVersion.objects.accepted().filter(pk__in=keys).values_list("pk", flat=True)
    )
    in_use = dict(QuestionVersion.objects.in_use().values_list("question", "number"))
    withdrawn = dict(
        QuestionWithdrawn.objects.filter(version__in=keys).values_list("version", "reason")
    )
    changed = find_changed_since(versions, sources)
    found = {}
    for version in versions:
        why_not: list[str] = []
        titles: tuple[str, ...] = ()
        if version.pk in withdrawn:
            why_not.append(gettext("Withdrawn: {reason}").format(reason=withdrawn[version.pk]))
        elif version.pk not in accepted:
            why_not.append(_waits(version, in_use.get(version.question_id)))
        source = sources.get(version.question.writeup_id)
        if source is None:
            why_not.append(
                gettext("The write-up has no released revision yet, so this question is not asked.")
            )
        else:
            why_not += source.faults(
                version.content(), version.steps, rules, pictures, mirror=version.mirror
            )
        if source is not None and version.pk in changed:
            number, steps = changed[version.pk]
            names = source.titles()
            titles = tuple(names.get(step, step) for step in steps)
            why_not.append(change_words(number, titles))
        found[version.pk] = Review(
            version.pk in accepted, withdrawn.get(version.pk, ""), titles, tuple(why_not)
        )
    return found


def _waits(version: QuestionVersion, asked: int | None) -> str:
    if asked is None:
        text = gettext("Version {number} waits until somebody other than its author approves it.")
    else:
        text = gettext(
            "Version {number} waits until somebody other than its author approves it. Until then "
            "version {asked} is asked."
        )
    return text.format(number=version.number, asked=asked)
