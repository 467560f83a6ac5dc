"""What do people in the trade believe that is wrong: good wrong options for a question?

Common practice, no source: beliefs as instructors meet them. Each goes with words of the steps that
it is believed about.
"""

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Belief:
    """One false belief as a reason that somebody might give, and the words in a step that it
    belongs to.
    """

    says: str
    about: re.Pattern[str]


def _belief(says: str, about: str) -> Belief:
    return Belief(says, re.compile(about, re.IGNORECASE))


BELIEFS = (
    _belief("a valve core that is out means that both chambers are empty", r"\bvalve|\bcap\b|air"),
    _belief("a gauge at zero means that the fork is safe to open", r"gauge|pressure|air"),
    _belief("a fast release of the air is cleaner than a slow one", r"release|let the air|air out"),
    _belief("the back-up ring belongs where the pressure comes from", r"back-up|ring"),
    _belief("a short fork has only lost some air", r"short|travel|pulls? itself"),
    _belief("a volume spacer changes the travel", r"spacer|travel"),
    _belief("it makes no difference which way the lip of a wiper points", r"wiper|lip|seal"),
    _belief("more bath oil than stated is better", r"\boil\b"),
    _belief("threadlocker allows a lower torque", r"bolt|torque|thread"),
    _belief("a stuck cap comes off best when it is heated first", r"\bcap\b|heat"),
)


def beliefs_about(text: str) -> tuple[str, ...]:
    """The false beliefs that go with the words of a text, in their fixed order."""
    return tuple(belief.says for belief in BELIEFS if belief.about.search(text))
