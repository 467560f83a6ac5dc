"""Which commands does a sentence give?"""

import re
from dataclasses import dataclass
from functools import lru_cache

from procedures.writeup.proof.words import LEADS, NAMES_TOO, VERBS, list_words

_WORD = re.compile(r"[\w’'-]+|[,;:.]|\([^()]*\)|[^\s\w]")
_SHOWS_VERB = list_words(
    """
    the a an each both every all it them your this that these those one two three its again until
    to from by off out in on up down away then once only slowly , . ; not
    """
)
_JOINS = frozenset({"and", "then", ",", ";"})
# “Oil is …”
_TELLS = list_words(
    "of is are was were can could will may might must has have does runs comes stays stands "
    "goes gets lies"
)
BRANCH = frozenset({"if", "unless"})
_TOGETHER = re.compile(r"\bwhile\b|\bat the same time\b|\btogether\b", re.IGNORECASE)
_HOLDING = frozenset({"hold", "keep"})
_PROHIBITS = re.compile(r"(?:do not|don[’']t|never|avoid)\b", re.IGNORECASE)
_BEFORE_DOING = re.compile(
    r"\b(?:before|after)\s+([a-z]+ing)\b(?!\s+(?:ring|point))", re.IGNORECASE
)
_THEN = re.compile(r"(?:\b(?:and|,)\s+then\b|^then\b)", re.IGNORECASE)


@dataclass(frozen=True, slots=True)
class Commands:
    """What a sentence tells to do.

    `lead` is the condition before the main clause, `verbs` are the heads of its commands in order
    (none when it is no command), `then` whether it says “then”, `together` whether the commands
    happen at the same time, `forbids` whether it says what not to do.
    """

    lead: str
    verbs: tuple[str, ...]
    then: bool = False
    together: bool = False
    forbids: bool = False

    @property
    def is_branch(self) -> bool:
        """Does it hold only in a case (“If …”), beside the action of the step?"""
        return self.lead.partition(" ")[0].lower() in BRANCH


# Most rules ask for the commands of the same sentence.
@lru_cache(maxsize=4096)
def commands(sentence: str) -> Commands:
    """The commands of one sentence."""
    lead, main = _main_clause(sentence)
    forbids = bool(_PROHIBITS.match(main))
    words = [word.lower() for word in _WORD.findall(main)]
    words = words[1:] if words[:1] == ["then"] else words
    # “Slowly press …” is still the command to press.
    while words and words[0].endswith("ly") and len(words) > 1:
        words = words[1:]
    if forbids:
        return Commands(
            lead, (next((word for word in words[1:] if word in VERBS), "do"),), forbids=True
        )
    if not words or words[0] not in VERBS or (len(words) > 1 and words[1] in _TELLS):
        return Commands(lead, ())
    verbs = [words[0], *_more(words)]
    verbs += [doing.lower() for doing in _BEFORE_DOING.findall(main)]
    together = bool(_TOGETHER.search(main)) or (words[0] in _HOLDING and len(verbs) == 2)
    return Commands(lead, tuple(verbs), bool(_THEN.search(main)), together)


def _more(words: list[str]) -> list[str]:
    """The further commands after the first: “, and stop”, “and pull out the shaft”. “Clean and dry
    the bore” is one action.
    """
    found = []
    for place in range(1, len(words) - 1):
        if words[place] not in _JOINS or words[place - 1] in _JOINS:
            continue
        verb_at = next(
            (at for at in range(place + 1, len(words)) if words[at] not in _JOINS), len(words) - 1
        )
        verb, after = words[verb_at], words[verb_at + 1 : verb_at + 2]
        # “Clean and dry the bore” is one action of two verbs at its beginning.
        if verb not in VERBS or (place == 1 and words[place] == "and"):
            continue
        if (
            verb not in NAMES_TOO
            or not after
            or after[0] in _SHOWS_VERB
            or after[0].endswith("ly")
            or after[0][0].isdigit()
        ):
            found.append(verb)
    return found


def _main_clause(sentence: str) -> tuple[str, str]:
    """The condition or circumstance in front, without its comma, and the main clause; the first is
    "" where there is none.
    """
    text = sentence.strip('"“”‘’()[] ')
    first = text.partition(" ")[0].lower().strip(",")
    if first not in LEADS or "," not in text:
        return "", text
    pieces = text.split(",")
    for place in range(1, len(pieces)):
        main = ",".join(pieces[place:]).strip()
        words = main.lower().split()
        word = words[0].strip(".;:") if words else ""
        if (
            word in VERBS
            or word in {"never", "don't", "don’t", "carefully"}
            or (word.endswith("ly") and len(words) > 1)
        ):
            return ",".join(pieces[:place]).strip(), main
    return pieces[0].strip(), ",".join(pieces[1:]).strip()


def pattern_of_act(verbs: str, things: str) -> re.Pattern[str]:
    """A pattern for a sentence in which one of the verbs takes one of the things: “unscrew the top
    cap”, “the cap is unscrewed”.

    Both are alternatives of a regular expression; up to three words may stand between them, but no
    preposition.
    """
    # In “remove dirt from the seal” it is not the seal that is removed.
    no_preposition = (
        r"(?!from\b|of\b|with\b|in\b|into\b|on\b|onto\b|to\b|at\b|below\b|behind\b|under\b|and\b)"
    )
    between = rf"(?:\s+{no_preposition}[\w-]+){{0,3}}?"
    passive = rf"\b(?:{things})\b(?:\s+\w+){{0,3}}?\s+(?:be|is|are)\s+(?:{verbs})(?:ed|d)\b"
    return re.compile(
        rf"\b(?:{verbs})\b(?:\s+(?:off|out|in|on|away|up))?{between}\s+(?:{things})\b|{passive}",
        re.IGNORECASE,
    )


def pattern_of_carrying(things: str) -> re.Pattern[str]:
    """A pattern for “take the cap off”, “lift the ring out”."""
    return re.compile(
        rf"\b(?:take|lift|pick|pull|walk)\b(?:\s+[\w-]+){{0,3}}?\s+(?:{things})\b(?:\s+[\w-]+){{0,1}}?\s+(?:off|out)\b",
        re.IGNORECASE,
    )
