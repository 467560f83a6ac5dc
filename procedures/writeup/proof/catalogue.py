"""Which rules does proofing hold a write-up against, how strongly, and where does each come from?

Sources, by their short names: Z535.4 and Z535.6 (ANSI, signal words and safety messages in collateral materials),
82079-1 (IEC/IEEE, instructions for use), STE (ASD-STE100 Simplified Technical English, issue 9), 38784B (MIL-STD),
2106A (MIL-STD, test steps), DOE-1029 (DOE-STD, action steps), Flesch (reading-grade formula, as adopted in 1978). "common
practice" has no published source. A rule of the shop's list that the language cannot tell from its text (part-of-speech
rules LG-05, LG-14; numbering ST-04, which the page does; revision data DC-08; legend DC-09; origin marks NU-04) is left to
the reviewer.
"""

from dataclasses import dataclass

MUST, SHOULD, HINT = "must", "should", "hint"


@dataclass(frozen=True, slots=True)
class Rule:
    """One rule: how strongly it is meant, its name in a few words, and its source."""

    level: str
    name: str
    source: str


RULES = {
    "SW-01": Rule(MUST, "only four signal words", "ANSI Z535.4"),
    "SW-02": Rule(MUST, "the signal word follows from harm and chances", "ANSI Z535.4, Z535.6 annex C"),
    "SW-03": Rule(SHOULD, "DANGER is rare", "ANSI Z535.4"),
    "SW-04": Rule(MUST, "a NOTICE tells of no injury", "ANSI Z535.4"),
    "SW-05": Rule(MUST, "CAUTION, WARNING and DANGER name an injury", "ANSI Z535.4"),
    "SW-07": Rule(MUST, "one danger, one word", "common practice"),
    "SW-08": Rule(SHOULD, "the signal word is no part of a sentence", "ANSI Z535.6, MIL-STD-2106A"),
    "SM-01": Rule(MUST, "hazard, harm and how to avoid it", "ANSI Z535.6, IEC/IEEE 82079-1"),
    "SM-03": Rule(SHOULD, "the harm is named", "STE 7.3"),
    "SM-04": Rule(SHOULD, "the hazard names its energy or agent", "STE 7.3, IEC/IEEE 82079-1"),
    "SM-05": Rule(MUST, "avoiding is a command", "STE 7.2"),
    "SM-06": Rule(SHOULD, "no empty words", "STE 7.3, IEC/IEEE 82079-1"),
    "SM-07": Rule(SHOULD, "a message is short", "STE 5.1, common practice"),
    "SM-08": Rule(MUST, "no work step hides in a message", "IEC/IEEE 82079-1, STE 5.5"),
    "SM-09": Rule(MUST, "a protective action is a step too", "common practice"),
    "PL-01": Rule(MUST, "a message stands before the action", "IEC/IEEE 82079-1, MIL-STD-38784B"),
    "PL-02": Rule(MUST, "the gravest message first", "MIL-STD-38784B"),
    "PL-04": Rule(SHOULD, "at most three messages at a step", "common practice"),
    "PL-05": Rule(HINT, "the same message not again and again", "common practice"),
    "PL-06": Rule(MUST, "every hazardous step has its message", "ANSI Z535.6; the table is the shop's hazard analysis"),
    "ST-01": Rule(MUST, "one action a step", "STE 5.2, MIL-STD-2106A"),
    "ST-02": Rule(MUST, "a step commands", "STE 5.3"),
    "ST-03": Rule(SHOULD, "the condition first", "STE 5.4"),
    "ST-05": Rule(HINT, "a phase of at most ten steps", "common practice"),
    "ST-06": Rule(HINT, "say what to do", "human-factors practice"),
    "ST-07": Rule(SHOULD, "a result that can be seen", "DOE-STD-1029, STE 9"),
    "ST-08": Rule(SHOULD, "waiting has a time or an end", "DOE-STD-1029"),
    "ST-09": Rule(MUST, "repeating has a count or an end", "DOE-STD-1029"),
    "ST-12": Rule(SHOULD, "no pointing at step numbers", "MIL-STD-38784B"),
    "DC-02": Rule(MUST, "tools used are tools listed", "OASIS DITA 1.3, IEC/IEEE 82079-1"),
    "DC-03": Rule(MUST, "consumables with their amount", "common practice"),
    "DC-06": Rule(HINT, "a title of at most eight words", "common practice"),
    "DC-07": Rule(MUST, "the service level is named", "OASIS DITA 1.3"),
    "LG-01": Rule(MUST, "a sentence of at most 20 words", "STE 5.1"),
    "LG-02": Rule(SHOULD, "a description of at most 25 words", "STE 6.3"),
    "LG-03": Rule(SHOULD, "a paragraph of at most six sentences", "STE 6.5"),
    "LG-04": Rule(SHOULD, "no semicolon", "STE 8.1"),
    "LG-06": Rule(MUST, "active voice", "STE 3.6"),
    "LG-07": Rule(SHOULD, "plain verbs", "STE dictionary, MIL-STD-38784B"),
    "LG-08": Rule(HINT, "nothing shortened", "STE 4.2"),
    "LG-09": Rule(HINT, "no phrasal verbs", "STE 9.3"),
    "LG-10": Rule(SHOULD, "one name for one thing", "STE 1"),
    "LG-11": Rule(SHOULD, "no vague amounts", "STE, common practice"),
    "LG-12": Rule(MUST, "a note informs and does not command", "STE 5.5, MIL-STD-38784B"),
    "LG-15": Rule(HINT, "“do not”, not “don’t” or “never”", "common practice"),
    "NU-01": Rule(MUST, "both numbers say the same", "NIST SP 811 appendix B"),
    "NU-02": Rule(SHOULD, "a torque has a tolerance", "common practice"),
    "NU-03": Rule(SHOULD, "a pressure says over what", "common practice"),
    "NU-06": Rule(MUST, "the text and the field say the same number", "common practice"),
    "RD-01": Rule(SHOULD, "a reading grade of at most 9", "Flesch; MIL-STD-38784B 4.8.3"),
}


@dataclass(frozen=True, slots=True)
class Advice:
    """One finding of proofing: the rule, the step (None outside steps), the line, the words it is about, and what to do."""

    rule: str
    step: str | None
    line: int
    about: str
    message: str

    @property
    def level(self) -> str:
        """must, should or hint."""
        return RULES[self.rule].level
