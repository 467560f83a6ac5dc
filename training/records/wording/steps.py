"""What can be done next: each step in a sentence, and until when it has to be done?"""

from collections.abc import Callable
from datetime import date
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext, gettext_lazy, ngettext

from procedures.records.days.reader import say_day
from training.records.wording.pieces import join_and, write_options
from training.standing.results import NextStep

# Two sentences each: "By {day}: " put before the first would be gluing.
STEPS: dict[str, tuple[str | Promise, str | Promise]] = {
    "check-days-of-work": (
        gettext_lazy("Correct the first or last day of work, if it is wrong."),
        gettext_lazy("By {day}: correct the first or last day of work, if it is wrong."),
    ),
    "clear-stand-down": (
        gettext_lazy("Put right what led to the stand-down, then allow the work again."),
        gettext_lazy("By {day}: put right what led to the stand-down, then allow the work again."),
    ),
    "sign-off": (
        gettext_lazy("Sign off for {title} when nothing else is missing."),
        gettext_lazy("By {day}: sign off for {title} when nothing else is missing."),
    ),
    "sign-afresh": (
        gettext_lazy("Get a new sign-off for {title} from somebody who may sign it."),
        gettext_lazy("By {day}: get a new sign-off for {title} from somebody who may sign it."),
    ),
    "widen-sign-off": (
        gettext_lazy("Sign off for {title} with these options too, or supervise the work."),
        gettext_lazy(
            "By {day}: sign off for {title} with these options too, or supervise the work."
        ),
    ),
    "renew-sign-off": (
        gettext_lazy("Renew the sign-off for {title}."),
        gettext_lazy("By {day}: renew the sign-off for {title}."),
    ),
    "get-into-practice": (
        gettext_lazy("Do supervised jobs at {title}, or get a new sign-off."),
        gettext_lazy("By {day}: do supervised jobs at {title}, or get a new sign-off."),
    ),
    "read-change": (
        gettext_lazy("Read the changed write-up."),
        gettext_lazy("By {day}: read the changed write-up."),
    ),
    "answer-again": (
        gettext_lazy("Sit the quiz of {title} again."),
        gettext_lazy("By {day}: sit the quiz of {title} again."),
    ),
    "show-again": (
        gettext_lazy("Watch one job at {title} and record the observation."),
        gettext_lazy("By {day}: watch one job at {title} and record the observation."),
    ),
    "earlier-level-first": (
        gettext_lazy("Get signed off for the earlier level first."),
        gettext_lazy("By {day}: get signed off for the earlier level first."),
    ),
    "read": (
        gettext_lazy("Read the current revision of each write-up of {title}."),
        gettext_lazy("By {day}: read the current revision of each write-up of {title}."),
    ),
    "sit-quiz": (
        gettext_lazy("Sit the quiz of {title}."),
        gettext_lazy("By {day}: sit the quiz of {title}."),
    ),
    "go-through-critical": (
        gettext_lazy("Go through the critical questions with a senior, then sit the quiz again."),
        gettext_lazy(
            "By {day}: go through the critical questions with a senior, then sit the quiz again."
        ),
    ),
    "observe": (
        gettext_lazy("Watch a job with the check sheet and record the observation."),
        gettext_lazy("By {day}: watch a job with the check sheet and record the observation."),
    ),
}
"""Each step as it is told now, and as it is told beside the last day on which it keeps a
standing.
"""


def say_step(step: NextStep) -> str:
    """Return the sentence of a step."""
    args: dict[str, Any] = dict(step.args)
    # These count jobs and so need a plural, which a sentence in a table has not.
    if step.code in COUNTED:
        return COUNTED[step.code](step.by, **args)
    now, before = STEPS[step.code]
    if step.by is None:
        return str(now).format(**args)
    return str(before).format(day=say_day(step.by), **args)


def _stay_in_practice(by: date | None, jobs: int, title: str) -> str:
    if by is None:
        return say_jobs(jobs)
    text = ngettext(
        "By {day}: do {jobs} more job at {title}.",
        "By {day}: do {jobs} more jobs at {title}.",
        jobs,
    )
    return text.format(day=say_day(by), jobs=jobs, title=title)


def say_jobs(number: int) -> str:
    """Return how many more jobs: one more job, 3 more jobs."""
    return ngettext("1 more job", "{number} more jobs", number).format(number=number)


def _do_watched_jobs(
    by: date | None, done: int, asked: int, lacking: tuple[tuple[str, str], ...]
) -> str:
    left = asked - done
    if left <= 0:
        options = join_and([write_options([pair]) for pair in lacking])
        said = gettext("Do a supervised job with {options}.").format(options=options)
        if by is None:
            return said
        return gettext("By {day}: do a supervised job with {options}.").format(
            day=say_day(by), options=options
        )
    if by is None:
        text = ngettext(
            "Do {left} more supervised job: {done} of {asked} done.",
            "Do {left} more supervised jobs: {done} of {asked} done.",
            left,
        )
        return text.format(left=left, done=done, asked=asked)
    text = ngettext(
        "By {day}: do {left} more supervised job. {done} of {asked} done.",
        "By {day}: do {left} more supervised jobs. {done} of {asked} done.",
        left,
    )
    return text.format(day=say_day(by), left=left, done=done, asked=asked)


COUNTED: dict[str, Callable[..., str]] = {
    "stay-in-practice": _stay_in_practice,
    "do-watched-jobs": _do_watched_jobs,
}
"""The steps that count jobs."""
