"""Who may do what with questions and sittings? Each act is one object: it says in a sentence why
somebody may not, or that nothing is against it.

The action asks it and refuses, the page asks it and leaves its button out, and the door asks it
before a page is shown; so the three cannot disagree. When a quiz can be sat again is asked of
`records/retry.py`, which the action and the pages share in the same way.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.access.acts import Act, Person
from quizzes.access.closing import sitting_in_the_way
from quizzes.models import Sitting

SIT = Act("quizzes.sit", _("Your role does not allow quizzes. Ask the owner."))
WRITE = Act("quizzes.write", _("Only a senior mechanic or the owner can do this."))
"""To write questions, accept and withdraw them, and see the bank, the odds and the figures."""
SEE_RESULTS = Act("quizzes.see_results", _("Only a senior mechanic or the owner can see this."))


@dataclass(frozen=True, slots=True)
class Confirm:
    """To say of a version that it agrees with the write-up: to accept it, or to confirm it."""

    act: Act

    def why_not(
        self, by: Person, *, author: object, is_accepted: bool, is_withdrawn: bool, others: bool
    ) -> str:
        """Why this person may not, in a sentence; empty where nothing is against it. `author` is
        the key of who wrote the version, `others` whether anybody else could do it.
        """
        if against := self.act.why_not(by):
            return against
        if is_withdrawn:
            return gettext("This question is withdrawn. To ask it again, write a new version.")
        # Another pair of eyes comes first, and sees a change better; where there is none, the
        # author may confirm a change.
        if author == by.pk and not is_accepted:
            return gettext(
                "You wrote this question, so somebody else must approve it. Ask another "
                "person who writes questions."
            )
        if author == by.pk and others:
            return gettext(
                "You wrote this question, so somebody else must confirm that it is still right. "
                "Ask another person who writes questions."
            )
        return ""


@dataclass(frozen=True, slots=True)
class Withdraw:
    """To take a question back."""

    act: Act

    def why_not(self, by: Person, *, is_withdrawn: bool) -> str:
        """Why this person may not, in a sentence; empty where nothing is against it."""
        if against := self.act.why_not(by):
            return against
        return gettext("This question is withdrawn already.") if is_withdrawn else ""


CONFIRM, WITHDRAW = Confirm(WRITE), Withdraw(WRITE)


@dataclass(frozen=True, slots=True)
class Practise:
    """To answer practice questions."""

    act: Act

    def why_not(self, by: Person) -> str:
        """Why this person may not now, in a sentence; empty where nothing is against it. Two
        queries at most.
        """
        return self.act.why_not(by) or self.why_not_now(by.pk)

    def why_not_now(self, person: object) -> str:
        """What of their sittings is against it, for somebody (key) who may practise."""
        if sitting_in_the_way(person) is None:
            return ""
        return gettext(
            "You are in the middle of a quiz. End it first: practice questions could give its "
            "answers away."
        )


PRACTISE = Practise(SIT)


class ClearTheWay:
    """To sign that a sitting that was not passed was gone through, or talked about. Who is entitled
    to sign at all is asked where the signature is given.
    """

    def why_not(self, by: Person, sitting: Sitting, on: date) -> str:
        """Why this person may not sign it on a day, in a sentence; empty where nothing is against
        it.
        """
        if by.pk == sitting.person_id:
            return gettext("You cannot sign for yourself. Ask somebody else.")
        if sitting.is_open() or sitting.happened_on is None:
            return gettext("This sitting has not ended yet.")
        if sitting.is_passed():
            return gettext("This sitting was passed, so there is nothing to do.")
        # What was gone through before the sitting cannot have been about its mistakes.
        if on < sitting.happened_on:
            return gettext("Choose the day of the sitting or a later day.")
        return ""


CLEAR_THE_WAY = ClearTheWay()
