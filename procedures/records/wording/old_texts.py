"""What is said of a line of an old text whose place is a guess?"""

from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words

OLD_TEXTS: dict[str, Words] = {
    "step-by-number": _(
        "It names a step by its number. Steps are named by their titles here; write the title."
    ),
    "caution-at-the-end": _(
        "No step comes after this caution, so it was put at the end. Move it into its step."
    ),
    "caution-in-next-step": _(
        "This caution was put into the step after it, “{title}”. Move it if it belongs elsewhere."
    ),
    "number-skipped": _(
        "Number {number} comes after number {before}. Add the step that is missing, if one is."
    ),
    "caution-in-introduction": _(
        "This caution comes before the first step, so it was put into the introduction."
    ),
    "text-in-introduction": _("It belongs to no step, so it was put into the introduction."),
    "text-under-phase": _(
        "It belongs to no step, so it was put under “{title}”, before the first step there."
    ),
}
"""The sentence of each guess, made from its arguments."""
