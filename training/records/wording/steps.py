"""What can be done next: each step in a sentence, and until when it has to be done?"""

from datetime import date
from typing import Any

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy, ngettext

from training.standing.calendar import written
from training.standing.results import NextStep

STEPS: dict[str, tuple[str | Promise, str | Promise]] = {
    "check-days-of-work": (
        gettext_lazy("Correct the first or last day of work, if it is wrong."),
        gettext_lazy("By {day}: correct the first or last day of work, if it is wrong."),
    ),
    "clear-stand-down": (
        gettext_lazy("Settle what led to the stand-down, then lift it."),
        gettext_lazy("By {day}: settle what led to the stand-down, then lift it."),
    ),
    "sign-off": (
        gettext_lazy("Sign off for {title} once nothing else is missing."),
        gettext_lazy("By {day}: sign off for {title} once nothing else is missing."),
    ),
    "sign-afresh": (
        gettext_lazy("Have {title} signed afresh by somebody entitled to."),
        gettext_lazy("By {day}: have {title} signed afresh by somebody entitled to."),
    ),
    "widen-sign-off": (
        gettext_lazy("Sign off for {title} with these options, or watch the work."),
        gettext_lazy("By {day}: sign off for {title} with these options, or watch the work."),
    ),
    "renew-sign-off": (
        gettext_lazy("Renew the sign-off for {title}."),
        gettext_lazy("By {day}: renew the sign-off for {title}."),
    ),
    "get-into-practice": (
        gettext_lazy("Do jobs at {title} watched, or get a fresh sign-off."),
        gettext_lazy("By {day}: do jobs at {title} watched, or get a fresh sign-off."),
    ),
    "read-change": (
        gettext_lazy("Read the changed write-up."),
        gettext_lazy("By {day}: read the changed write-up."),
    ),
    "answer-again": (
        gettext_lazy("Start the quiz of {title} again."),
        gettext_lazy("By {day}: sit the quiz of {title} again."),
    ),
    "show-again": (
        gettext_lazy("Watch one job at {title} and record what was seen."),
        gettext_lazy("By {day}: watch one job at {title} and record what was seen."),
    ),
    "earlier-level-first": (
        gettext_lazy("Put the earlier level in order first."),
        gettext_lazy("By {day}: put the earlier level in order first."),
    ),
    "read": (
        gettext_lazy("Read the current revision of each write-up of {title}."),
        gettext_lazy("By {day}: read the current revision of each write-up of {title}."),
    ),
    "sit-quiz": (
        gettext_lazy("Start the quiz of {title}."),
        gettext_lazy("By {day}: sit the quiz of {title}."),
    ),
    "go-through-critical": (
        gettext_lazy("Go through the critical questions with a senior; sit again."),
        gettext_lazy("By {day}: go through the critical questions with a senior; sit again."),
    ),
    "do-watched-jobs": (
        gettext_lazy("Do the missing jobs with somebody watching."),
        gettext_lazy("By {day}: do the missing jobs with somebody watching."),
    ),
    "observe": (
        gettext_lazy("Watch a job against the check sheet and record what was seen."),
        gettext_lazy("By {day}: watch a job against the check sheet and record what was seen."),
    ),
}
"""Each step as it is told now, and as it is told beside the last day on which it keeps a
standing.
"""


def say_step(step: NextStep) -> str:
    """Return the sentence of a step."""
    args: dict[str, Any] = dict(step.args)
    if step.code == "stay-in-practice":
        return _stay_in_practice(step.by, **args)
    now, before = STEPS[step.code]
    if step.by is None:
        return str(now).format(**args)
    return str(before).format(day=written(step.by), **args)


def _stay_in_practice(by: date | None, jobs: int, title: str) -> str:
    if by is None:
        return say_jobs(jobs)
    text = ngettext(
        "By {day}: one more job at {title}.", "By {day}: {jobs} more jobs at {title}.", jobs
    )
    return text.format(day=written(by), jobs=jobs, title=title)


def say_jobs(number: int) -> str:
    """Return how many more jobs: one more job, 3 more jobs."""
    return ngettext("one more job", "{number} more jobs", number).format(number=number)
