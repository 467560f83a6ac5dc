"""How does a command tell what a shop's list means: as JSON, and as lines?"""

from __future__ import annotations

from typing import Any

from django.utils.translation import gettext_lazy as _

from procedures.records.days.reader import say_day
from training.exchange.matrix.bringing import Outcome
from training.exchange.matrix.meaning import Remark
from training.exchange.matrix.wording import SETTLED_BY, say, say_follows


def make_json(outcome: Outcome) -> dict[str, Any]:
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


def _told(told: Remark) -> dict[str, Any]:
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
        f"{one.place}: {names[one.login]}, {titles[one.level]}, {say_day(one.on)}"
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
            str(_("Brought in.") if outcome.is_in else _("Checked only. Nothing was saved."))
        )
    return said
