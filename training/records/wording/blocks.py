"""Which block shows an answer, and which word stands beside it?"""

from django.utils.translation import gettext, gettext_noop

from training.standing.answer import Answer

WORDS = {
    "alone": gettext_noop("alone"),
    "watched": gettext_noop("supervised"),
    "no": gettext_noop("not yet"),
    "stopped": gettext_noop("stopped"),
}


def block_of(answer: Answer) -> str:
    """Return the code of the block: the standing, or `stopped` for a stand-down."""
    is_stopped = any(reason.code == "stood-down" for reason in answer.reasons)
    return "stopped" if is_stopped and answer.standing == "no" else answer.standing


def say_block(block: str) -> str:
    """Return the word beside a block."""
    # A code of a newer program shows itself rather than nothing.
    return gettext(WORDS.get(block, block))
