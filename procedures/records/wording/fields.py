"""By which word is a field of a step, or of a write-up's head, shown in the margin?"""

from django import template
from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _

register = template.Library()

WORDS: dict[str, str | Promise] = {
    # of a head
    "every": _("every"),
    "never together": _("never together"),
    "true at the start": _("true at the start"),
    "true at the end": _("true at the end"),
    "off at the start": _("off at the start"),
    "off at the end": _("off at the end"),
    "follows": _("follows"),
    # of a step
    "only for": _("only for"),
    "needs": _("needs"),
    "now true": _("now true"),
    "no longer true": _("no longer true"),
    "opens": _("opens"),
    "tool": _("tool"),
    "uses": _("uses"),
    "torque": _("torque"),
    "measure": _("measure"),
    "check": _("check"),
    "if not": _("if not"),
    "off": _("off"),
    "on": _("on"),
    "scrap": _("scrap"),
    "new": _("new"),
}


@register.filter
def field_word(label: str) -> str:
    """Return the word; a variant is shown by its own name."""
    return str(WORDS.get(label, label))
