"""What is said of what the proofing finds?"""

from collections.abc import Mapping, Sequence

from django.utils.functional import Promise
from django.utils.translation import gettext, ngettext_lazy
from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words, join_or, quote

HAZARDS: Mapping[str, str | Promise] = {
    # what the words of a step call for a caution on
    "trapped pressure": _("trapped pressure"),
    "ejected air and oil": _("ejected air and oil"),
    "a flying ring": _("a flying ring"),
    "flammable vapour": _("flammable vapour"),
    "burns and fire": _("burns and fire"),
    "skin contact": _("skin contact"),
    "a pinch point": _("a pinch point"),
    "a sharp tool": _("a sharp tool"),
    "damage to the surface": _("damage to the surface"),
    "slipping on oil": _("slipping on oil"),
    "oil on the brake": _("oil on the brake"),
    "too much pressure": _("too much pressure"),
    "a gas charge": _("a gas charge"),
    # what the hazard line of a caution speaks of
    "pressure": _("pressure"),
    "spring force": _("spring force"),
    "ejected part": _("ejected part"),
    "edge": _("edge"),
    "oil": _("oil"),
    "flammable": _("flammable vapour"),
    "adhesive": _("adhesive"),
    "heat": _("heat"),
    "weight": _("weight"),
    "pinch point": _("pinch point"),
    "slip": _("slipping"),
    "contamination": _("contamination"),
}
"""Each hazard in words."""

PROTECTIONS: Mapping[str, str | Promise] = {
    "eye protection": _("eye protection"),
    "gloves": _("gloves"),
    "a mask": _("a mask"),
    "the air let out": _("the air let out"),
    "the part disconnected": _("the part disconnected"),
    "the part blocked": _("the part blocked"),
}
"""Each thing that protects, in words."""


def _caution_missing(words: str, hazard: str) -> str:
    told = gettext(
        "“{words}” needs a caution on {hazard}. Put one into this step, or above the first step of "
        "its phase."
    )
    return told.format(words=words, hazard=HAZARDS[hazard])


def _notice_missing(words: str, hazard: str) -> str:
    told = gettext(
        "“{words}” needs a NOTICE on {hazard}. Put one into this step, or above the first step of "
        "its phase."
    )
    return told.format(words=words, hazard=HAZARDS[hazard])


def _several_hazards(label: str, kinds: Sequence[str]) -> str:
    told = gettext("{label} warns of {kinds}. Write one caution for each hazard.")
    return told.format(label=label, kinds=", ".join(str(HAZARDS[kind]) for kind in kinds))


def _protection_without_step(sentence: str, protection: str) -> str:
    told = gettext(
        "“{sentence}” asks for {protection}, but no step before this one takes care of it. Add "
        "the step, or name it under given: or needs:."
    )
    return told.format(sentence=sentence, protection=PROTECTIONS[protection])


def _unclear_pronoun(found: str, things: Sequence[str]) -> str:
    return gettext("“{found}” may be {things}. Name it.").format(
        found=found, things=join_or(things)
    )


def _vague_quantity(words: Sequence[str]) -> str:
    told = gettext(
        "{words} is not the same for two mechanics. Give a number, or what one sees or feels."
    )
    return told.format(words=quote(words))


def _vague_manner(words: Sequence[str]) -> str:
    told = gettext(
        "{words} does not say how. Say what the hand does: slowly, by hand, with the rag, until …"
    )
    return told.format(words=quote(words))


PROOF: dict[str, Words] = {
    # hazards
    "caution-missing": _caution_missing,
    "notice-missing": _notice_missing,
    "opening-not-told": _(
        "“{words}” opens a part that may be under air, but no step up to here has an opens: "
        "line. Add one, so that the rehearsal can prove that the air is out."
    ),
    "safety-not-first": _(
        "This write-up opens a part that may be under air. Gather its safety messages above "
        "the first phase: put at least one caution there."
    ),
    # language
    "paragraph-too-long": ngettext_lazy(
        "This paragraph has {count} sentence. Split it where the subject changes.",
        "This paragraph has {count} sentences. Split it where the subject changes.",
        "count",
    ),
    "command-too-long": ngettext_lazy(
        "This command has {count} word; somebody with a tool in the hand can keep {most} in "
        "mind. Split it, or drop what is said elsewhere.",
        "This command has {count} words; somebody with a tool in the hand can keep {most} in "
        "mind. Split it, or drop what is said elsewhere.",
        "count",
    ),
    "sentence-too-long": ngettext_lazy(
        "This sentence has {count} word. Make two of it, of at most {most}.",
        "This sentence has {count} words. Make two of it, of at most {most}.",
        "count",
    ),
    "other-name": _("“{found}” is called “{name}” elsewhere. Use one name for one thing."),
    "semicolon": _("A semicolon joins two sentences. Make two of them."),
    "row-of-nouns": _(
        "“{row}” is a row of {count} nouns. Say which belongs to which: the … of the …"
    ),
    "short-form": _("Write “{found}” in full."),
    "two-word-verb": _(
        "“{found}” is two words for one action. Name the action: assemble, learn, do, raise, fill."
    ),
    "plainer-word": _("For “{found}” write “{plainer}”."),
    "vague-quantity": _vague_quantity,
    "nobody-does-it": _(
        "“{found}” does not say who does it. Write a command, or name who or what acts."
    ),
    "note-commands": _(
        "“{sentence}” is a command, but nobody works through a note. Make it a step, or only "
        "state the fact."
    ),
    "article-missing": _("Write “the {thing}” or “a {thing}”."),
    "unclear-pronoun": _unclear_pronoun,
    # lists
    "tool-not-listed": _(
        "The text uses a {tool}, but no tool: line names one, so it is missing from the tools to "
        "lay out. Add tool: {tool} to this step."
    ),
    "use-without-amount": _(
        "How much {name}? Write its amount behind it, such as uses: bath oil 10 mL."
    ),
    "no-purpose": _(
        "Nothing says what this write-up is for. Write it in a sentence below the header."
    ),
    "title-too-long": ngettext_lazy(
        "The title has {count} word. Keep it to {most}: the job, and on which part.",
        "The title has {count} words. Keep it to {most}: the job, and on which part.",
        "count",
    ),
    "no-level": _(
        "The header names no service level. Write level: and the level for which somebody must "
        "be signed off to do this."
    ),
    "words-not-explained": _(
        "The introduction does not explain {words}. Say once what the words mean: WARNING is "
        "death or serious injury, CAUTION a lesser one, NOTICE damage only."
    ),
    # messages
    "caution-titled": _("{word} “{title}”"),
    "caution-untitled": _("This {word}"),
    "message-incomplete": _(
        "{label} is not complete. Add what is missing ({missing}): where the danger comes from, "
        "what it does to somebody, what to do."
    ),
    "message-without-harm": _(
        "{label} does not say the harm. Write a harm: line, or put a full caution of this title "
        "above the first step of the phase."
    ),
    "harm-not-named": _(
        "“{sentence}” names no harm. Say what happens to somebody, or to which part: a cut, a "
        "burn, a scratch, a leak."
    ),
    "hazard-not-named": _(
        "“{hazard}” does not name what does the harm. Name it: pressurised air, spring force, a "
        "sharp edge, a solvent vapour."
    ),
    "several-hazards": _several_hazards,
    "avoidance-no-command": _(
        "“{sentence}” is not a command. Begin with a verb: Keep …, Wear …, Do not …, or If …, stop."
    ),
    "avoidance-is-work": _(
        "“{sentence}” is work ({verbs}). Make it a step; a caution says how to stay safe."
    ),
    "vague-manner": _vague_manner,
    "message-sentence-too-long": ngettext_lazy(
        "This sentence has {count} word; a caution is read at a glance, so keep it to {most}.",
        "This sentence has {count} words; a caution is read at a glance, so keep it to {most}.",
        "count",
    ),
    "message-too-long": ngettext_lazy(
        "{label} has {count} word. Keep it to {most}.",
        "{label} has {count} words. Keep it to {most}.",
        "count",
    ),
    "message-of-too-many-sentences": ngettext_lazy(
        "{label} has {count} sentence. Keep a short one to two, or write its hazard:, harm: and "
        "avoid: lines.",
        "{label} has {count} sentences. Keep a short one to two, or write its hazard:, harm: and "
        "avoid: lines.",
        "count",
    ),
    # numbers
    "unit-glued": _("Put a space between the number and the unit: “{found}”."),
    "torque-without-tolerance": _(
        "The torque “{text}” has no tolerance. Write it such as 28 ± 2 N·m."
    ),
    "number-without-unit": _(
        "“{sentence}” gives a number without a unit. Write the unit, such as [[28 N·m]]."
    ),
    "tolerance-not-said": _(
        "“{found}” has no tolerance. Give the step a line such as torque: 28 ± 2 N·m."
    ),
    "units-disagree": _("“{found}” does not agree: {first} is {wanted}. Correct one of the two."),
    "text-against-field": _(
        "The text says {found}, the torque: line says {fields}. Correct one of the two."
    ),
    "range-backward": _("“{found}” runs backwards. Write the lower number first."),
    "absolute-pressure": _(
        "“{found}” is an absolute pressure; a pump shows gauge pressure. Write what the pump shows."
    ),
    # panels
    "no-signal-word": _(
        "“{text}” is not a signal word of a caution. Write it as !!! danger, warning, caution or "
        "notice with its three lines."
    ),
    "notice-of-injury": _(
        "A NOTICE is for damage only, but “{harm}” speaks of injury ({injury}). Make it a "
        "CAUTION, or a WARNING if the injury is serious."
    ),
    "no-injury": _(
        "“{harm}” names no injury. A {word} says what happens to somebody; for damage only, make "
        "it a NOTICE."
    ),
    "other-signal-word": _(
        "The harm “{harm}” makes this a {wanted}, not a {word}. Change the word, or say the "
        "harm more exactly."
    ),
    "several-dangers": _(
        "{label} is DANGER number {number} of this write-up. Keep the word for the one case in "
        "which death or serious injury will follow."
    ),
    "two-words-for-a-hazard": _(
        "{label} warns of the same hazard as the {other} in line {line}. Give both the same word."
    ),
    "signal-word-in-text": _(
        "The panel shows the word “{found}” already. Name the hazard itself in the sentence."
    ),
    "caution-comes-late": _(
        "{label} comes after the words that it warns of. Put it above the first sentence of the "
        "step."
    ),
    "worst-not-first": _("{label} comes after a {other}. Put the worst first."),
    "too-many-cautions": ngettext_lazy(
        "Nobody reads {count} caution before one step. Split the step, or put what covers the "
        "phase above its first step.",
        "Nobody reads {count} cautions before one step. Split the step, or put what covers the "
        "phase above its first step.",
        "count",
    ),
    "caution-too-often": ngettext_lazy(
        "“{title}” is in this phase once. Put it once above the first step, and again only "
        "where it matters most.",
        "“{title}” is in this phase {count} times. Put it once above the first step, and "
        "again only where it matters most.",
        "count",
    ),
    # protections
    "protection-without-step": _protection_without_step,
    # readability
    "hard-to-read": _(
        "This text needs {years:.0f} years of school to read; write for {wanted}. Use shorter "
        "sentences and shorter words."
    ),
    # steps
    "further-command": _(
        "“{sentence}” is a further command ({verb}) after “{first}”. Give it a step of its own."
    ),
    "two-at-once": _("Two actions at once ({verbs}). Is one pair of hands enough?"),
    "several-commands": ngettext_lazy(
        "“{sentence}” tells {count} thing ({verbs}). Make each a step; two stay together only "
        "when both hands do them at once.",
        "“{sentence}” tells {count} things ({verbs}). Make each a step; two stay together only "
        "when both hands do them at once.",
        "count",
    ),
    "nobody-told": _(
        "“{found}” tells nobody to act. Begin with the verb: Unscrew …, Make sure that …"
    ),
    "step-no-command": _(
        "“{sentence}” is not a command. Begin the step with what the hand does; say what it is "
        "for below."
    ),
    "condition-without-comma": _(
        "“{sentence}” has no comma after its condition. Write: If …, do …"
    ),
    "condition-comes-late": _(
        "The condition “{word} …” comes after the command, when the hand has begun. Put it first: "
        "{first} …, {verb} …"
    ),
    "item-misnumbered": _(
        "Item {mark} should carry the number {number}. Number the items 1, 2, 3 without gaps."
    ),
    "list-too-deep": _("In a list inside a list people lose their place. Make steps of it."),
    "choice-not-told": _("These items are a choice. Say so above them: “Do one of these:”."),
    "many-steps": ngettext_lazy(
        "{count} step in one phase is many to keep in mind. Split it in two.",
        "{count} steps in one phase are many to keep in mind. Split it in two.",
        "count",
    ),
    "far-too-many-steps": ngettext_lazy(
        "{count} step in one phase is far too many to keep in mind. Split it in two.",
        "{count} steps in one phase are far too many to keep in mind. Split it in two.",
        "count",
    ),
    "prohibition": _(
        "“{found}” does not say what to do. Say it, or make this the avoid: line of a caution."
    ),
    "never": _("Write “do not” for “{found}”."),
    "make-sure-of-what": _(
        "Make sure of what? Write “Make sure that …”, or give the step a check: line."
    ),
    "result-not-said": _(
        "What should somebody find when they {verb} here? Give the step a measure: or a check: "
        "line."
    ),
    "tightness-not-said": _(
        "How tight? Give the step a torque: line, or write “by hand” or “until …”."
    ),
    "wait-without-end": _("How long? Write the time, such as [[30 s]], or “until …”."),
    "repeat-without-end": _(
        "“{word}” has no end. Write how often, such as [[3 times]], or “until …”."
    ),
    "no-such-step": _("There is no step {number}. Call the step by its title."),
    "step-comes-later": _(
        "Step {number} comes only later. Put here what is needed, or call the step by its title."
    ),
    "second-reference": _(
        "This is the second reference (step {number}) in one step, so people have to jump back "
        "and forth. Write out what is needed."
    ),
}
"""The sentence of each finding, made from its arguments."""
