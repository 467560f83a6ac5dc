"""Which of the four signal words fits a harm and its chances?"""

from itertools import product

DANGER, WARNING, CAUTION, NOTICE = "danger", "warning", "caution", "notice"
RANKS = (DANGER, WARNING, CAUTION, NOTICE)  # the worst first
SEVERE, MINOR, DAMAGE = "death or serious injury", "minor or moderate injury", "damage only"
SEVERITIES = (SEVERE, MINOR, DAMAGE)
WILL, COULD = "will", "could"
CHANCES = (WILL, COULD)


def derive(severity: str, p_accident: str, p_severe: str) -> str:
    """The signal word, in lower case, for the worst credible harm, the chance of the accident if
    nobody avoids it, and the chance of that harm if it happens (will or could). Raises ValueError
    for other words.

    ANSI Z535.4-2007, 4.14.1 to 4.14.4, with the rows of ANSI Z535.6, annex C4.1.
    """
    if severity not in SEVERITIES or p_accident not in CHANCES or p_severe not in CHANCES:
        raise ValueError(f"A harm is {', '.join(SEVERITIES)}; a chance is will or could.")
    if severity == SEVERE:
        return DANGER if p_accident == p_severe == WILL else WARNING
    return CAUTION if severity == MINOR else NOTICE


def table() -> tuple[tuple[str, str, str, str], ...]:
    """Every harm and both chances with the word that follows; one row with "" where the chances do
    not matter.
    """
    severe = [
        (SEVERE, accident, harm, derive(SEVERE, accident, harm))
        for accident, harm in product(CHANCES, CHANCES)
    ]
    return (
        *severe,
        *((severity, "", "", derive(severity, COULD, COULD)) for severity in (MINOR, DAMAGE)),
    )
