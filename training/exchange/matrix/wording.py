"""How are the questions, faults and left-out cells of a matrix put into words?"""

from __future__ import annotations

from datetime import date

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext, ngettext_lazy

from procedures.records.days.reader import say_day
from training.exchange.matrix.bringing import Follows
from training.exchange.matrix.meaning import Remark

MOST_PLACES = 8

# Which answer settles a question, as the file of answers and the form name it.
SETTLED_BY = {
    "who-signed": "signed_by",
    "undated": "undated",
    "day-order": "day_order",
    "which-level": "levels",
    "what-means": "words",
    "which-are-names": "names",
}

SENTENCES = {
    # what is asked
    "who-signed": _("Who signs these first sign-offs? It must be an owner: {owners}."),
    "undated": _("{cells}: signed off, but no day is given. Which day counts for these?"),
    "day-order": _("{cells}: does {text} mean {days}?"),
    "which-level": _("{cells}: which level is “{head}”? It looks like {titles}."),
    "which-level-none": _("{cells}: which level is “{head}”? No name could be made from it."),
    "what-means": _("{cells}: does “{word}” mean signed off, or not yet?"),
    "which-are-names": _("Are the names in the first column, or across the top?"),
    # what is wrong
    "unreadable": _("The file cannot be read. Found: {wrong}. Needed: {expected}."),
    "no-marks": _("No cell has a day or a mark such as x or ✓. Add them, or choose another file."),
    "no-services": _("There is no column for a service. Put the services above the marks."),
    "no-heads": _("There is no row with the services. Put their names above the marks."),
    "no-names": _("There is no column with the names of people. Put it left of the marks."),
    "two-days": _("{cells}: “{text}” has two days. Write only the day of the sign-off."),
    "no-such-day": _("{cells}: there is no day “{text}”. Write it like 2026-11-25."),
    "an-end": _(
        "{cells}: “{text}” says when something ends. Write the day on which it was signed."
    ),
    "no-day": _("{cells}: “{text}” is not a day. Write it like 2026-11-25."),
    "other-order": _("{cells}: “{text}” cannot be read with the {order}. Choose the other order."),
    "in-the-future": _("{cells}: {day} has not come yet. Write the day of the sign-off."),
    "too-long-ago": _("{cells}: {day} is more than 60 years ago. Write the year with four digits."),
    "year-first": _("{cells}: {text} can be {day} or {other}. Write the year with four digits."),
    "name-twice": _("{cells}: {name} is in {other} already. Put both rows into one."),
    "who-of": _("{cells}: more than one person is called {name}: {logins}. Add a column “Login”."),
    "no-such-role": _(
        "{cells}: “{role}” is not a role. Write trainee, mechanic, senior mechanic or owner."
    ),
    "level-twice": _("{cells}: “{head}” and “{other}” are both {level}. Change one of them."),
    "no-level-name": _(
        "{cells}: “{level}” cannot be the short name of a level. Write it like air-spring."
    ),
    "no-such-head": _("The file has no column “{head}”. Name the columns as they are in the file."),
    "signer-no-owner": _("{login} is not an owner. Only an owner gives first sign-offs."),
    # what was left out
    "title": _("{cells}: “{text}” is a title."),
    "column": _("{cells}: the column “{text}” is not needed."),
    "column-of-days": _(
        "{cells}: the column “{text}” has days, but not for which service. It was not read."
    ),
    "column-of-ends": _("{cells}: the column “{text}” says when something ends. It was not read."),
    "column-without-head": _("{cells}: this column has no head."),
    "column-without-marks": _("{cells}: the column “{text}” has no day and no mark."),
    "row-without-name": _("{cells}: the row with “{text}” has no name."),
    "no-person": _("{cells}: “{text}” is not the name of a person."),
    "heads-again": _("{cells}: the heads are repeated here."),
    "other-sheet": _("The sheet “{sheet}” was not read. Only the one with the most marks is."),
    "told-to": _("{cells}: “{text}” is left out, as you said."),
    "on-record": _("{cells}: this sign-off of “{text}” is on record already."),
}


EXPECTED = ("out-of-practice", "sign-off-ended")
COMES_IN = ngettext_lazy("{count} first sign-off comes in.", "{count} first sign-offs come in.")
MAY_ALONE = ngettext_lazy(
    "{count} of them lets somebody work alone today.",
    "{count} of them let somebody work alone today.",
)
NOT_CURRENT = ngettext_lazy(
    "{count} is not current today, because no jobs come with it. Start counting jobs from today, "
    "or bring in the jobs too.",
    "{count} are not current today, because no jobs come with them. Start counting jobs from "
    "today, or bring in the jobs too.",
)
NEW_WORKSHOPS = ngettext_lazy(
    "{count} workshop is new: {names}.", "{count} workshops are new: {names}."
)
RUN_OUT = ngettext_lazy(
    "{count} is too old: the sign-off has run out. Sign it off again.",
    "{count} are too old: the sign-offs have run out. Sign them off again.",
)
NOT_YET = ngettext_lazy(
    "{count} does not count yet for another reason. Who may says which.",
    "{count} do not count yet for other reasons. Who may says which.",
)


def say(told: Remark) -> str:
    """The whole sentence of a question, a fault or something left out."""
    args = {name: _said(value) for name, value in told.args.items()}
    code = told.code
    # A sentence of its own, since “It looks like” nothing is no sentence.
    if code == "which-level" and not told.args["titles"]:
        code = "which-level-none"
    if code == "day-order":
        args["days"] = _either(told.args["days"])
    return str(SENTENCES[code]).format(cells=say_places(told.places), **args)


def say_follows(follows: Follows) -> list[str]:
    """What holds once the list is in, sentence by sentence."""
    others = sum(count for code, count in follows.not_alone if code not in EXPECTED)
    told = [
        (NOT_CURRENT, follows.because("out-of-practice")),
        (RUN_OUT, follows.because("sign-off-ended")),
        (NOT_YET, others),
    ]
    always = [(COMES_IN, follows.sign_offs), (MAY_ALONE, follows.alone)]
    shown = [*always, *((texts, count) for texts, count in told if count)]
    said = [(texts % count).format(count=count) for texts, count in shown]
    new = follows.new_workshops
    if new:
        text = NEW_WORKSHOPS % len(new)
        said.insert(0, text.format(count=len(new), names=", ".join(new)))
    return said


def say_places(places: tuple[str, ...]) -> str:
    """The cells, such as “C4, C5 and 3 more cells”."""
    named = ", ".join(places[:MOST_PLACES])
    more = len(places) - MOST_PLACES
    if more <= 0:
        return named
    return ngettext("{named} and {more} more cell", "{named} and {more} more cells", more).format(
        named=named, more=more
    )


def _said(value: object) -> str:
    match value:
        case date():
            return say_day(value)
        case list() | tuple():
            return ", ".join(map(_said, value))
        case _:
            return str(value)


def _either(days: object) -> str:
    first, second = days if isinstance(days, tuple) else ("", "")
    return str(_("{one} or {other}")).format(one=_said(first), other=_said(second))
