"""What is said of a question that cannot be asked, and of an answer that cannot be taken?"""

from collections.abc import Sequence

from django.utils.translation import gettext, ngettext_lazy
from django.utils.translation import gettext_lazy as _

from procedures.records.wording.faults import KINDS
from procedures.records.wording.pieces import Words, join_last_or


def _unit_missing(units: Sequence[str]) -> str:
    return gettext("Write the unit too: {units}.").format(units=join_last_or(units))


def _unit_unreadable(text: str, units: Sequence[str]) -> str:
    told = gettext("“{text}” cannot be read. Write one number and its unit, such as {units}.")
    return told.format(text=text, units=join_last_or(units))


def _amount_of_other_kind(text: str, kind: str, wanted: str) -> str:
    told = gettext("“{text}” is {kind}, but the question asks for {wanted}.")
    return told.format(text=text, kind=KINDS[kind], wanted=KINDS[wanted])


def _step_not_done(step: str, fork: Sequence[str]) -> str:
    if not fork:
        return gettext("The step “{step}” is not done. Take it out.").format(step=step)
    told = gettext("The step “{step}” is not done with {fork}. Take it out, or name another fork.")
    return told.format(step=step, fork=", ".join(fork))


QUESTIONS: dict[str, Words] = {
    # choose_all
    "pick-some": _("Choose all that are right."),
    "pick-some-missing": _("Choose at least one of the options."),
    "none-right": _("At least one option must have `right: yes`. Mark the right ones so."),
    "one-right-of-all": _(
        "Only one option is right. Make the question “choose one”, or add a second right option."
    ),
    "all-right-of-all": _(
        "Every option is right, so ticking all of them passes. Add a wrong one that people believe."
    ),
    "not-shown": _("Choose from the options shown."),
    "option-chosen-twice": _("An option was chosen twice. Choose each once."),
    # choose_one
    "pick-one": _("Choose one."),
    "pick-one-missing": _("Choose one of the options."),
    "not-one-right": ngettext_lazy(
        "Exactly one option must have `right: yes`; here {count} has. Mark the right one so.",
        "Exactly one option must have `right: yes`; here {count} have. Mark the right one so.",
        "count",
    ),
    "choose-one-shown": _("Choose one of the options shown."),
    # give_amount
    "type-amount-help": _("One number and its unit, such as 777 mm, 77,7 bar or 777 N·m (Nm)."),
    "type-amount-missing": _("Write a number with its unit."),
    "amount-unreadable": _("`amount` cannot be read. {because}"),
    "amount-longer": _("Write it shorter, in at most {most} characters."),
    "unit-missing": _unit_missing,
    "unit-unreadable": _unit_unreadable,
    "bare-number": _("“{text}” has no unit. Write the number with its unit."),
    "not-an-amount": _("“{text}” cannot be read as a number with a unit."),
    "amount-of-other-kind": _amount_of_other_kind,
    "not-one-amount": _("“{text}” is not one amount. Write one number with its unit."),
    "not-comparable": _("“{text}” cannot be compared with {right}."),
    "right-is": _("The right answer is {right}."),
    # kind
    "not-answered": _("Not answered."),
    # match
    "pairs-no-list": _(
        "`pairs` must be a list of 2 to {most} pairs, each with `left` and `right`."
    ),
    "spare-no-list": _(
        "`spare` must be a list of partners that belong to nothing, such as [on top, below]."
    ),
    "left-twice": _("Two pairs have the same `left`. Change one of them."),
    "spare-twice": _(
        "A partner under `spare` is there twice or belongs to a pair. Take it out there."
    ),
    "one-partner": _(
        "Every `left` has the same partner, so there is nothing to ask. Add other partners under "
        "`spare`."
    ),
    "choose-partners": _("Choose a partner for each."),
    "bad-pair": _("Pair {place} needs `left` and `right`, and may have `says`."),
    "unknown-pair-key": _("`{key}` has no meaning in pair {place}. Use `left`, `right` or `says`."),
    # options
    "options-no-list": _("`options` must be a list of at least two options."),
    "option-text-twice": _("Two options say the same. Change one of them."),
    "bad-option": _("Option {place} needs `text`, and may have `right: yes` and `says`."),
    "bad-option-drawing": _(
        "`drawing` in option {place} must be the name of a drawing, such as stack-cup-down."
    ),
    # point_at
    "bad-drawing-name": _("`drawing` must be the name of a drawing, such as air-spring-section."),
    "region-and-regions": _("Give `region` or `regions`, not both."),
    "point-at-one": _("Point at one spot on the drawing."),
    "no-drawing-to-point-at": _("There is no drawing “{name}” to point at."),
    # put_in_order
    "bad-fork-named": _(
        "`variant` must name one option for every variant, such as {{ring: prong}}."
    ),
    "too-many-steps-shown": ngettext_lazy(
        "A question of this kind shows 2 to {most} steps; here is {count}. Name more.",
        "A question of this kind shows 2 to {most} steps; here are {count}. Name fewer.",
        "count",
    ),
    "order-every-step": _("Put every step that is shown in the order, once."),
    "every-order-right": _(
        "Every order of these steps is right, so there is nothing to ask. Choose other steps."
    ),
    # rehearsed
    "step-not-there": _("The write-up has no step “{step}”. Correct the id."),
    # spots
    "no-cell-right": _(
        "No cell of the drawing has its middle in a region, so nobody could answer by cell. "
        "Make the region larger."
    ),
    "no-cell-right-mirrored": _(
        "Mirrored, no cell of the drawing has its middle in a region. Make the region larger."
    ),
    "whole-drawing-right": _(
        "The regions cover the whole drawing, so there is nothing to ask. Make them smaller."
    ),
    # texts
    "questions-empty": _("The text is empty. Begin with `writeup:` and `questions:`."),
    "questions-no-mapping": _(
        "Begin with `writeup:` and the write-up’s name, then `questions:` and a list."
    ),
    "unknown-key-of-text": _("`{key}` has no meaning here. Use `writeup` or `questions`."),
    "bad-writeup-name": _("`writeup` must be the name of a write-up, such as air-spring-service."),
    "questions-no-list": _("`questions` must be a list with at least one question."),
    "question-no-mapping": _(
        "Write each question as a mapping with `name`, `kind`, `steps`, `stem` and what its "
        "kind needs."
    ),
    "question-name-taken": _("A question further up has this name already. Choose another name."),
    "unknown-kind": _("`kind` must be one of: {known}."),
    "unknown-key-of-kind": _(
        "`{key}` has no meaning in a question of the kind “{kind}”. Take it out."
    ),
    "stem-missing": _("`stem` is missing. Write the words of the question there."),
    "mirror-without-drawing": _(
        "`mirror` has no meaning in a question without a drawing. Take it out."
    ),
    "not-yes-or-no": _("`{key}` must be yes or no."),
    "bad-question-name": _(
        "`name` is missing or cannot be used. Use letters, digits and hyphens, such as ring-seated."
    ),
    "reserved-name": _("The site uses “{name}” for itself. Give the question another name."),
    "steps-no-list": _(
        "`steps` must be a list of ids of steps, such as [let-air-out, check-ring]."
    ),
    "steps-missing": _(
        "`steps` is missing. Name the steps that this question tests, by their ids."
    ),
    "step-twice": _("A step is under `steps` twice. Take one out."),
    # coverage
    "gap-at-the-beginning": _("{caution}, at the beginning"),
    "gap-before-phase": _("{caution}, before the phase “{phase}”"),
    "gap-critical-step": _("Critical step “{step}”"),
    "gap-at-step": _("{caution}, at the step “{step}”"),
    # further
    "type-amount": _("Amount with its unit"),
    "unknown-option-key": _(
        "`{key}` has no meaning in option {place}. Use `text`, `right`, `says` or `drawing`."
    ),
    "region-unreadable": _(
        "`{key}` cannot be read. Write a region as {{x: 40, y: 60, width: 30, height: 20}} or "
        "{{x: 55, y: 70, radius: 15}}, in whole units of the drawing."
    ),
    "a-spot": _("a spot on the drawing"),
    "no-fork-named": _(
        "This question names no fork. Name one option for every variant of the write-up."
    ),
    "no-such-fork": _(
        "No fork is like this: {fork}. Name one option for every variant of the write-up."
    ),
    "step-not-done": _step_not_done,
}
"""The sentence of each fault, made from its arguments."""

ORDERS: dict[str, Words] = {
    "order-need-not-met": _("“{step}”: “{about}” is not true at that point."),
    "order-never-made": _("“{step}”: “{about}” is not true at that point."),
    "order-demand-not-met": _("“{step}”: “{about}” must be true first."),
    "order-opens-unsafe": _("“{step}”: this opens the {about} while it is not safe."),
    "order-part-not-on": _("“{step}”: the {about} is not on the fork at that point."),
    "order-part-already-on": _("“{step}”: the {about} is on the fork already."),
    "order-part-was-scrapped": _("“{step}”: the {about} was thrown away before."),
    "order-old-part-still-there": _("“{step}”: the old {about} is still there."),
    "order-made-twice": _("“{step}”: “{about}” is true already."),
    "order-ends-nothing": _("“{step}”: “{about}” is not true at that point, so it can’t end."),
    "order-out-of-order": _("“{step}” comes only after “{other}”."),
    "order-part-left-off": _("At the end the {about} is not back on the fork."),
    "order-part-not-replaced": _("At the end no new {about} is on the fork."),
    "order-guard-left": _("At the end “{about}” is still true."),
    "order-leaves-not-met": _("At the end “{about}” is not true, but it must be."),
}
"""What is said to the one who put the steps in an order that is not safe, or not complete."""
