"""How does a template put a reason or a next step into words?"""

from django import template

from training.records.wording.blocks import block_of, say_block
from training.records.wording.entries import say_entry
from training.records.wording.reasons import say_reason
from training.records.wording.steps import say_step
from training.standing.answer import Answer
from training.standing.results import EntryName, NextStep, Reason

register = template.Library()


@register.filter
def say(result: Reason | NextStep | EntryName) -> str:
    """Return the sentence of a reason or of a next step, or the name of an entry."""
    match result:
        case Reason():
            return say_reason(result)
        case EntryName():
            return say_entry(result)
        case _:
            return say_step(result)


@register.filter
def block(answer: Answer) -> str:
    """Return the code of the block that shows an answer."""
    return block_of(answer)


@register.filter
def block_word(code: str) -> str:
    """Return the word that stands beside a block."""
    return say_block(code)
