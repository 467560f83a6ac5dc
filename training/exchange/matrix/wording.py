"""How are the questions, faults and left-out cells of a matrix put into words?"""

from __future__ import annotations

from datetime import date
from typing import Any

from django.utils.translation import gettext_lazy as _
from django.utils.translation import ngettext

from training.exchange.matrix.bringing import Follows, Outcome
from training.exchange.matrix.understood import Told
from training.records.gathering import day_text

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
    "which-are-names": _("Do the names stand in the first column, or across the top?"),
    # what is wrong
    "unreadable": _("The file cannot be read: {wrong}. Choose {expected}."),
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
    "name-twice": _("{cells}: {name} is in {other} already. Put both rows into one."),
    "who-of": _("{cells}: more than one person is called {name}: {logins}. Add a column “Login”."),
    "no-such-role": _(
        "{cells}: “{role}” is not a role. Write trainee, mechanic, senior mechanic or owner."
    ),
    "level-twice": _("{cells}: “{head}” and “{other}” are both {level}. Change one of them."),
    "no-level-name": _("{cells}: “{level}” is no name of a level. Write it like air-spring."),
    "no-such-head": _("The file has no column “{head}”. Name the columns as they are in the file."),
    "signer-no-owner": _("{login} is not an owner. Only an owner gives first sign-offs."),
    # what was left out
    "title": _("{cells}: “{text}” is a title."),
    "column": _("{cells}: the column “{text}” is not needed."),
    "column-without-head": _("{cells}: this column has no head."),
    "column-without-marks": _("{cells}: the column “{text}” has no day and no mark."),
    "row-without-name": _("{cells}: the row with “{text}” has no name."),
    "no-person": _("{cells}: “{text}” is not the name of a person."),
    "heads-again": _("{cells}: the heads are repeated here."),
    "other-sheet": _("The sheet “{sheet}” was not read. Only the one with the most marks is."),
    "told-to": _("{cells}: “{text}” is left out, as you said."),
    "on-record": _("{cells}: this sign-off of “{text}” is on record already."),
}


def say(told: Told) -> str:
    """The whole sentence of a question, a fault or something left out."""
    args = {name: _said(value) for name, value in told.args.items()}
    code = told.code
    if code == "which-level" and not told.args["titles"]:
        code = "which-level-none"
    if code == "day-order":
        args["days"] = _either(told.args["days"])
    return str(SENTENCES[code]).format(cells=say_places(told.places), **args)


def say_follows(follows: Follows) -> list[str]:
    """What holds once the matrix is in, sentence by sentence."""
    said = [
        ngettext(
            "{count} first sign-off comes in.",
            "{count} first sign-offs come in.",
            follows.sign_offs,
        ).format(count=follows.sign_offs),
        ngettext(
            "{count} of them lets somebody work alone today.",
            "{count} of them let somebody work alone today.",
            follows.alone,
        ).format(count=follows.alone),
    ]
    idle = follows.because("out-of-practice")
    if idle:
        said.append(
            ngettext(
                "{count} is not current today, because no jobs come with it. "
                "Start counting jobs from today (practice_from), or bring in the jobs too.",
                "{count} are not current today, because no jobs come with them. "
                "Start counting jobs from today (practice_from), or bring in the jobs too.",
                idle,
            ).format(count=idle)
        )
    ended = follows.because("sign-off-ended")
    if ended:
        said.append(
            ngettext(
                "{count} is too old: the sign-off has run out. Sign it off again.",
                "{count} are too old: the sign-offs have run out. Sign them off again.",
                ended,
            ).format(count=ended)
        )
    others = sum(
        count
        for code, count in follows.not_alone
        if code not in {"out-of-practice", "sign-off-ended"}
    )
    if others:
        said.append(
            ngettext(
                "{count} does not count yet for another reason. Who may says which.",
                "{count} do not count yet for other reasons. Who may says which.",
                others,
            ).format(count=others)
        )
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
            return day_text(value)
        case list() | tuple():
            return ", ".join(map(_said, value))
        case _:
            return str(value)


def _either(days: object) -> str:
    first, second = days if isinstance(days, tuple) else ("", "")
    return str(_("{one} or {other}")).format(one=_said(first), other=_said(second))


def as_json(outcome: Outcome) -> dict[str, Any]:
    """What was understood, asked and left out, and what follows, as plain values."""
    found = outcome.understood
    follows = outcome.follows
    return {
        "sheet": found.sheet,
        "names": "across" if found.is_turned else "down",
        "people": [
            {"login": one.login, "name": one.name, "new": one.is_new} for one in found.people
        ],
        "levels": [
            {"head": one.head, "level": one.level, "title": one.title, "new": one.is_new}
            for one in found.levels
        ],
        "sign_offs": [
            {"login": one.login, "level": one.level, "on": one.on.isoformat(), "cell": one.place}
            for one in found.sign_offs
        ],
        "questions": [_told(one) | {"answer": SETTLED_BY[one.code]} for one in found.questions],
        "faults": [_told(one) for one in found.faults],
        "left_out": [_told(one) for one in found.left_out],
        "follows": None
        if follows is None
        else {
            "sign_offs": follows.sign_offs,
            "alone": follows.alone,
            "not_alone": dict(follows.not_alone),
            "texts": say_follows(follows),
        },
        "brought_in": outcome.is_in,
    }


def _told(told: Told) -> dict[str, Any]:
    return {"code": told.code, "text": say(told), "cells": list(told.places)}


def lines(outcome: Outcome) -> list[str]:
    """The same for people to read."""
    found = outcome.understood
    names = {one.login: one.name for one in found.people}
    titles = {one.level: one.title for one in found.levels}
    new = str(_(" (new)"))
    said = [f"{one.name}, {one.login}{new if one.is_new else ''}" for one in found.people]
    said += [f"{one.head} -> {one.level}{new if one.is_new else ''}" for one in found.levels]
    said += [
        f"{one.place}: {names[one.login]}, {titles[one.level]}, {day_text(one.on)}"
        for one in found.sign_offs
    ]
    said += [str(_("Left out. {what}")).format(what=say(one)) for one in found.left_out]
    said += [str(_("Wrong. {what}")).format(what=say(one)) for one in found.faults]
    said += [
        str(_("Asked. {what} Answer it with {key}.")).format(
            what=say(one), key=SETTLED_BY[one.code]
        )
        for one in found.questions
    ]
    if outcome.follows:
        said += say_follows(outcome.follows)
        said.append(
            str(_("Brought in.") if outcome.is_in else _("Checked only; nothing was written."))
        )
    return said
