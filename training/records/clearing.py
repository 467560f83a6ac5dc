"""What is put before a senior who clears the way to the next sitting after one that was not
passed?
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from datetime import date

from quizzes.models import GoneThrough, Sitting, Talk
from quizzes.reports.results import MissedStep, list_missed
from training.models import User
from training.records.book.canonical import write_canonical

MEANING = {
    GoneThrough.KIND: "I have gone through each of these steps again with {person}, who can now "
    "say what they are for.",
    Talk.KIND: "I have talked with {person} about the sittings of “{quiz}” that were not passed.",
}


@dataclass(frozen=True, slots=True)
class ClearingSheet:
    """What the senior sees and signs; the digest is SHA-256 over all of it, in canonical JSON (RFC
    8785).
    """

    kind: str
    person: str
    title: str
    ended_on: date
    percent: str
    steps: tuple[MissedStep, ...]
    meaning: str
    digest: str


def clearing_sheet(kind: str, *, sitting: Sitting, signer: User, on: date) -> ClearingSheet:
    """The sheet for one statement (`GoneThrough.KIND` or `Talk.KIND`) on an ended sitting. Raises
    ValueError for an open one.
    """
    # ValueError and not Refused: no page leads here with an open sitting.
    if sitting.happened_on is None or sitting.percent is None:
        raise ValueError("This sitting has not ended.")
    steps = list_missed(sitting)
    meaning = MEANING[kind].format(person=sitting.person, quiz=sitting.quiz.title)
    shown = {
        "kind": kind,
        "sitting": sitting.pk,
        # By login beside the name: two people may be called the same.
        "person": sitting.person.get_username(),
        "quiz": sitting.quiz.name,
        "ended_on": sitting.happened_on,
        "percent": sitting.percent,
        "steps": [step.key for step in steps],
        "signer": signer.login,
        "name": signer.name,
        # The day is in it: a sheet left open overnight is another one in the morning.
        "on": on,
        "meaning": meaning,
    }
    return ClearingSheet(
        kind=kind,
        person=str(sitting.person),
        title=sitting.quiz.title,
        ended_on=sitting.happened_on,
        # Exact, unlike on pages: it is signed.
        percent=f"{sitting.percent.normalize():f}",
        steps=steps,
        meaning=meaning,
        digest=hashlib.sha256(write_canonical(shown)).hexdigest(),
    )
