"""Who may do what, and to whom? Each act is one object: it says in a sentence why somebody may not.

The action asks it and refuses, the page asks it and leaves its button out, and the door asks it
before a page is shown; so the three cannot disagree. What an act asks beyond the trade (an
appointment, standing alone, a day at work) is asked where the act is done.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

from django.utils.translation import gettext_lazy as _

from procedures.records.refused import Refused

if TYPE_CHECKING:
    from django.utils.functional import _StrPromise

    from training.models import User


@dataclass(frozen=True, slots=True)
class Act:
    """Something that is done by those with a permission. `lacks` tells the others; `own` tells
    somebody who would do it to themselves, and is empty where that may be.
    """

    permission: str
    lacks: _StrPromise
    own: _StrPromise | str = ""

    def why_not(self, by: User, person: User | None = None) -> str:
        """Why this person may not do it, to this one, in a sentence; empty where nothing is against
        it.
        """
        if self.own and person is not None and by.pk == person.pk:
            return str(self.own)
        return "" if by.has_perm(self.permission) else str(self.lacks)

    def check(self, by: User, person: User | None = None) -> None:
        """Raises Refused with that sentence."""
        if hindrance := self.why_not(by, person):
            raise Refused(hindrance)


_SIGNS = _("Somebody whom the owner appointed signs off; the owner gives a first sign-off.")
_VOIDS = _("A senior mechanic or the owner does this.")

SIGN = Act("training.be_appointed", _SIGNS, _("Nobody signs for themselves."))
# an owner gives it to themselves too: somebody has to be the first, and it says so wherever shown
FOUND = Act("training.sign_founding", _SIGNS)
OBSERVE = Act(
    "training.observe",
    _("A senior mechanic or the owner observes."),
    _("Nobody observes their own work."),
)
SHOW_AGAIN = Act(
    "training.observe",
    _("A senior mechanic or the owner does this."),
    _("Nobody signs for themselves."),
)
CLEAR = Act("training.sign_off", _("A senior mechanic or the owner does this."))
ENTER_FOR_OTHERS = Act(
    "training.enter_for_others",
    _("A senior mechanic or the owner writes down somebody else's job."),
)
STAND_DOWN = Act("training.stand_down", _("A senior mechanic or the owner stands somebody down."))
LIFT = Act(
    "training.stand_down",
    _("A senior mechanic or the owner allows somebody again."),
    _("Nobody allows themselves again after a stand-down."),
)
APPOINT = Act("training.appoint", _("The owner appoints."))
ASK_FOR_VOID = Act("training.void", _VOIDS)
DECIDE_VOID = Act("training.void", _VOIDS, _("Nobody decides about their own entries."))
KEEP_PEOPLE = Act("training.keep_people", _("The owner changes people."))
KEEP_LEVELS = Act("training.keep_levels", _("The owner sets this."))
