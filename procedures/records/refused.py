"""What is a person told when the shop's rules refuse an action?"""

from collections.abc import Iterable


class Refused(Exception):
    """An action that is not done. The message says what is wrong and what to do; `details` says
    where, line by line.
    """

    def __init__(self, message: str, details: Iterable[str] = ()) -> None:
        super().__init__(message)
        self.message = message
        self.details = tuple(details)


def refuse_if(why: str) -> None:
    """Raises Refused with what is against an act, as the act says it; nothing is, where it is
    empty.
    """
    if why:
        raise Refused(why)


def make_refusal(error: object) -> Refused:
    """The refusal that says what a ValidationError of Django says."""
    messages = getattr(error, "messages", None) or [str(error)]
    return Refused(" ".join(str(message) for message in messages))
