"""What is said where a form cannot change the text of a write-up?"""

from collections.abc import Sequence

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from procedures.records.wording.pieces import Words, quote


def _named(steps: Sequence[str]) -> str:
    told = ngettext(
        "The step {steps} must come after this one, and names it. Change that first.",
        "The steps {steps} must come after this one, and name it. Change them first.",
        len(steps),
    )
    return told.format(steps=quote(steps))


EDITING: dict[str, Words] = {
    "head-as-text": _(
        "The head of this text is written in a way that a form cannot change. Change it as text."
    ),
    "head-key-as-text": _(
        "“{key}” in the head of this text cannot be read. Put it right in the text first."
    ),
    "no-such-block": _("This step is not in the text any more. Open the draft again."),
    "block-at-the-end": _("It cannot move further that way."),
    "block-without-heading": _(
        "The text of a step begins with its heading: three # signs, a space and the title."
    ),
    "block-touches-others": _(
        "With this change another step would be read differently. Look for a line that begins with "
        "# signs, or for code that is not closed."
    ),
    "step-is-named": _named,
    "step-reads-otherwise": _(
        "The site would read this step differently from what you typed. Look for a line that "
        "begins with # signs or with !!!, and change it."
    ),
    "split-without-title": _("Type a title for the new step."),
    "split-without-text": _("Choose at least one line of the text for the new step."),
}
