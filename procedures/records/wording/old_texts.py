"""What is said of a line of an old text whose place is a guess?"""

from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words

OLD_TEXTS: dict[str, Words] = {
    "step-by-number": _(
        "It names a step by its number. Steps are named by their titles here; write the title."
    ),
    "caution-at-the-end": _(
        "No step comes after this caution, so it stands at the end. Put it into its step."
    ),
    "caution-in-next-step": _(
        "This caution stands in the step after it, “{title}”. Move it if it belongs elsewhere."
    ),
    "number-skipped": _(
        "Number {number} comes after number {before}. Add the step that is missing, if one is."
    ),
    "caution-in-introduction": _(
        "This caution comes before the first step, so it stands in the introduction."
    ),
    "text-in-introduction": _("It belongs to no step, so it stands in the introduction."),
    "text-under-phase": _(
        "It belongs to no step, so it stands under “{title}”, before its first step."
    ),
}
"""The sentence of each guess, made from its arguments."""
