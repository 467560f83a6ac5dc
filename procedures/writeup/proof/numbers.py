"""Do the numbers agree with each other, and do torques and pressures say what they must?"""

import re
from collections.abc import Iterator, Sequence
from decimal import Decimal

from procedures.writeup.amounts import BadAmount, convert, read_amount
from procedures.writeup.model import Amount, WriteUp
from procedures.writeup.proof.catalogue import Advice
from procedures.writeup.proof.reader import Paragraph
from procedures.writeup.proof.words import NUMBER, UNIT

_TWO_UNITS = re.compile(rf"({NUMBER}\s*{UNIT})\s*\(\s*({NUMBER})\s*({UNIT})\s*\)")
_IN_LBF = re.compile(r"in-lbf|ft-lbf")


def check_numbers(writeup: WriteUp, running: Sequence[Paragraph]) -> Iterator[Advice]:
    """Every finding about numbers and units."""
    for part in running:
        step = part.step.id if part.step else None
        for sentence in part.sentences:
            for found in _TWO_UNITS.finditer(sentence.text):
                wanted = _disagree(*found.groups())
                if wanted:
                    yield Advice("NU-01", step, sentence.line, found[0], f"{found[1]} is {wanted}.")
    for step_ in writeup.steps:
        for target in step_.torques:
            if target.amount.low is None or target.amount.high is None:
                yield Advice("NU-02", step_.id, target.line, target.text, "Write a tolerance, such as “28 ± 2 N·m”.")
        torques = [target.amount for target in step_.torques]
        for amount in step_.amounts:
            if amount.kind == "torque" and torques and not any(_meet(amount, torque) for torque in torques):
                yield Advice("NU-06", step_.id, step_.line, amount.text, f"The field says {torques[0].text}.")
    yield from _pressures(writeup, running)


def _pressures(writeup: WriteUp, running: Sequence[Paragraph]) -> Iterator[Advice]:
    told = " ".join(sentence.text for part in running for sentence in part.sentences)
    if re.search(r"\b(gauge|absolute)\b|over the (?:local )?air pressure", told, re.IGNORECASE):
        return
    for step in writeup.steps:
        pressures = [amount for amount in (*step.amounts, *(target.amount for target in step.measures)) if amount.kind == "pressure"]
        if pressures:
            message = "Say once in the write-up that pressures are gauge pressures."
            yield Advice("NU-03", step.id, step.line, pressures[0].text, message)
            return


def _disagree(first: str, number: str, unit: str) -> str:
    """What the second number must be, when it differs by more than half of its last digit; empty when both agree."""
    try:
        one = read_amount(_IN_LBF.sub(lambda found: found[0].replace("-", "·"), first))
        other = read_amount(f"{number} {unit.replace('-lbf', '·lbf')}")
        exact = convert(one, other.unit)
    except BadAmount:
        return ""
    if one.kind != other.kind or one.kind == "temperature" or exact.value is None or other.value is None:
        return ""
    digits = len(number.replace(",", ".").partition(".")[2])
    half = Decimal(5).scaleb(-digits - 1)
    if abs(exact.value - other.value) <= half:
        return ""
    return f"{round(exact.value, max(digits, 1))} {unit}"


def _meet(amount: Amount, other: Amount) -> bool:
    try:
        here = convert(amount, other.unit)
    except BadAmount:
        return True
    low, high = (here.low or here.value or Decimal(0)), (here.high or here.value or Decimal(0))
    least, most = (other.low or other.value or Decimal(0)), (other.high or other.value or Decimal(0))
    return low <= most and least <= high
