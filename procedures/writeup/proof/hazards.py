"""Which cautions does a step need for what its words do, and has it them?"""

import re
from collections.abc import Iterator
from dataclasses import dataclass

from procedures.writeup.proof.clauses import commands, pattern_of_act, pattern_of_carrying
from procedures.writeup.proof.findings import ProofFinding, finding
from procedures.writeup.proof.reading import NOTE, Message, Part, Reading
from procedures.writeup.proof.signal_words import NOTICE
from procedures.writeup.remarks import remark

_UNDER_AIR = r"top caps?|air cans?|seal heads?|valve cores?|reservoirs?|end eyes?"
_SOLVENT = r"solvents?|isopropyl alcohol|brake cleaner"
_RING = r"retaining rings?|snap rings?|circlips?"
_SEALS = r"wipers?|seals?"


@dataclass(frozen=True, slots=True)
class Trigger:
    """Words of a step that call for a caution on one hazard; `known_by` finds that hazard in a
    caution.
    """

    hazard: str
    acts: tuple[re.Pattern[str], ...]
    known_by: re.Pattern[str]
    consumable: re.Pattern[str] | None = None
    tool: re.Pattern[str] | None = None
    harmless_tool: re.Pattern[str] | None = None


def _words(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{pattern})", re.IGNORECASE)


_PRYING = (pattern_of_act("remove|lever|pry|prise|pick", _SEALS), pattern_of_carrying(_SEALS))
_PRY_TOOL = _words(r"lever|picks?\b|screwdriver")
OPENING = Trigger(
    "trapped pressure",
    (
        pattern_of_act("unscrew|remove|open|loosen|crack", _UNDER_AIR),
        pattern_of_carrying(_UNDER_AIR),
    ),
    _words("pressur|trapped|air\\b|gas\\b"),
)
TRIGGERS = (
    OPENING,
    Trigger(
        "ejected air and oil",
        (
            pattern_of_act("press|push", r"valve pins?|valve cores?"),
            pattern_of_act("release|vent", "air"),
            re.compile(
                r"\blet\b.{0,20}\bair\b.{0,10}\bout\b|\blet out\b.{0,20}\bair\b", re.IGNORECASE
            ),
        ),
        _words("air\\b|oil|mist|eject|spray|pressur"),
    ),
    Trigger(
        "a flying ring",
        (pattern_of_act("remove|install|fit|seat", _RING), pattern_of_carrying(_RING)),
        _words("fl(?:y|ies|ying)|spring force|eject|jump|snap"),
    ),
    Trigger(
        "flammable vapour",
        (
            pattern_of_act("apply|spray", _SOLVENT),
            re.compile(
                rf"\b(?:wash|clean|wipe|rinse)\b.{{0,80}}\bwith (?:{_SOLVENT})\b", re.IGNORECASE
            ),
        ),
        _words("flammab|vapour|fire|burn"),
        consumable=_words(_SOLVENT),
    ),
    Trigger(
        "burns and fire",
        (pattern_of_act("heat", r"bolts?|threadlocker"),),
        _words("burn|fire|hot\\b|heat"),
    ),
    Trigger(
        "skin contact",
        (pattern_of_act("apply", "threadlocker"),),
        _words("skin|sensiti|allerg|adhesive|threadlocker"),
    ),
    Trigger(
        "a pinch point",
        (
            pattern_of_act("press|drive", r"wipers?|bushings?|seals?"),
            pattern_of_act("close", r"vi[sc]es?"),
        ),
        _words("pinch|crush|squeez"),
    ),
    Trigger(
        "a sharp tool",
        _PRYING,
        _words("sharp|tool|blade|cut"),
        tool=_PRY_TOOL,
        harmless_tool=_words("plastic|brass|wood"),
    ),
    Trigger(
        "damage to the surface", _PRYING, _words("scratch|dent|damag|gouge|mark"), tool=_PRY_TOOL
    ),
    Trigger("slipping on oil", (pattern_of_act("drain|pour", "oil"),), _words("slip|fall|floor")),
    Trigger(
        "oil on the brake",
        (pattern_of_act("drain|pour", "oil"),),
        _words("brake|disc\\b|pads?\\b|rotor|contaminat"),
    ),
    Trigger(
        "too much pressure",
        (pattern_of_act("inflate", r"forks?|shocks?"),),
        _words("pressur|burst|maximum"),
    ),
    Trigger(
        "a gas charge",
        (
            pattern_of_act("charge", r".{0,60}?\b(?:nitrogen|gas)"),
            re.compile(r"\bcharge\b.{0,60}\bwith (?:nitrogen|gas)\b", re.IGNORECASE),
        ),
        _words("gas\\b|nitrogen|charge|pressur"),
    ),
)
NEEDS_NOTICE_ONLY = frozenset({"damage to the surface", "oil on the brake"})


def find_triggers(
    part: Part, triggers: tuple[Trigger, ...] = TRIGGERS
) -> Iterator[tuple[Trigger, str, int]]:
    """The triggers in the words of a step, each with the words and their line; the title counts
    where the text has none.
    """
    if part.step is None:
        return
    told = [
        (sentence.text, sentence.line)
        for each in part.paragraphs
        if each.kind != NOTE
        for sentence in each.sentences
    ]
    # “Do not open the air can” opens nothing.
    told = [(text, line) for text, line in told if not commands(text).forbids]
    for trigger in triggers:
        found = next(
            (
                (text, line)
                # The text first, since its line is where the caution is missing.
                for text, line in (*told, (part.title, part.line))
                if _fits(trigger, text, part)
            ),
            None,
        )
        if found is None and trigger.consumable:
            found = next(
                (
                    (used.name, used.line)
                    for used in part.step.uses
                    if trigger.consumable.search(used.name)
                ),
                None,
            )
        if found is not None:
            yield trigger, *found


def _fits(trigger: Trigger, text: str, part: Part) -> bool:
    if not any(act.search(text) for act in trigger.acts):
        return False
    tools = " ".join((text, *(part.step.tools if part.step else ())))
    if trigger.tool and not trigger.tool.search(tools):
        return False
    return not (trigger.harmless_tool and trigger.harmless_tool.search(tools))


def opens_pressure(part: Part) -> bool:
    """Do the words of this step open a part that may stand under air?"""
    return any(True for _ in find_triggers(part, (OPENING,)))


def dangerous_steps_are_covered(reading: Reading) -> Iterator[ProofFinding]:
    """PL-06: a caution on the hazard stands in the step itself or in the text of its phase."""
    # The text of a phase is asked once, not again for each of its steps.
    covered: dict[
        tuple[int, str], bool
    ] = {}  # by phase and hazard: whether the text of the phase speaks of it
    for part in reading.steps:
        for trigger, words, line in find_triggers(part):
            above = (part.phase, trigger.hazard)
            if above not in covered:
                covered[above] = any(
                    _covers(message, trigger) for message in _of_phase(reading, part)
                )
            if not covered[above] and not any(
                _covers(message, trigger) for message in part.messages
            ):
                told = (
                    remark("notice-missing", words=words, hazard=trigger.hazard)
                    if trigger.hazard in NEEDS_NOTICE_ONLY
                    else remark("caution-missing", words=words, hazard=trigger.hazard)
                )
                yield finding("PL-06", part.id, line, f"{trigger.hazard}: {words}", told)


def _covers(message: Message, trigger: Trigger) -> bool:
    # ANSI Z535.4: a NOTICE is about things, so it covers nothing that can hurt a person.
    if message.caution.word == NOTICE and trigger.hazard not in NEEDS_NOTICE_ONLY:
        return False
    caution = message.caution
    return bool(
        trigger.known_by.search(
            " ".join((caution.title, caution.hazard, caution.harm, caution.text))
        )
    )


def _of_phase(reading: Reading, part: Part) -> Iterator[Message]:
    return (
        message
        for each in reading.phase_parts(part.phase)
        if each.step is None and part.phase >= 0
        for message in each.messages
    )


def openings_are_told(reading: Reading) -> Iterator[ProofFinding]:
    """DC-04: once the words open a part under air, the fields have told the rehearsal of it, or the
    write-up follows another.
    """
    told = bool(reading.writeup.follows)
    for part in reading.steps:
        told = told or bool(part.step and part.step.opens)
        if told:
            continue
        for _, words, line in find_triggers(part, (OPENING,)):
            message = remark("opening-not-told", words=words)
            yield finding("DC-04", part.id, line, words, message)


def safety_comes_first(reading: Reading) -> Iterator[ProofFinding]:
    """DC-10: a write-up that opens a part under air has a caution in its introduction."""
    opened = any(opens_pressure(part) for part in reading.steps) or any(
        _PRESSURISED.search(name) for step in reading.writeup.steps for name in step.opens
    )
    grouped = any(part.messages for part in reading.parts if part.step is None and part.phase < 0)
    if opened and not grouped:
        message = remark("safety-not-first")
        yield finding(
            "DC-10", None, _first_line(reading), reading.writeup.title or "introduction", message
        )


_PRESSURISED = _words("air|pressur|valve|gas|chamber")


def _first_line(reading: Reading) -> int:
    return next(iter(reading.writeup.lines_of("title")), 1)
