"""What do answers to programs look like? The same as those of the commands."""

from __future__ import annotations

from typing import Literal

from ninja import Field, Schema


class MayQuery(Schema):
    on: str = ""
    known_at: str = ""
    workshop: str = ""
    person: str = ""
    variant: list[str] = []


class PersonQuery(Schema):
    on: str = ""
    known_at: str = ""


class CoverQuery(Schema):
    first: str = Field(alias="from")
    until: str = Field(alias="to")
    pace: Literal["usual", "none"] = "none"
    without: list[str] = []


class ReasonShape(Schema):
    code: str
    text: str
    evidence: list[str]


class StepShape(Schema):
    code: str
    text: str


class PersonShape(Schema):
    login: str
    name: str
    workshop: str
    standing: Literal["alone", "watched", "no"]
    at_work: bool | None
    reasons: list[ReasonShape]
    lapses_on: str | None
    lapses_because: str | None
    next: list[StepShape]


class MayShape(Schema):
    level: str
    on: str
    known_at: str
    variant: dict[str, str]
    people: list[PersonShape]
    book_head: str


class CoverShape(Schema):
    workshop: str
    level: str
    day: str
    want: int
    have: list[str]
    gap: int


class WriteUpShape(Schema):
    name: str
    title: str
    revision: int
    released_on: str


class BookShape(Schema):
    number: int
    head: str


class JobIn(Schema):
    """A job that another program writes down. `mark` is that program's own name for it: the same
    mark again writes nothing twice.
    """

    mark: str
    login: str
    level: str
    on: str
    watched_by: str = ""
    variant: dict[str, str] = {}
    writeup: str = ""
    revision: int = 0
    came_back: bool = False
    note: str = ""


class JobOut(Schema):
    job: int
    again: bool
    counts: bool
