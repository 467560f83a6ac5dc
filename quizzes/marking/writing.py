"""How are questions written down as YAML, so that `read_questions` reads the same again?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Any

import yaml

from quizzes.kinds.kind import QuestionText


class _Dumper(yaml.SafeDumper):
    """Writes yes and no, and text of several lines as a block."""


# The language says yes and no; the library would write true and false.
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
    return write_entries(writeup, [make_entry(question) for question in questions])


def write_entries(writeup: str, entries: Sequence[Mapping[str, Any]]) -> str:
    """Questions that are entries already as a YAML text."""
    whole = {"writeup": writeup, "questions": [dict(entry) for entry in entries]}
    return yaml.dump(whole, Dumper=_Dumper, sort_keys=False, allow_unicode=True, width=100)


def make_entry(question: QuestionText) -> dict[str, Any]:
    """The question as an entry of the text: plain words, lists and truth values by their keys."""
    asked = question.asked
    entry: dict[str, Any] = {
        "name": question.name,
        "kind": asked.kind,
        "steps": list(question.steps),
    }
    if question.critical:
        entry["critical"] = True
    if question.mirror:
        entry["mirror"] = True
    entry |= {"stem": question.stem} | asked.written()
    if question.says:
        entry["says"] = question.says
    return entry
