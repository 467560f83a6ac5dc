"""How does a template put a reason or a next step into words?"""

from django import template

from training.records.wording.blocks import block_of, say_block
from training.records.wording.reasons import say_reason
from training.records.wording.steps import say_step
from training.standing.answer import Answer
from training.standing.results import NextStep, Reason

register = template.Library()


@register.filter
def say(result: Reason | NextStep) -> str:
    """Return the sentence of a reason or of a next step."""
    return say_reason(result) if isinstance(result, Reason) else say_step(result)


@register.filter
def block(answer: Answer) -> str:
    """Return the code of the block that shows an answer."""
    return block_of(answer)


@register.filter
def block_word(code: str) -> str:
    """Return the word that stands beside a block."""
    return say_block(code)
