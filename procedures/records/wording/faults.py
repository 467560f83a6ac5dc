"""What is said of a text that cannot be read: a write-up, the shop's rules, an amount, a name?"""

from collections.abc import Sequence

from django.utils.functional import Promise
from django.utils.translation import gettext
from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words, join_or

KINDS: dict[str, str | Promise] = {
    "torque": _("a torque"),
    "pressure": _("a pressure"),
    "volume": _("a volume"),
    "length": _("a length"),
    "mass": _("a mass"),
    "time": _("a time"),
    "temperature": _("a temperature"),
    "share": _("a share in %"),
    "count": _("a number of turns, clicks or times"),
}
"""Each kind of unit in words."""


def _other_kind(text: str, kind: str, kinds: Sequence[str]) -> str:
    wanted = join_or([str(KINDS[one]) for one in kinds])
    told = gettext("“{text}” is {kind}, but {wanted} belongs here. Write it with its unit.")
    return told.format(text=text, kind=KINDS[kind], wanted=wanted)


def _not_convertible(unit: str, kind: str, target: str, other: str) -> str:
    told = gettext("{unit} is {kind} and {target} is {other}. Write both in units of one kind.")
    return told.format(unit=unit, kind=KINDS[kind], target=target, other=KINDS[other])


FAULTS: dict[str, Words] = {
    # amounts
    "no-amount": _(
        "“{text}” is not an amount. Write a number and a unit, such as 28 ± 2 N·m or 20..30 %."
    ),
    "amount-too-long": _(
        "An amount has at most {most} characters. Shorten the one that starts “{start}”."
    ),
    "no-number": _(
        "“{text}” has a unit but no number that can be read. Write it such as 28 ± 2 N·m or "
        "20..30 %."
    ),
    "no-whole-amount": _(
        "“{text}” is not an amount. Write a number, its tolerance and one unit, such as 28 ± 2 "
        "N·m or 20..30 %."
    ),
    "two-numbers": _(
        "“{text}” has two numbers. Write one, without spaces in it, or a range such as 20..30 %."
    ),
    "range-with-tolerance": _("“{text}” is a range with a tolerance. Write one of the two."),
    "range-backwards": _("The range “{text}” runs backwards. Write the lower number first."),
    "two-tolerances": _("“{text}” has two tolerances. Write one."),
    "no-unit": _("“{text}” has no unit. Write one behind the number, such as N·m or mL."),
    "unknown-unit": _("“{unit}” is not a unit that is known here. Use one of {known}."),
    "other-kind": _other_kind,
    "not-convertible": _not_convertible,
    # body
    "field-in-text": _(
        "“{key}:” is in the text, where it has no effect. Put it directly under the heading, "
        "without a blank line."
    ),
    "field-in-phase": _(
        "“{key}:” is below a phase, where it has no effect. Put it directly under the heading of "
        "each step that it is for."
    ),
    # check_sheet
    "value-outside": _(
        "{title}: {measured} is outside {wanted}. Have it put right and type the new value, or "
        "mark the line “not right”."
    ),
    # demands
    "demands-no-list": _(
        "Write a list of demands here. Each has “when”, “because”, and “needs” or “caution” "
        "with “names”."
    ),
    "unknown-demand-key": _("“{key}” is not a key of a demand. Use one of {known}."),
    "demand-key-twice": _("“{key}” is in this demand twice. Keep one of them."),
    "demand-without-when": _(
        "This demand has no “when”. Say which steps it is about, such as when: {{tool: strap "
        "wrench}}."
    ),
    "demand-without-because": _("This demand has no “because”. Say why in a few words."),
    "caution-without-names": _(
        "“caution” and “names” belong together: the signal word, and the words that the message "
        "must have."
    ),
    "demand-of-nothing": _("This demand asks for nothing. Add “needs”, or “caution” with “names”."),
    "unknown-signal-word": _("“{word}” is not a signal word. Use one of {known}."),
    "unknown-when-field": _("“{key}” is not a field that “when” can use. Use one of {known}."),
    "when-field-twice": _("“{key}” is in this “when” twice. Put all its names into one list."),
    "when-without-field": _(
        "“when” names no field. Say which steps this is about, such as when: {{tool: strap "
        "wrench}}."
    ),
    "no-names": _("Write one name or a list of names here."),
    "empty-list": _("This list is empty. Write at least one name into it."),
    # fields
    "fence-without-end": _(
        "The code fence “{mark}” has no end, so nothing below it counts. Close it, or take it out."
    ),
    "fence-under-heading": _(
        "A code fence is directly under the heading. Leave a blank line above it."
    ),
    "no-field-line": _(
        "“{line}” is not a field line. Write key: value, or leave a blank line above the text."
    ),
    "unknown-field": _(
        "“{key}” is not a field of a step. Leave a blank line above the text, or correct the key."
    ),
    "field-without-value": _("“{key}” has no value. Write one or take the line out."),
    "empty-value": _("“{key}” has an empty value between two semicolons. Take one semicolon out."),
    "hold-not-yes": _("The line “hold” can only say yes. Write yes, or take the line out."),
    "check-side-empty": _(
        "A side of this check is empty. Write what is looked at | what happens if it fails."
    ),
    "use-without-name": _("“{text}” does not say what is used. Write its name before the amount."),
    "target-without-amount": _(
        "“{text}” has no amount that can be read. Write a number and a unit, such as 28 ± 2 N·m."
    ),
    # grammar
    "no-condition": _("“{text}” is not a condition. Write it such as ring = eyelet | prong."),
    # header
    "header-without-end": _("The header has no end. Write a line with --- below it."),
    "no-header": _(
        "There is no header. Start the text with a line ---, a title and another line ---."
    ),
    "header-key-twice": _("“{key}” is in the header twice. Keep one of them."),
    "unknown-header-key": _("“{key}” is not a key of the header. Use one of {known}."),
    "no-title": _("The header has no title. Write title: and what the write-up is called."),
    "not-one-of": _("Write one of these here: {known}."),
    "no-day": _("This is not a day. Write one such as 2026-11-25."),
    "no-moment": _(
        "This is not a time with its offset from UTC. Write one such as "
        "2026-11-25T15:47:00+01:00 or "
        "2026-11-25T14:47:00Z."
    ),
    "bad-variant": _("“{name}” needs a name that no other variant has, and at least one option."),
    "option-twice": _("“{name}” has an option twice. Keep one of them."),
    # letters
    "name-hidden-letter": _(
        "The name has an invisible letter ({letter}). Delete it and type the name again."
    ),
    "name-without-letter": _(
        "The name has no letter in it. Write the name as it is to be printed."
    ),
    "name-of-accents": _(
        "The name has more than {most} accents on one letter. Write it as it is to be printed."
    ),
    # parse
    "text-too-long": _(
        "The text is longer than {most} characters and is not read. Split it into several "
        "write-ups."
    ),
    "id-taken": _("Another step has the id “{id}” already. Give this one another id."),
    "bad-id": _("“{id}” cannot be an id. Use small letters, digits and hyphens."),
    "caution-after-action": _(
        "The {word} “{title}” comes after the work it warns of. Put it before the first sentence "
        "of the step."
    ),
    # plain_yaml
    "yaml-anchor": _(
        "Names for repeated pieces (& and *) are not read here. Write the piece out. If it is a "
        "word, put it in quotes."
    ),
    "yaml-tag": _(
        "Type marks (!) are not read here. Everything is text; put such a word in quotes."
    ),
    "yaml-too-deep": _("There are too many lists inside lists here. Take one out."),
    "yaml-too-long": _("This is longer than {most} characters. Split it into several."),
    "no-yaml": _(
        "This is not YAML that can be read: {problem}. Look for a stray mark or bracket on this "
        "line."
    ),
    "yaml-odd-letter": _(
        "It has a letter that cannot be read. Type the text again, or take strange letters out."
    ),
    "no-entries": _("Write lines of the form “key: value” here."),
    "key-no-word": _("A key must be plain words. Take brackets and lists out of it."),
    "list-for-name": _("Write one name or text here, not a list."),
    "nothing-written": _("Nothing is written here. Write a value or leave the line out."),
    "no-list-of-lists": _("Write a list of lists here, such as [[air let out, depressurised]]."),
    "hidden-letter": _("There is an invisible letter ({letter}) here. Delete it."),
    "yaml-key-twice": _("“{key}” is here twice. Keep one of them."),
    # render
    "piece-too-much": _(
        "This piece is too long to lay out, or has too many brackets inside brackets. It is "
        "shown as you wrote it."
    ),
    # rules
    "unknown-rules-key": _("“{key}” is not a key of the rules. Use one of {known}."),
    "fact-in-two-groups": _(
        "“{name}” is in two groups of states. Keep it in one, or join the groups."
    ),
    "source-twice": _("“{source}” is under “safe” twice. Keep one of them."),
    # header: what stands inside a key is told after the key
    "header-unreadable": _("The header cannot be read. {because}"),
    "key-unreadable": _("“{key}” cannot be read. {because}"),
    "options-unreadable": _("The options of “{name}” cannot be read. {because}"),
    "value-unreadable": _("{title}: {because}"),
}
"""The sentence of each fault, made from its arguments."""
