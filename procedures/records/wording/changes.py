"""What is said of why a change asks something of people who are signed off?"""

from django.utils.translation import gettext_lazy as _

from procedures.records.wording.pieces import Words

CHANGES: dict[str, Words] = {
    "for-other-forks": _("it is for other forks"),
    "name-changed": _("a fact or a part changed"),
    "order-changed": _("what comes before it changed"),
    "value-changed": _("a value changed"),
    "check-changed": _("what is checked changed"),
    "signal-changed": _("the signal word of a caution changed"),
    "tool-changed": _("it names another tool"),
    "hold-changed": _("the hold point changed"),
    "critical-words-changed": _("the wording of a critical step changed"),
    "wording-only": _("wording only"),
    "figure-changed": _("a figure or a unit in the text changed"),
    "avoidance-changed": _("the way to avoid a hazard changed"),
    "caution-changed": _("a caution changed"),
    "turning-word-changed": _("a word that can reverse the meaning changed"),
    "became-critical": _("the step became critical"),
    "criticality-reworded": _("why it is critical changed"),
    "no-longer-critical": _("the step is no longer critical"),
    "swapped-with-critical": _("the step and a critical one changed places"),
    "step-new": _("the step is new"),
    "step-gone": _("the step is gone"),
    "step-moved": _("the step moved"),
    "in-a-critical-step": _("{because}, in a critical step"),
    "and-critical": _("{because}, and it is critical"),
}
"""The words of each, as they stand beside what is asked."""
