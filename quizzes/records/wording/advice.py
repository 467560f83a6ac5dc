"""What is said of a question that a guideline for writing items speaks of?"""

from collections.abc import Mapping

from django.utils.functional import Promise
from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext_lazy

from procedures.records.wording.pieces import Words

ADVICE: dict[str, Words] = {
    # advice
    "negative-stem": _(
        "The question is put negatively (“{found}”). Ask what is right, or what somebody must do."
    ),
    "opinion": _(
        "“{found}” asks for an opinion, and any opinion is right. Ask for what the write-up says."
    ),
    "no-question": _(
        "The stem asks nothing by itself. End it with a question, or begin it with what is to be "
        "done."
    ),
    "long-stem": ngettext_lazy(
        "The stem has {count} word. Leave out what is not needed for the answer.",
        "The stem has {count} words. Leave out what is not needed for the answer.",
        "count",
    ),
    "one-of-the-above": _(
        "“{found}” points at other options, which are shuffled. Write out what is meant, or use "
        "“choose all”."
    ),
    "long-right": ngettext_lazy(
        "The right option has {count} word, no wrong one more than {most}. Shorten it, or say as "
        "much in the wrong ones.",
        "The right option has {count} words, no wrong one more than {most}. Shorten it, or say "
        "as much in the wrong ones.",
        "count",
    ),
    "overlap": _(
        "“{one}” and “{other}” overlap, so an amount can be in both. Give ranges that do not "
        "overlap."
    ),
    "twice": _("“{text}” is there twice. Keep one of the two."),
    "absolute": _("“{found}” in “{option}” gives away that it is wrong. Say it without the word."),
    "echo": _(
        "Only the right option repeats “{word}” from the stem. Use the word in a "
        "wrong one too, or in none."
    ),
    "article": _(
        "The stem ends with “{word}”, which fits only some options. Put the article into the "
        "options."
    ),
    "out-of-order-amounts": _("The options are amounts, but not in order. Put them in order."),
    "same-start": _("Every option begins with “{words}”. Put that into the stem."),
    "few-options": ngettext_lazy(
        "With {count} option every second guess is right. Add a wrong one that people believe.",
        "With {count} options every second guess is right. Add a wrong one that people believe.",
        "count",
    ),
    "many-options": ngettext_lazy(
        "{count} option is too much to read. Drop those that nobody would take.",
        "{count} options are too much to read. Drop those that nobody would take.",
        "count",
    ),
    "easy-match": _(
        "There are as many partners as pairs, so the last pair gives itself away. Add a spare "
        "partner."
    ),
}
"""The sentence of each piece of advice, made from its arguments."""

GUIDELINES: Mapping[str, str | Promise] = {
    "one-of-the-above": _("Avoid all-of-the-above; use none-of-the-above with care (25, 26)"),
    "negative-stem": _("Word the stem positively, without NOT or EXCEPT (17)"),
    "opinion": _("Avoid opinions (4)"),
    "no-question": _("Put the central idea in the stem; make clear what is asked (14, 15)"),
    "long-stem": _("Avoid window dressing, which is too much to read (16)"),
    "long-right": _("Keep the length of the options about equal (24, 28d)"),
    "overlap": _("Keep the options independent; they do not overlap (22)"),
    "twice": _("Keep the options independent; they do not overlap (22)"),
    "absolute": _("Avoid specific determiners such as always and never (28a)"),
    "echo": _("Avoid clang associations: options that repeat a word of the stem (28b)"),
    "article": _("Avoid clues in the grammar (28c)"),
    "out-of-order": _("Put options into a logical or numerical order (21)"),
    "same-start": _("Put the central idea in the stem and not in the options (15)"),
    "few-options": _("Write as many effective options as you can; three are enough (18)"),
    "many-options": _("Write as many effective options as you can; three are enough (18)"),
    "one-right-of-all": _("Be sure that the number of right options fits what is asked (19)"),
    "easy-match": _("Make all wrong options plausible (29)"),
}
"""The guideline behind each rule, with its number; `quizzes/marking/advice.py` names the source."""
