"""What is said of what a rehearsal finds?"""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from procedures.records.wording.pieces import Words

REHEARSAL: dict[str, Words] = {
    "need-not-met": _(
        "“{about}” is needed here, but it is not true yet. Put the step that makes it true "
        "before this one."
    ),
    "never-made": _(
        "“{about}” is needed here, but no step makes it true. Add a step that does, or name it "
        "in the header under given."
    ),
    "demand-not-met": _(
        "“{about}” must be true here, but it is not. The shop’s rules ask for it because "
        "{because}. Put the step that makes it true before this one."
    ),
    "demand-no-caution": _(
        "This step needs a {word} or a stronger signal word, with “{about}” in the title or "
        "hazard line, because {because}."
    ),
    "opens-unsafe": _(
        "This step opens the {about} before it is safe: “{fact}” is not true yet. Make it safe "
        "first."
    ),
    "unknown-danger": _(
        "The shop’s rules do not say what makes “{about}” safe. Add it there under safe."
    ),
    "part-not-on": _(
        "“{about}” is not fitted here, so it cannot be taken off or thrown away. Check the "
        "steps before this one."
    ),
    "part-already-on": _("“{about}” is fitted already. Take it off first, or leave this out."),
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
        "“{about}” was thrown away, and no new one is fitted at the end. Fit a new one."
    ),
    "guard-left": _(
        "“{about}” is still true at the end. Add a step that ends it, or name it in the header "
        "under leaves."
    ),
    "made-twice": _("“{about}” is true already. End it first, or leave this out."),
    "ends-nothing": _(
        "This step ends “{about}”, but it is not true here. Check the steps before this one."
    ),
    "out-of-order": _(
        "This step says it comes after “{about}”, which is not done yet. Move one of them, or "
        "correct the name."
    ),
    "leaves-not-met": _(
        "The header says that “{about}” is true at the end, but it is not. Correct the steps or "
        "the header."
    ),
    "follows-not-met": _(
        "This write-up follows “{name}”, but the two do not agree on “{about}”. Make the end of "
        "that one fit the start of this one."
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
        "This write-up follows “{about}”, but there is no such write-up. Add it, or correct the "
        "name."
    ),
    "given-excluded": _(
        "“{about}” is given together with another fact of its group, but by the shop’s rules "
        "only one of them can be true. Take one out."
    ),
    "too-many-cases": _(
        "This write-up has too many combinations of options to rehearse. Split it into several "
        "write-ups."
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
