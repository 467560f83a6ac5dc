"""Do numbers carry their units, agree with each other, and stand as the fields say?"""

import re
from collections.abc import Iterator
from decimal import Decimal

from procedures.writeup.amounts import UNITS, BadAmount, convert
from procedures.writeup.model import Amount, Target
from procedures.writeup.proof.catalogue import HINT
from procedures.writeup.proof.clauses import commands
from procedures.writeup.proof.counting import UNIT
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.language import sentences
from procedures.writeup.proof.reading import Reading
from procedures.writeup.remarks import Remark, remark

_NUMBER = r"\d{1,12}(?:[.,]\d{1,12})?"
_TOLERANCE = rf"(?:\s?±\s?{_NUMBER}(?:\s?%)?)?"
_BOTH = re.compile(
    rf"(?<![\w.,])(?P<first>{_NUMBER}){_TOLERANCE}\s?(?P<unit>{UNIT})\s*\((?P<second>{_NUMBER})\s?(?P<other>{UNIT})(?P<tail>[^()]*)\)"
)
_ONE = re.compile(
    rf"(?<![\w.,(])(?P<first>{_NUMBER}){_TOLERANCE}\s?(?P<unit>{UNIT})(?![\w·⋅])(?P<tail>\s?±\s?\d)?"
)
_GLUED = re.compile(rf"(?<![\w.,]){_NUMBER}(?:N[·⋅]?m|bar|psi|kPa|MPa|mL|mm|cm|kg)(?![\w·])")
_RANGE = re.compile(
    rf"(?<![\w.,])(?:from\s+)?(?P<low>{_NUMBER})\s?(?:-|–|to|\.\.)\s?(?P<high>{_NUMBER})\s?(?P<unit>{UNIT})(?![\w·])"
)
_BARE_TORQUE = re.compile(
    rf"\b(?:to|at)\s+{_NUMBER}(?=\s*+(?:[.,;]\s*+)?$|\s*+[.,;]\s|\s+(?:and|with)\b)"
)
_BRACKETS = re.compile(r"\([^()]*\)")
_ABSOLUTE = re.compile(
    r"\b(?:bar|psi|kPa|MPa)\s?\(?(?:a|abs|absolute)\b|\babsolute pressure\b", re.IGNORECASE
)
_SPELLINGS = {
    "in-lbf": "in·lbf",
    "in-lb": "in·lbf",
    "in·lb": "in·lbf",
    "lbf·in": "in·lbf",
    "lbf-in": "in·lbf",
    "lb-in": "in·lbf",
    "lb·in": "in·lbf",
    "ft-lbf": "ft·lbf",
    "ft-lb": "ft·lbf",
    "ft·lb": "ft·lbf",
    "lbf·ft": "ft·lbf",
    "lbf-ft": "ft·lbf",
    "lb-ft": "ft·lbf",
    "lb·ft": "ft·lbf",
    "kgf-cm": "kgf·cm",
    "ml": "mL",
    "turn": "turns",
    "click": "clicks",
    "time": "times",
}


def amount(number: str, unit: str) -> Amount | None:
    """A bare amount in a known unit, however its unit is spelled; None for a unit that is not
    known.
    """
    written = unit.replace("⋅", "·")
    known = UNITS.get(_SPELLINGS.get(written, written))
    return (
        Amount(None, _decimal(number), None, known[0], known[1], f"{number} {unit}")
        if known
        else None
    )


def _decimal(number: str) -> Decimal:
    return Decimal(number.replace(",", "."))


def half_of_the_last_digit(number: str) -> Decimal:
    """What rounding may have taken from a number as it is printed."""
    return Decimal(1).scaleb(int(_decimal(number).as_tuple().exponent)) / 2


def both_units_agree(reading: Reading) -> Iterator[ProofFinding]:
    """NU-01: the amount in brackets is the one before it, within half of its last digit, unless it
    says “nominal”. Units stand apart from numbers.
    """
    for part, sentence in sentences(reading):
        for found in _BOTH.finditer(sentence.text):
            wrong = _second(found)
            if wrong:
                yield finding("NU-01", part.id, sentence.line, found.group(), wrong)
        glued = _GLUED.search(sentence.text)
        if glued:
            yield finding(
                "NU-01",
                part.id,
                sentence.line,
                sentence.text,
                remark("unit-glued", found=glued.group()),
                HINT,
            )


def _second(found: re.Match[str]) -> Remark | None:
    """What the second amount should say; None where it agrees, or is no second unit of the
    first.
    """
    first, second = amount(found["first"], found["unit"]), amount(found["second"], found["other"])
    if (
        first is None
        or second is None
        or first.kind != second.kind
        or first.unit == second.unit
        or "nominal" in found["tail"].lower()
    ):
        return None
    try:
        wanted = convert(first, second.unit).value
    except BadAmount:
        return None
    slack = half_of_the_last_digit(found["second"])
    if wanted is None or second.value is None or abs(wanted - second.value) <= slack:
        return None
    return remark(
        "units-disagree",
        found=found.group(),
        first=f"{found['first']} {first.unit}",
        wanted=f"{wanted.quantize(slack * 2)} {second.unit}",
    )


def torques_are_whole(reading: Reading) -> Iterator[ProofFinding]:
    """NU-02: a torque has a unit and a tolerance, in the text or in its field."""
    for part in reading.steps:
        targets = part.step.torques if part.step else ()
        for target in targets:
            if target.amount.low is None:
                told = remark("torque-without-tolerance", text=target.text)
                yield finding("NU-02", part.id, target.line, target.text, told)
        for sentence in part.sentences:
            tightens = {"tighten", "torque"} & set(commands(sentence.text).verbs)
            # Only of a command to tighten: “turn it to 3” may name a mark on a dial.
            if tightens and _BARE_TORQUE.search(sentence.text):
                told = remark("number-without-unit", sentence=sentence.text)
                yield finding("NU-02", part.id, sentence.line, sentence.text, told)
            # With a torque: line the tolerance stands there, and the text need not say it again.
            for found in _torques(sentence.text) if not targets else ():
                if "±" not in found.group():
                    told = remark("tolerance-not-said", found=found.group().strip())
                    yield finding("NU-02", part.id, sentence.line, found.group(), told)


def _torques(text: str) -> Iterator[re.Match[str]]:
    """The torques that a sentence gives, without those in brackets."""
    for found in _ONE.finditer(_BRACKETS.sub("", text)):
        read = amount(found["first"], found["unit"])
        if read and read.kind == "torque":
            yield found


def text_and_fields_agree(reading: Reading) -> Iterator[ProofFinding]:
    """NU-06: a torque in the text of a step lies within one of its torque: lines."""
    for part in reading.steps:
        targets = part.step.torques if part.step else ()
        for sentence in part.sentences if targets else ():
            for found in _torques(sentence.text):
                read = amount(found["first"], found["unit"])
                if read and not any(_reaches(target, read, found["first"]) for target in targets):
                    told = remark(
                        "text-against-field",
                        found=found.group().strip(),
                        fields=tuple(target.text for target in targets),
                    )
                    yield finding("NU-06", part.id, sentence.line, found.group(), told)


def _reaches(target: Target, read: Amount, number: str) -> bool:
    wanted = target.amount
    try:
        low, high = (
            (convert(wanted, read.unit), convert(wanted, read.unit))
            if wanted.unit != read.unit
            else (wanted, wanted)
        )
    except BadAmount:
        return True
    least = low.low if low.low is not None else low.value
    most = high.high if high.high is not None else high.value
    # In another unit the author rounded when converting; in its own the number is meant exactly.
    slack = half_of_the_last_digit(number) if wanted.unit != read.unit else Decimal(0)
    return (
        least is None
        or most is None
        or read.value is None
        or least - slack <= read.value <= most + slack
    )


def ranges_run_upward(reading: Reading) -> Iterator[ProofFinding]:
    """NU-05: from the lower number to the higher one."""
    for part, sentence in sentences(reading):
        for found in _RANGE.finditer(sentence.text):
            if _decimal(found["low"]) >= _decimal(found["high"]) and not _changes(sentence.text):
                yield finding(
                    "NU-05",
                    part.id,
                    sentence.line,
                    found.group(),
                    remark("range-backward", found=found.group()),
                )


def _changes(text: str) -> bool:
    """Does the sentence tell of a change, in which the first number may be the higher one?"""
    return bool(re.search(r"\b(?:change|reduce|lower|fall|drop|shorten)\w*\b", text, re.IGNORECASE))


def pressures_are_gauge(reading: Reading) -> Iterator[ProofFinding]:
    """NU-03: no absolute pressure at the bench."""
    for part, sentence in sentences(reading):
        found = _ABSOLUTE.search(sentence.text)
        if found:
            yield finding(
                "NU-03",
                part.id,
                sentence.line,
                sentence.text,
                remark("absolute-pressure", found=found.group()),
            )
