"""What is said of what a rehearsal finds?"""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from procedures.records.wording.pieces import Words

REHEARSAL: dict[str, Words] = {
    "need-not-met": _(
        "“{about}” is needed here, but it does not hold. Put the step that makes it before this "
        "one."
    ),
    "never-made": _(
        "“{about}” is needed, but no step makes it and it is not given. Add a step that makes "
        "it, or give it in the header."
    ),
    "demand-not-met": _(
        "“{about}” must hold here, but it does not. The shop's rules ask for it because "
        "{because}. Put the step that makes it before this one."
    ),
    "demand-no-caution": _(
        "This step needs a {word} or a graver message with the words “{about}” in its title or "
        "hazard line, because {because}."
    ),
    "opens-unsafe": _(
        "The {about} is opened while it is not known to be safe: “{fact}” does not hold. Make it "
        "safe first."
    ),
    "unknown-danger": _(
        "The shop's rules do not name “{about}”, so nothing says what makes it safe. Name it "
        "there under safe."
    ),
    "part-not-on": _(
        "“{about}” is not on here, so it cannot be taken off or thrown away. Check the steps "
        "before this one."
    ),
    "part-already-on": _(
        "“{about}” is on already, so it cannot be fitted. Take it off first, or leave this out."
    ),
    "part-was-scrapped": _(
        "“{about}” was thrown away, so the old one cannot go back. Fit a new one."
    ),
    "old-part-still-there": _(
        "The old “{about}” is still there. Throw it away before a new one goes on."
    ),
    "part-left-off": _(
        "“{about}” is still off at the end. Fit it, or name it in the header under leaves off."
    ),
    "part-not-replaced": _(
        "“{about}” was thrown away and no new one is on at the end. Fit a new one."
    ),
    "guard-left": _(
        "“{about}” still holds at the end. End it, or name it in the header under leaves."
    ),
    "made-twice": _("“{about}” is made while it holds already. End it first, or leave this out."),
    "ends-nothing": _(
        "“{about}” is ended here, but it does not hold. Check the steps before this one."
    ),
    "out-of-order": _(
        "This step comes after “{about}”, which has not been done here. Move one of them, or "
        "correct the name."
    ),
    "leaves-not-met": _(
        "The header says that the work leaves “{about}” so, but at the end it is not. Correct "
        "the steps or the header."
    ),
    "follows-not-met": _(
        "This write-up follows “{name}”, which does not fit in “{about}”. Make the end of that "
        "one and the start of this one agree."
    ),
    "unknown-option": _(
        "The header has no variant or option “{about}”. Correct the name, or add it to the header."
    ),
    "step-never-applies": _("No fork reaches this step. Correct its only if, or take it out."),
    "variant-changes-nothing": _(
        "No step asks for “{about}”. Take the variant out, or say which steps it changes."
    ),
    "opens-without-caution": _(
        "This step opens the {about}, but has no DANGER or WARNING. Add one before the first "
        "sentence."
    ),
    "follows-not-there": _(
        "This write-up follows “{about}”, which is not among the write-ups at hand. Add it or "
        "correct the name."
    ),
    "given-excluded": _(
        "“{about}” cannot be given together with another fact of its group: by the shop's rules "
        "at most one of them holds. Take one out."
    ),
    "too-many-cases": _(
        "The options of this write-up meet in too many ways to be rehearsed. Split it into "
        "several write-ups."
    ),
    "unknown-drawing": _(
        "There is no drawing “{about}”, so readers see only its description. Look it up under "
        "Drawings, or upload it."
    ),
    "too-many-steps": ngettext_lazy(
        "There is {count} step; at most {most} are rehearsed. Split the text into several "
        "write-ups.",
        "There are {count} steps; at most {most} are rehearsed. Split the text into several "
        "write-ups.",
        "count",
    ),
}
"""The sentence of each finding, made from its arguments."""
