"""How are questions written down as YAML, so that `read_questions` reads the same again?"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from typing import Any

import yaml

from quizzes.marking.kinds import (
    ChooseAll,
    ChooseOne,
    GiveAmount,
    Match,
    Option,
    Pair,
    PointAt,
    PutInOrder,
    QuestionText,
)


class _Dumper(yaml.SafeDumper):
    """Writes yes and no, and text of several lines as a block."""


def _yes(dumper: yaml.SafeDumper, value: bool) -> yaml.Node:
    return dumper.represent_scalar("tag:yaml.org,2002:bool", "yes" if value else "no")


def _text(dumper: yaml.SafeDumper, value: str) -> yaml.Node:
    return dumper.represent_scalar(
        "tag:yaml.org,2002:str", value, style="|" if "\n" in value else None
    )


_Dumper.add_representer(bool, _yes)
_Dumper.add_representer(str, _text)
# Two equal lists must not become an anchor and an alias.
_Dumper.ignore_aliases = lambda self, data: True  # type: ignore[method-assign]


def write_questions(writeup: str, questions: Sequence[QuestionText]) -> str:
    """The questions of one write-up as a YAML text."""
    whole = {"writeup": writeup, "questions": [_question(question) for question in questions]}
    return yaml.dump(whole, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100)


def _question(question: QuestionText) -> dict[str, Any]:
    asked = question.asked
    entry: dict[str, Any] = {
        "name": question.name,
        "kind": asked.kind,
        "steps": list(question.steps),
    }
    if question.critical:
        entry["critical"] = True
    match asked:
        case ChooseOne() | ChooseAll():
            own: dict[str, Any] = {"options": [_option(option) for option in asked.options]}
        case PutInOrder():
            own = {"variant": dict(asked.variant)} if asked.variant else {}
        case GiveAmount():
            own = {"amount": asked.amount}
        case Match():
            own = {"pairs": [_pair(pair) for pair in asked.pairs]} | (
                {"spare": list(asked.spare)} if asked.spare else {}
            )
        case PointAt():
            own = {
                "drawing": asked.drawing,
                "regions": [asdict(region) for region in asked.regions],
            }
    if question.mirror:
        entry["mirror"] = True
    entry |= {"stem": question.stem} | own
    if question.says:
        entry["says"] = question.says
    return entry


def _option(option: Option) -> dict[str, Any]:
    entry: dict[str, Any] = {"text": option.text}
    if option.right:
        entry["right"] = True
    if option.drawing:
        entry["drawing"] = option.drawing
    if option.says:
        entry["says"] = option.says
    return entry


def _pair(pair: Pair) -> dict[str, Any]:
    return {"left": pair.left, "right": pair.right} | ({"says": pair.says} if pair.says else {})
