"""Which id does each step have?"""

import re
from collections.abc import Sequence

from procedures.writeup.sections import LONGEST, Section, cut, split_lines

_GOOD = re.compile(r"[a-z0-9-]+\Z")


def is_id(text: str) -> bool:
    """May this be the id of a step?"""
    return _GOOD.match(text) is not None


def step_ids(steps: Sequence[Section]) -> tuple[str, ...]:
    """The id of each step heading: the one written there, or one from its title where none is
    written, a second time or badly.
    """
    ids: dict[int, str] = {}
    taken: set[str] = set()
    # Written ids first: a title further up must not take the id that a later step was given.
    for index, step in enumerate(steps):
        if step.written_id is not None and is_id(step.written_id) and step.written_id not in taken:
            ids[index] = step.written_id
            taken.add(step.written_id)
    # Without it a thousand steps of one title would each count from 2 again.
    turns: dict[str, int] = {}
    for index, step in enumerate(steps):
        if index not in ids:
            ids[index] = _free(make_id(step.title), taken, turns)
            taken.add(ids[index])
    return tuple(ids[index] for index in range(len(steps)))


def make_id(title: str) -> str:
    """The title in lower case, other runs than letters and digits as one hyphen, none at the
    ends.
    """
    return re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-") or "step"


def _free(wanted: str, taken: set[str], turns: dict[str, int]) -> str:
    """The wanted id, or it with -2, -3 … when it is taken; `turns` remembers where the counting
    stands.
    """
    found, turn = wanted, turns.get(wanted, 2)
    while found in taken:
        found = f"{wanted}-{turn}"
        turn += 1
    turns[wanted] = turn
    return found


def write_ids(text: str) -> str:
    """The same text with {#id} behind each step heading that has none; every step keeps the id that
    it had.
    """
    if len(text) > LONGEST:
        return text
    steps = [section for section in cut(text).sections if section.depth == 3]
    wanting = {
        step.line: its
        for step, its in zip(steps, step_ids(steps), strict=True)
        if step.written_id is None
    }
    if not wanting:
        return text
    rows = split_lines(text)
    return "".join(
        (f"{row.rstrip()} {{#{wanting[number]}}}" if number in wanting else row) + end
        for number, (row, end) in enumerate(rows, 1)
    )
