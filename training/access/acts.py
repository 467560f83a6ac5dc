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
        # Oneself comes first: such a person is refused with the permission too, so that is what to
        # tell.
        if self.own and person is not None and by.pk == person.pk:
            return str(self.own)
        return "" if by.has_perm(self.permission) else str(self.lacks)

    def is_open_to(self, by: User, person: User | None = None) -> bool:
        """Whether nothing is against it."""
        return not self.why_not(by, person)

    def check(self, by: User, person: User | None = None) -> None:
        """Raises Refused with that sentence. An action that writes evidence asks it with the record
        book locked, and so after whoever changed a role before it.
        """
        # Read afresh: the right may have gone since the page was asked for, while this waited.
        now = by.read_afresh()
        if hindrance := self.why_not(now, person):
            raise Refused(hindrance)


_SIGNS = _(
    "Only somebody whom the owner appointed can sign off. The owner can give a first sign-off."
)
_VOIDS = _("Only a senior mechanic or the owner can do this.")

SIGN = Act("training.be_appointed", _SIGNS, _("You cannot sign for yourself. Ask somebody else."))
# an owner gives it to themselves too: somebody has to be the first, and it says so wherever shown
FOUND = Act("training.sign_founding", _SIGNS)
OBSERVE = Act(
    "training.observe",
    _("Only a senior mechanic or the owner can observe."),
    _("You cannot observe your own work. Ask somebody else."),
)
SHOW_AGAIN = Act(
    "training.observe",
    _("Only a senior mechanic or the owner can do this."),
    _("You cannot sign for yourself. Ask somebody else."),
)
# No `own` here: the lower app refuses one's own sitting, since it knows whose it is.
CLEAR = Act("training.sign_off", _("Only a senior mechanic or the owner can do this."))
# Only for others: one's own job is anybody's to write down, within the shop's days.
ENTER_FOR_OTHERS = Act(
    "training.enter_for_others",
    _("Only a senior mechanic or the owner can log a job for somebody else."),
)
# No `own`: whoever finds a fault in their own work may stop themselves at once.
STAND_DOWN = Act(
    "training.stand_down", _("Only a senior mechanic or the owner can stand somebody down.")
)
# With `own`: a stop that one could end oneself would stop nobody.
LIFT = Act(
    "training.stand_down",
    _("Only a senior mechanic or the owner can allow the work again after a stand-down."),
    _("You cannot end your own stand-down. Ask a senior mechanic or the owner."),
)
APPOINT = Act("training.appoint", _("Only the owner can appoint somebody to sign off."))
# One's own entries too: whoever sees their own slip should say so, and a second person decides.
ASK_FOR_VOID = Act("training.void", _VOIDS)
DECIDE_VOID = Act("training.void", _VOIDS, _("You cannot decide about your own entries."))
KEEP_PEOPLE = Act("training.keep_people", _("Only the owner can change people."))
KEEP_ROTA = Act("training.keep_people", _("Only the owner can change the rota and the plan."))
GIVE_LINK = Act(
    "training.keep_people",
    _("Only the owner can give a link."),
    # By a link one's own old password would not be asked, as an unlocked screen would like it.
    _("To change your own password, open the page Password."),
)
END_SESSIONS_OF_OTHERS = Act(
    "training.keep_people", _("You can end only your own sessions. The owner can end everybody’s.")
)
MAKE_CARDS_OF_OTHERS = Act(
    "training.keep_people",
    _("You can make or withdraw only your own card. The owner can do it for everybody."),
)
DECIDE_FACTOR = Act(
    "training.keep_people", _("Only the owner can decide who needs a second factor.")
)
RESET_FACTOR = Act(
    "training.keep_people",
    _("Only the owner can reset a second factor."),
    _("You cannot reset your own second factor. Ask another owner, or whoever runs the site."),
)
SEE_EVERYONE = Act(
    "training.see_everyone",
    _("Only a senior mechanic or the owner can see other people’s records."),
)
SEE_BOOK = Act(
    "training.see_book", _("Only a senior mechanic or the owner can see the record book.")
)
TAKE_OUT = Act("training.take_out", _("Only the owner can take the records out."))
SEE_REFUSALS = Act("training.keep_people", _("Only the owner can see refused sign-ins."))
KEEP_LEVELS = Act("training.keep_levels", _("Only the owner can set this."))
