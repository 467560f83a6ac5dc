"""What may each role at the bench, and an owner, do on this site?

What somebody does at the bench and whether they own the shop are two things: a senior mechanic can
be the owner too, and may then do what either may. Acts ask for a permission and never see a role.
What is asked of a person beyond it (an appointment, standing alone) is asked of the standing, where
the thing is done.
"""

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

TRAINEE, MECHANIC, SENIOR, OWNER = "trainee", "mechanic", "senior", "owner"
# `owner` is the trade of an owner who does no bench work
TRADES: tuple[tuple[str, str | Promise], ...] = (
    (TRAINEE, _("trainee")),
    (MECHANIC, _("mechanic")),
    (SENIOR, _("senior mechanic")),
    (OWNER, _("none (an owner who does no bench work)")),
)
AT_BENCH = (TRAINEE, MECHANIC, SENIOR)

# Owners too: an owner with a bench studies and answers as everybody does.
EVERYBODY = frozenset(
    {"procedures.study", "quizzes.sit", "training.record_own_job", "training.see_own_standing"}
)
WRITES = frozenset(
    {"procedures.write", "procedures.release", "quizzes.write", "quizzes.see_results"}
)

SENIOR_MAY = (
    EVERYBODY
    | WRITES
    | {
        "training.see_everyone",
        "training.observe",
        "training.sign_off",
        "training.be_appointed",
        "training.enter_for_others",
        "training.stand_down",
        "training.void",
        "training.see_book",
    }
)

PERMISSIONS: dict[str, frozenset[str]] = {
    # The same as a mechanic: what tells them apart at the bench is their standing, not a role.
    TRAINEE: EVERYBODY,
    MECHANIC: EVERYBODY,
    SENIOR: SENIOR_MAY,
    OWNER: SENIOR_MAY
    | {
        "training.keep_people",
        "training.keep_levels",
        "training.appoint",
        "training.sign_founding",
        "training.take_out",
    },
}


def permissions_of(trade: str, *, owner: bool = False) -> frozenset[str]:
    """The permissions of a trade, with those of an owner; none for a trade that is not known."""
    # Fail closed: a trade from a newer version of the program may nothing.
    return PERMISSIONS.get(trade, frozenset()) | (PERMISSIONS[OWNER] if owner else frozenset())


def say_role(trade: str, *, owner: bool) -> str:
    """What somebody does here, in words: the role at the bench, and owner besides."""
    if trade == OWNER:
        return gettext("owner")
    role = str(dict(TRADES).get(trade, trade))
    return gettext("{role}, owner").format(role=role) if owner else role
