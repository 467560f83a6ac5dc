"""What may each trade do on this site?

The lower apps ask `user.has_perm("procedures.release")` and never see a trade. What is asked of a
person beyond the trade (an appointment, standing alone) is asked of the standing, where the thing
is done.
"""

TRAINEE, MECHANIC, SENIOR, OWNER = "trainee", "mechanic", "senior", "owner"
TRADES = (
    (TRAINEE, "trainee"),
    (MECHANIC, "mechanic"),
    (SENIOR, "senior mechanic"),
    (OWNER, "owner"),
)

EVERYBODY = frozenset(
    {"procedures.study", "quizzes.sit", "training.record_own_job", "training.see_own_standing"}
)
WRITES = frozenset(
    {"procedures.write", "procedures.release", "quizzes.write", "quizzes.see_results"}
)

PERMISSIONS: dict[str, frozenset[str]] = {
    TRAINEE: EVERYBODY,
    MECHANIC: EVERYBODY,
    SENIOR: EVERYBODY
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
    },
    OWNER: EVERYBODY
    | WRITES
    | {
        "training.see_everyone",
        "training.be_appointed",
        "training.enter_for_others",
        "training.stand_down",
        "training.void",
        "training.see_book",
        "training.keep_people",
        "training.keep_levels",
        "training.appoint",
        "training.sign_founding",
        "training.take_out",
    },
}


def permissions_of(trade: str) -> frozenset[str]:
    """The permissions of a trade; none for a trade that is not known."""
    return PERMISSIONS.get(trade, frozenset())
