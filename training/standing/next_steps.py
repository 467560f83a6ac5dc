"""What can the person, a senior or the owner do next about each reason?"""

from collections.abc import Iterable
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Literal

from training.standing.calendar import written
from training.standing.wording import Reason

Who = Literal["person", "senior", "owner"]


@dataclass(frozen=True, slots=True)
class NextStep:
    """One thing to do: its code, one sentence, and whose turn it is."""

    code: str
    text: str
    who: Who


_STEPS: dict[str, tuple[str, Who, str]] = {
    "not-here": (
        "check-days-of-work",
        "owner",
        "Correct the first or last day of work, if it is wrong.",
    ),
    "stood-down": (
        "clear-stand-down",
        "senior",
        "Settle what led to the stand-down, then lift it.",
    ),
    "no-sign-off": ("sign-off", "senior", "Sign off for {title} once nothing else is missing."),
    "signer-not-entitled": (
        "sign-afresh",
        "senior",
        "Have {title} signed afresh by somebody entitled to.",
    ),
    "variant-not-covered": (
        "widen-sign-off",
        "senior",
        "Sign off for {title} with these options, or watch the work.",
    ),
    "sign-off-ended": ("renew-sign-off", "senior", "Renew the sign-off for {title}."),
    "out-of-practice": (
        "get-into-practice",
        "person",
        "Do jobs at {title} watched, or get a fresh sign-off.",
    ),
    "change-not-read": ("read-change", "person", "Read the changed write-up."),
    "change-not-answered": ("answer-again", "person", "Sit the quiz of {title} again."),
    "change-not-shown": (
        "show-again",
        "senior",
        "Watch one job at {title} and record what was seen.",
    ),
    "earlier-level": ("earlier-level-first", "person", "Put the earlier level in order first."),
    "not-read": ("read", "person", "Read the current revision of each write-up of {title}."),
    "quiz-not-passed": ("sit-quiz", "person", "Sit the quiz of {title}."),
    "critical-wrong": (
        "go-through-critical",
        "person",
        "Go through the critical questions with a senior; sit again.",
    ),
    "too-few-watched-jobs": (
        "do-watched-jobs",
        "person",
        "Do the missing jobs with somebody watching.",
    ),
    "not-observed": (
        "observe",
        "senior",
        "Watch a job against the check sheet and record what was seen.",
    ),
}

_SIGNATURES = {"no-sign-off", "sign-off-ended", "variant-not-covered", "signer-not-entitled"}


def steps_for(reasons: Iterable[Reason], title: str) -> tuple[NextStep, ...]:
    """Return what to do about the reasons, in the order of doing: what comes first, and the
    sign-off last of all.

    Before a first sign-off nobody can be out of practice, so that reason asks nothing more.
    """
    codes = [reason.code for reason in reasons]
    if "no-sign-off" in codes:
        codes = [code for code in codes if code != "out-of-practice"]
    return tuple(_step(code, title) for code in sorted(codes, key=_turn))


def _turn(code: str) -> int:
    """Say when a step has its turn: what bars all work, earlier levels, then one's own doing, then
    a senior's eye, then the signature.
    """
    if code in {"not-here", "stood-down"}:
        return -1
    if code == "earlier-level":
        return 0
    return {"person": 1, "owner": 1, "senior": 2}[_STEPS[code][1]] + 2 * (code in _SIGNATURES)


def step_before(lapse: date, code: str, title: str, jobs_short: int) -> NextStep:
    """Return what keeps a standing from falling on a day for one reason; of jobs exactly as many as
    are short.
    """
    until = f"By {written(lapse - timedelta(days=1))}"
    if code == "out-of-practice":
        return NextStep(
            "stay-in-practice", f"{until}: {jobs_said(jobs_short)} at {title}.", "person"
        )
    name, who, text = _STEPS[code]
    said = text.format(title=title)
    return NextStep(name, f"{until}: {said[0].lower()}{said[1:]}", who)


def jobs_said(number: int) -> str:
    """Return how many more jobs: one more job, 3 more jobs."""
    return "one more job" if number == 1 else f"{number} more jobs"


def _step(code: str, title: str) -> NextStep:
    name, who, text = _STEPS[code]
    return NextStep(name, text.format(title=title), who)
