"""What is said of a table that cannot be taken, of figures that look wrong, and under a chart?"""

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from procedures.records.wording.pieces import Words

FIGURES: dict[str, Words] = {
    "no-csv": _(
        "Line {line}: this cannot be read as CSV ({problem}). Look for a quotation mark too many."
    ),
    "table-empty": _("The table is empty. Begin with a header that names the columns."),
    "cells-of-row": ngettext_lazy(
        "Line {line}: {count} cell, where the header has {wanted}. Give each row as many.",
        "Line {line}: {count} cells, where the header has {wanted}. Give each row as many.",
        "count",
    ),
    "key-header": _(
        "The key needs the header item,key; a third column, options, may list all options of the "
        "item."
    ),
    "key-incomplete": _(
        "Line {line} of the key: item and key must both be there. Fill in what is missing."
    ),
    "key-twice": _(
        "Line {line} of the key: the item “{item}” has a key already. Keep one of them."
    ),
    "key-not-listed": _(
        "Line {line} of the key: “{right}” is not among the options of the item “{item}”. Add it "
        "there, or correct the key."
    ),
    "table-without-people": _("The table has a header and no people. Give one row to each person."),
    "no-mark": _(
        "Line {line}: “{cell}” at the item “{item}” is not 1, 0 or empty. Where options stand, "
        "give a key with --key."
    ),
    "options-of-item": ngettext_lazy(
        "The item “{item}” has {count} different answer; at most {most} can be options. Look for "
        "typing errors.",
        "The item “{item}” has {count} different answers; at most {most} can be options. Look "
        "for typing errors.",
        "count",
    ),
    "no-such-option": _(
        "Line {line}: the item “{item}” has no option “{cell}”. Use one of {known}."
    ),
    "column-without-name": _("Column {number} of the header has no name. Name every column."),
    "column-twice": _("The header names “{name}” twice. Give each column a name of its own."),
    "item-without-key": _("The key has nothing for the item “{item}”. Give each item its key."),
    "key-of-no-item": _(
        "The key names “{item}”, which is not an item of the table. Take it out of the key."
    ),
    "one-observer": _("Agreement takes at least two observers: give each a column."),
    "ratings-unequal": _(
        "Each judge rates every item: give rows of the same length, at least one."
    ),
    "no-rating": _("A rating is a chance from 0 to 1. Correct those that are not."),
    "nobody-right": _("Nobody gets this right."),
    "too-easy": _("Too easy to show a difference: nearly everybody gets it right."),
    "weak-do-better": _("Able people do worse here than weak ones."),
    "option-unpicked": _("Nobody picks the option “{option}”."),
    "key-doubtful": _("The key may be wrong: able people choose “{option}”."),
    "all-have-right": _(
        "Everybody whose answers can be compared has it right, so there is no finite estimate."
    ),
    "all-have-wrong": _(
        "Everybody whose answers can be compared has it wrong, so there is no finite estimate."
    ),
    "items-apart": _(
        "The items fall into easier and harder ones, and nobody gets an easier one wrong and a "
        "harder one right. How far apart they are cannot be told."
    ),
    "scores-tell-nothing": _(
        "No score shows a difference between the items, so there is no estimate."
    ),
    "difficulty-described": ngettext_lazy(
        "{count} question by its title: {easy}. A bar shows how far its difficulty is known "
        "(95 %). The table below holds every number.",
        "{count} questions by title. The easiest: {easy}. The hardest: {hard}. A bar shows how far "
        "each is known (95 %). The table below holds every number.",
        "count",
    ),
    "operating-described": _(
        "The chance of passing is lowest for a person who guesses everything and reaches "
        "{knowing} % for a person who knows every question. The table below holds every number."
    ),
    "too-many-draws": _(
        "The rules of this quiz let it draw in too many ways to be worked out. Make them simpler."
    ),
    "too-many-ways": _(
        "The rules of this quiz let it draw in more than {most} ways. Make them simpler."
    ),
    "no-estimate": _(
        "Line {line}: an estimate is a number from 0 to 1, with a point. Give one for every "
        "question."
    ),
    # charts
    "operating-title": _("Chance of passing, by how many of the questions a person knows"),
    "able-mechanic": _("a good mechanic knows {knows} %"),
    "guesses-all": _("guesses everything"),
    "passes": _("passes"),
    "share-known": _("share of the questions a person knows"),
    "shares-title": _("How many people get each question right"),
    "shares-described": ngettext_lazy(
        "{count} question by its title: {title}. A bar shows the 95 % interval, a diamond what "
        "guessing gets. The table below holds every number.",
        "{count} questions by title. Fewest people get this one right: {title}. A bar shows the "
        "95 % interval, a diamond what guessing gets. The table below holds every number.",
        "count",
    ),
    "right-of-all": _("people who get it right"),
    "key-right": _("right, with its 95 % interval"),
    "key-guessed": _("by guessing"),
    "logits": _("difficulty in logits"),
    "difficulty-title": _("Difficulty of the questions, in logits"),
    "easier": _("easier"),
    "harder": _("harder"),
    "options-title": _("Options chosen, from weak to able people"),
    "options-chosen": _("The table below holds every number."),
    "options-described": _(
        "The right option is “{option}”. Of the weakest people {weakest} % choose it, of the "
        "ablest {ablest} %. The table below holds every number."
    ),
    # what to do about a question that looks wrong
    "check-key": _(
        "Check which option is right. If the key is wrong, correct it in a new version. Withdraw "
        "the question until then."
    ),
    "read-again": _("Read it once more: a word may mislead those who know the work."),
    "check-step": _(
        "Check whether its key is right. If it is, make the step clearer in the write-up."
    ),
    "ask-harder": _("Leave it if it is critical. If not, ask something harder."),
    "believable-option": _("Write another wrong option that somebody could believe."),
}
"""The words of each, made from its arguments."""
