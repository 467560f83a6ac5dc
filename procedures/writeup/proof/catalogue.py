"""Which rules are proofed, how strict is each, and which published document does it come from?

A source in brackets after "from memory" was not seen by those who wrote the rule down. "Common
practice, no source" is a decision of workshops like this one.

These rules of the same set cannot be proofed on the write-up language, and why:

- SW-02 in part: the language has no field for severity and chances, so only what the words of the
  harm say is held against the word; `signal_words.derive` answers the rest for a person who asks.
- SW-03 in part: five per cent of the library needs all write-ups at hand; within one write-up it is
  proofed.
- PC-01 to PC-04: colours, symbols and panels are made by the program, and tested there.
- SM-10, PL-03: a caution lives inside its step and carries no number: the language can't say
  anything else.
- ST-04 in part: steps are numbered by the program; numbered lists inside a step are proofed.
- ST-11: a hold point is `hold: yes`, and the check sheet makes the place to sign.
- DC-01, DC-02 in part: the lists before step 1 are gathered from the steps' own fields, so nothing
  is listed but unused.
- DC-05 in part: free text does not mark which sentence is the purpose; that there is a text is
  proofed.
- DC-08: number, date, author and releasing person are kept by the program, not typed.
- NU-03 in part: whether "psi" means gauge stands in the shop's glossary; an absolute pressure is
  found.
- NU-04: the language has no mark for where a value comes from.
- NU-06 in part: quiz answers live in another part of the program; text and `torque:` are compared.
"""

from dataclasses import dataclass

ERROR, ASK, HINT = "E", "W", "I"
LEVELS = (ERROR, ASK, HINT)
"""To be put right or answered, to be answered, and worth a look."""

Z4 = "ANSI Z535.4-2007"
Z6 = "ANSI Z535.6"
MANUALS = "IEC/IEEE 82079-1"
STE = "ASD-STE100 issue 9"
MIL = "MIL-STD-38784B"
MIL_TESTS = "MIL-STD-2106A(SH), appendix on test steps"
DOE = "DOE-STD-1029-92, section 4"
DITA = "OASIS DITA 1.3"
HUMAN = "human-factors notes on procedure writing"
COMMON = "common practice, no source"


@dataclass(frozen=True, slots=True)
class Rule:
    """A rule: its id, the level its findings have unless they say otherwise, and its source."""

    id: str
    level: str
    source: str


_ROWS = (
    ("SW-01", ERROR, f"{Z4}, 4.14; ISO 3864-2"),
    ("SW-02", ERROR, f"{Z4}, 4.14.1 to 4.14.4; {Z6}, annex C4.1"),
    ("SW-03", ASK, f"{Z4}, 4.14.1; the number one: {COMMON}"),
    ("SW-04", ERROR, f"{Z4}, 4.14.4"),
    ("SW-05", ERROR, f"{Z4}, 4.14.1 to 4.14.3"),
    ("SW-06", ASK, Z6),
    ("SW-07", ERROR, COMMON),
    ("SW-08", ASK, f"{Z6}; {MIL_TESTS}"),
    ("SM-01", ERROR, f"{Z6}; {DITA}; {MANUALS}"),
    ("SM-02", ERROR, f"{Z6}; {MANUALS}"),
    ("SM-03", ASK, f"{STE}, rule 7.3"),
    ("SM-04", ASK, f"{STE}, rule 7.3; {MANUALS}"),
    ("SM-05", ERROR, f"{STE}, rule 7.2"),
    ("SM-06", ASK, f"{STE}, rule 7.3; {MANUALS}"),
    ("SM-07", ASK, f"{STE}, rule 5.1 (20 words a sentence); the other numbers: {COMMON}"),
    ("SM-08", ERROR, f"{MANUALS}; {MIL}, 3.2.19"),
    ("SM-09", ERROR, COMMON),
    ("PL-01", ERROR, f"{MANUALS}; {MIL}; {HUMAN}"),
    ("PL-02", ERROR, f"{MIL}; DANGER first: {COMMON}"),
    ("PL-04", ASK, COMMON),
    ("PL-05", HINT, COMMON),
    ("PL-06", ERROR, f"principle: {MANUALS}, {Z6}; the table of triggers: {COMMON}"),
    ("ST-01", ERROR, f"{STE}, rule 5.2; {MIL_TESTS}; {HUMAN}"),
    ("ST-02", ERROR, f"{STE}, rule 5.3; {MIL_TESTS}"),
    ("ST-03", ASK, f"{STE}, rule 5.4"),
    ("ST-04", ERROR, f"{MIL_TESTS}; two levels: {COMMON}"),
    ("ST-05", HINT, COMMON),
    ("ST-06", HINT, HUMAN),
    ("ST-07", ASK, f"{DOE}; {STE}"),
    ("ST-08", ASK, DOE),
    ("ST-09", ERROR, f"{DOE}; {HUMAN}"),
    ("ST-10", HINT, DOE),
    ("ST-12", ASK, f"{COMMON}; {MIL}"),
    ("DC-02", ERROR, f"{DITA}; {MANUALS} (from memory)"),
    ("DC-03", ERROR, f"{DITA}; {COMMON}"),
    ("DC-04", ERROR, f"{DITA}; {COMMON}"),
    ("DC-05", ASK, f"{STE}, rule 6.3"),
    ("DC-06", HINT, COMMON),
    ("DC-07", ERROR, f"{DITA}; {COMMON}"),
    ("DC-09", ASK, Z6),
    ("DC-10", ERROR, f"{Z6}; {MANUALS}"),
    ("LG-01", ERROR, f"{STE}, rule 5.1"),
    ("LG-02", ASK, f"{STE}, rule 6.3"),
    ("LG-03", ASK, f"{STE}, rules 6.5 and 6.6"),
    ("LG-04", ASK, f"{STE}, rule 8.1"),
    ("LG-05", HINT, f"{STE}, section 2"),
    ("LG-06", ERROR, f"{STE}, rule 3.6 (its number from memory)"),
    ("LG-07", HINT, f"{STE}, dictionary; {MIL}, 4.8.8"),
    ("LG-08", HINT, f"{STE}, rules 4.2 and section 9"),
    ("LG-09", HINT, f"{STE}, rule 9.3"),
    ("LG-10", ASK, f"{STE}, section 1"),
    ("LG-11", ASK, f"{STE}; {COMMON}"),
    ("LG-12", ERROR, f"{STE}, rule 5.5; {MIL}, 3.2.19"),
    ("LG-13", HINT, f"{STE}, rule 4.2"),
    ("LG-14", HINT, STE),
    ("LG-15", HINT, COMMON),
    ("NU-01", ERROR, "NIST SP 811, appendix B.8"),
    ("NU-02", ASK, COMMON),
    ("NU-03", ASK, COMMON),
    ("NU-05", ERROR, COMMON),
    ("NU-06", ERROR, COMMON),
    ("RD-01", ASK, f"Flesch-Kincaid formula; {MIL}, 4.8.3"),
)
CATALOGUE = {row[0]: Rule(*row) for row in _ROWS}
