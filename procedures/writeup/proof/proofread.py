"""What would a careful editor of instructions say about a write-up? Advice only; it is for people to weigh."""

from procedures.writeup.model import WriteUp
from procedures.writeup.proof.catalogue import RULES, Advice
from procedures.writeup.proof.cautions import check_cautions
from procedures.writeup.proof.language import check_language
from procedures.writeup.proof.numbers import check_numbers
from procedures.writeup.proof.reader import paragraphs
from procedures.writeup.proof.steps import check_steps

ORDER = tuple(RULES)


def proofread(writeup: WriteUp, text: str) -> tuple[Advice, ...]:
    """Every finding about this text, which `writeup` was read from, by line and rule; each rule, line and words once."""
    running = paragraphs(writeup, text)
    found = [
        *check_cautions(writeup, running),
        *check_steps(writeup, running),
        *check_numbers(writeup, running),
        *check_language(writeup, running),
    ]
    once = {(advice.rule, advice.step, advice.line, advice.about): advice for advice in found}
    return tuple(sorted(once.values(), key=lambda advice: (advice.line, ORDER.index(advice.rule), advice.about)))
