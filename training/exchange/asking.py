"""Which question does a program ask, in the words of a command, a file or an address?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from datetime import date
from typing import Any

from django.utils.translation import gettext

from procedures.records.refused import Refused
from training.exchange.folder import cells
from training.models import shop_now
from training.reports.who_may import LevelAsked

ASKED = ("level", "on", "known_at", "variant")


def fork_of(texts: Iterable[str]) -> dict[str, str]:
    """The options of a fork, each such as ring=prong. Raises Refused."""
    variant: dict[str, str] = {}
    for given in texts:
        key, sign, value = given.partition("=")
        if not (key and sign and value):
            raise Refused(
                gettext("“{given}” is no option of a fork. Write it as ring=prong.").format(
                    given=given
                )
            )
        if key in variant:
            raise Refused(
                gettext("“{key}” is named twice. A fork has one option of each kind.").format(
                    key=key
                )
            )
        variant[key] = value
    return variant


def question_of(asked: Mapping[str, Any], where: str, today: date) -> LevelAsked:
    """The question that a mapping with level, on, known_at and variant asks; `where` it stands.
    Raises Refused.
    """
    # A day under another name would else be passed over, and the answer be that of today.
    for key in asked:
        if key not in ASKED:
            raise Refused(
                gettext("In {where} “{key}” is not known. Use {known}.").format(
                    where=where, key=key, known=", ".join(ASKED)
                )
            )
    if "level" not in asked:
        raise Refused(gettext("In {where} the level is missing.").format(where=where))
    level, variant = asked["level"], asked.get("variant") or {}
    on, known_at = asked.get("on") or "", asked.get("known_at") or ""
    if not isinstance(level, str) or not _is_fork(variant):
        raise Refused(
            gettext(
                'In {where}, level is a name and variant an object such as {{"ring": "prong"}}.'
            ).format(where=where)
        )
    if not (isinstance(on, str) and isinstance(known_at, str)):
        raise Refused(
            gettext(
                'In {where} a day or instant is no text. Write it in quotes, such as "2026-11-25".'
            ).format(where=where)
        )
    try:
        return LevelAsked(
            level,
            cells.read_day(on) if on else today,
            cells.read_instant(known_at) if known_at else shop_now(),
            {str(key): str(value) for key, value in variant.items()},
        )
    except cells.Expected as expected:
        raise Refused(
            gettext("In {where} a day or instant cannot be read; expected {expected}.").format(
                where=where, expected=expected
            )
        ) from expected


def _is_fork(variant: object) -> bool:
    # JSON of other programs has an option such as 2 without quotes.
    return isinstance(variant, dict) and all(
        isinstance(option, str | int) for option in variant.values()
    )
