"""What does a file of answers say of a matrix?"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date, datetime
from pathlib import Path
from typing import Any

import yaml
from django.utils.translation import gettext

from procedures.records.refused import Refused
from procedures.records.wording.pieces import join_last_or
from training.exchange.matrix.marks import DayOrder
from training.exchange.matrix.meaning import Answers

LARGEST = 200_000  # bytes
KEYS = ("signed_by", "undated", "day_order", "levels", "names", "words", "practice_from")


def read_answers(path: Path | None) -> Answers:
    """The answers of a YAML file; none without a file. Raises Refused."""
    if path is None:
        return Answers()
    try:
        if path.stat().st_size > LARGEST:
            raise Refused(gettext("{file} is too large for a file of answers.").format(file=path))
        # The safe loader: the full one would make any object that the file names.
        said = yaml.safe_load(path.read_text(encoding="utf-8"))
    except (OSError, ValueError, yaml.YAMLError, RecursionError) as error:
        text = gettext("{file} cannot be read as YAML: {error}")
        raise Refused(text.format(file=path, error=error)) from error
    return answers_of({} if said is None else said, str(path))


def answers_of(said: Any, where: str) -> Answers:
    """The answers of a mapping with the keys of KEYS. Raises Refused with what is wrong."""
    if not isinstance(said, Mapping):
        text = gettext("{file}: write each answer in a line of its own, such as “signed_by: ada”.")
        raise Refused(text.format(file=where))
    for key in said:
        if key not in KEYS:
            text = gettext("{file}: no answer is called “{key}”. Use one of these: {known}.")
            raise Refused(text.format(file=where, key=key, known=", ".join(KEYS)))
    return Answers(
        signed_by=_text(said, "signed_by", where),
        undated=_day(said, "undated", where),
        day_order=_order(said, where),
        levels=dict(_pairs(said, "levels", where)),
        names=_one_of(said, "names", ("down", "across"), where),
        words={word: _signed(means, word, where) for word, means in _pairs(said, "words", where)},
        practice_from=_day(said, "practice_from", where),
    )


def _text(said: Mapping[Any, Any], key: str, where: str) -> str:
    value = said.get(key)
    if value is None:
        return ""
    if not isinstance(value, str | int):
        text = gettext("{file}, {key}: write a login, such as ada.")
        raise Refused(text.format(file=where, key=key))
    return str(value).strip()


def _day(said: Mapping[Any, Any], key: str, where: str) -> date | None:
    value = said.get(key)
    if value is None or value == "":
        return None
    # YAML reads 2026-11-25 as a day and 2026-11-25 10:00:00 as an instant; both mean the day.
    if isinstance(value, datetime):
        return value.date()
    if isinstance(value, date):
        return value
    try:
        return date.fromisoformat(str(value))
    except ValueError:
        text = gettext("{file}, {key}: write a day such as 2026-11-25.")
        raise Refused(text.format(file=where, key=key)) from None


def _one_of(said: Mapping[Any, Any], key: str, allowed: tuple[str, ...], where: str) -> str:
    value = said.get(key)
    if value is None or value == "":
        return ""
    if value not in allowed:
        text = gettext("{file}, {key}: write {choices}.")
        raise Refused(text.format(file=where, key=key, choices=join_last_or(allowed)))
    return str(value)


def _order(said: Mapping[Any, Any], where: str) -> DayOrder | None:
    found = _one_of(said, "day_order", tuple(DayOrder), where)
    return DayOrder(found) if found else None


def _pairs(said: Mapping[Any, Any], key: str, where: str) -> list[tuple[str, str]]:
    value = said.get(key)
    if value is None:
        return []
    if not isinstance(value, Mapping):
        text = gettext("{file}, {key}: write lines such as “Air spring: air-spring”.")
        raise Refused(text.format(file=where, key=key))
    return [
        (str(name).strip(), "" if told is None else str(told).strip())
        for name, told in value.items()
    ]


def _signed(means: str, word: str, where: str) -> bool:
    if means not in {"signed", "nothing"}:
        text = gettext("{file}, words, “{word}”: write signed or nothing.")
        raise Refused(text.format(file=where, word=word))
    return means == "signed"
