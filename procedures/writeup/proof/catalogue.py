"""Which rules are proofed, how strict is each, and which published document does it come from?

A source in brackets after "from memory" was not seen by those who wrote the rule down. "Common
practice, no source" is a decision of workshops like this one.

These rules of the same set cannot be proofed on the write-up language, and why:

=====================
=====================================================================================================
SW-02 in part          the language has no field for severity and chances, so only what the words of
the harm say is held
                       against the word; `signal_words.derive` answers the rest for a person who
                       asks
SW-03 in part          five per cent of the library needs all write-ups at hand; within one write-up
it is proofed PC-01 to PC-04         colours, symbols and panels are made by the program, and tested
there SM-10, PL-03           a caution lives inside its step and carries no number: the language
can't say anything else ST-04 in part          steps are numbered by the program; numbered lists
inside a step are proofed ST-11                  a hold point is `hold: yes`, and the check sheet
makes the place to sign DC-01, DC-02 in part   the lists before step 1 are gathered from the steps'
own fields, so nothing is listed but unused DC-05 in part          free text does not mark which
sentence is the purpose; that there is a text is proofed DC-08                  number, date, author
and releasing person are kept by the program, not typed NU-03 in part          whether "psi" means
gauge stands in the shop's glossary; an absolute pressure is found NU-04                  the
language has no mark for where a value comes from NU-06 in part          quiz answers live in
another part of the program; text and `torque:` are compared =====================
=====================================================================================================
"""

from dataclasses import dataclass

ERROR, ASK, HINT = "E", "W", "I"
LEVELS = {ERROR: "put right or answer", ASK: "answer", HINT: "hint"}

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
    """A rule: its id, the level its findings have unless they say otherwise, its name and its
    source.
    """

    id: str
    level: str
    name: str
    source: str


_ROWS = (
    ("SW-01", ERROR, "Only DANGER, WARNING, CAUTION and NOTICE", f"{Z4}, 4.14; ISO 3864-2"),
    (
        "SW-02",
        ERROR,
        "The word follows from the worst harm and its chances",
        f"{Z4}, 4.14.1 to 4.14.4; {Z6}, annex C4.1",
    ),
    ("SW-03", ASK, "DANGER is rare", f"{Z4}, 4.14.1; the number one: {COMMON}"),
    ("SW-04", ERROR, "A NOTICE never speaks of injury", f"{Z4}, 4.14.4"),
    ("SW-05", ERROR, "DANGER, WARNING and CAUTION name an injury", f"{Z4}, 4.14.1 to 4.14.3"),
    ("SW-06", ASK, "One caution, one hazard", Z6),
    ("SW-07", ERROR, "One hazard has one word throughout", COMMON),
    ("SW-08", ASK, "The signal word stands by itself", f"{Z6}; {MIL_TESTS}"),
    ("SM-01", ERROR, "Hazard, harm and avoidance", f"{Z6}; {DITA}; {MANUALS}"),
    ("SM-02", ERROR, "A short caution has a full one before it", f"{Z6}; {MANUALS}"),
    ("SM-03", ASK, "The harm is a harm", f"{STE}, rule 7.3"),
    ("SM-04", ASK, "The hazard names what does it", f"{STE}, rule 7.3; {MANUALS}"),
    ("SM-05", ERROR, "The avoidance is a command", f"{STE}, rule 7.2"),
    ("SM-06", ASK, "Say how, not “carefully”", f"{STE}, rule 7.3; {MANUALS}"),
    (
        "SM-07",
        ASK,
        "A caution is short",
        f"{STE}, rule 5.1 (20 words a sentence); the other numbers: {COMMON}",
    ),
    ("SM-08", ERROR, "No work hides in a caution", f"{MANUALS}; {MIL}, 3.2.19"),
    ("SM-09", ERROR, "What protects is a step too", COMMON),
    ("PL-01", ERROR, "A caution stands before the action", f"{MANUALS}; {MIL}; {HUMAN}"),
    ("PL-02", ERROR, "The worst caution stands first", f"{MIL}; DANGER first: {COMMON}"),
    ("PL-04", ASK, "No more than three cautions before a step", COMMON),
    ("PL-05", HINT, "A caution that is everywhere is read nowhere", COMMON),
    (
        "PL-06",
        ERROR,
        "A dangerous step has its caution",
        f"principle: {MANUALS}, {Z6}; the table of triggers: {COMMON}",
    ),
    ("ST-01", ERROR, "One action a step", f"{STE}, rule 5.2; {MIL_TESTS}; {HUMAN}"),
    ("ST-02", ERROR, "A step is a command", f"{STE}, rule 5.3; {MIL_TESTS}"),
    ("ST-03", ASK, "The condition comes first", f"{STE}, rule 5.4"),
    ("ST-04", ERROR, "Numbers run from 1, two levels deep", f"{MIL_TESTS}; two levels: {COMMON}"),
    ("ST-05", HINT, "Few steps a phase", COMMON),
    ("ST-06", HINT, "Say what to do, not what not to do", HUMAN),
    ("ST-07", ASK, "The result to reach is stated", f"{DOE}; {STE}"),
    ("ST-08", ASK, "A wait has a time or an end", DOE),
    ("ST-09", ERROR, "A repeat has a count or an end", f"{DOE}; {HUMAN}"),
    ("ST-10", HINT, "A choice says “one of”", DOE),
    ("ST-12", ASK, "No chains of references", f"{COMMON}; {MIL}"),
    (
        "DC-02",
        ERROR,
        "A tool in the text is a tool on the list",
        f"{DITA}; {MANUALS} (from memory)",
    ),
    ("DC-03", ERROR, "What is used up has an amount", f"{DITA}; {COMMON}"),
    ("DC-04", ERROR, "What opens a part under air says so in a field", f"{DITA}; {COMMON}"),
    ("DC-05", ASK, "The write-up says what it is for", f"{STE}, rule 6.3"),
    ("DC-06", HINT, "A title has at most eight words", COMMON),
    ("DC-07", ERROR, "The service level is named", f"{DITA}; {COMMON}"),
    ("DC-09", ASK, "The signal words are explained once", Z6),
    ("DC-10", ERROR, "Safety first, before a part under air is opened", f"{Z6}; {MANUALS}"),
    ("LG-01", ERROR, "A command has at most 20 words", f"{STE}, rule 5.1"),
    ("LG-02", ASK, "Any other sentence has at most 25 words", f"{STE}, rule 6.3"),
    ("LG-03", ASK, "A paragraph has at most six sentences", f"{STE}, rules 6.5 and 6.6"),
    ("LG-04", ASK, "No semicolon", f"{STE}, rule 8.1"),
    ("LG-05", HINT, "No row of more than three nouns", f"{STE}, section 2"),
    ("LG-06", ERROR, "Say who does it", f"{STE}, rule 3.6 (its number from memory)"),
    ("LG-07", HINT, "The plain verb", f"{STE}, dictionary; {MIL}, 4.8.8"),
    ("LG-08", HINT, "Words in full", f"{STE}, rules 4.2 and section 9"),
    ("LG-09", HINT, "One verb instead of two words", f"{STE}, rule 9.3"),
    ("LG-10", ASK, "One name for one thing", f"{STE}, section 1"),
    ("LG-11", ASK, "A number instead of “about”", f"{STE}; {COMMON}"),
    ("LG-12", ERROR, "A note tells, it does not ask", f"{STE}, rule 5.5; {MIL}, 3.2.19"),
    ("LG-13", HINT, "Keep the articles", f"{STE}, rule 4.2"),
    ("LG-14", HINT, "No “it” that may be two things", STE),
    ("LG-15", HINT, "Do not, and not “never”", COMMON),
    ("NU-01", ERROR, "Both units say the same", "NIST SP 811, appendix B.8"),
    ("NU-02", ASK, "A torque has a unit and a tolerance", COMMON),
    ("NU-03", ASK, "A pressure is a gauge pressure", COMMON),
    ("NU-05", ERROR, "A range runs upward", COMMON),
    ("NU-06", ERROR, "The text says what the field says", COMMON),
    (
        "RD-01",
        ASK,
        "A reader at school year nine can follow",
        f"Flesch-Kincaid formula; {MIL}, 4.8.3",
    ),
)
CATALOGUE = {row[0]: Rule(*row) for row in _ROWS}
