"""What do the texts at hand say, and does one of them rehearse without an error?"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from functools import lru_cache
from typing import Any

from django.db.models import QuerySet

from procedures.models import Revision, ShopRules
from procedures.records.library import find_unknown_drawings
from procedures.records.statements import prepare_once
from procedures.rehearsal.findings import ERROR, Finding, sort_findings
from procedures.rehearsal.walk import rehearse
from procedures.writeup import rules
from procedures.writeup.model import WriteUp
from procedures.writeup.parse import parse
from procedures.writeup.proof.findings import ProofFinding
from procedures.writeup.proof.proofing import proof
from procedures.writeup.remarks import remark

MOST_STEPS = 2_000  # of a write-up that is rehearsed; nobody works by a longer one
# letters; texts longer than that would fill the memory while somebody types on one
LONGEST_KEPT = 60_000


def parse_once(text: str) -> WriteUp:
    """The write-up that a text describes, with its faults; one and the same value for one and the
    same text, if it is not very long.
    """
    return _kept(text) if len(text) <= LONGEST_KEPT else parse(text)


@lru_cache(maxsize=256)
def _kept(text: str) -> WriteUp:
    return parse(text)


def newest_rules() -> ShopRules | None:
    """The newest version of the shop's rules, or None while nobody has written any."""
    return ShopRules.objects.select_related("author").last()


def rules_text() -> str:
    """The text of the newest rules; empty while nobody has written any."""
    rows = _ask_newest_text()
    return str(rows[0][0]) if rows else ""


@prepare_once
def _ask_newest_text() -> QuerySet[Any]:
    return ShopRules.objects.order_by("-pk").values_list("text")[:1]


def rules_in_force() -> rules.ShopRules:
    """What the newest rules say; without any, no danger is known and nothing is temporary."""
    return read_rules_once(rules_text())


def read_rules_once(text: str) -> rules.ShopRules:
    """The rules of a text, read once however often they are asked for; the same rules for the same
    text, if it is not very long. Raises BadRules.
    """
    return _kept_rules(text) if len(text) <= LONGEST_KEPT else rules.read_rules(text)


@lru_cache(maxsize=8)
def _kept_rules(text: str) -> rules.ShopRules:
    return rules.read_rules(text)


def current_texts(on: date | None = None) -> dict[str, str]:
    """The text of the current revision of each write-up, by its name, as of the end of a day (of
    any day without one).
    """
    return dict(_ask_texts() if on is None else _ask_texts_of(on))


@prepare_once
def _ask_texts() -> QuerySet[Any]:
    return _texts(Revision.objects.current())


@prepare_once
def _ask_texts_of(on: date) -> QuerySet[Any]:
    return _texts(Revision.objects.current(on))


def _texts(rows: QuerySet[Revision]) -> QuerySet[Any]:
    return rows.order_by("writeup__name").values_list("writeup__name", "text")


def findings_of(text: str, *, name: str) -> tuple[Finding, ...]:
    """What the rehearsal finds in this text of the write-up `name`, by the newest rules and beside
    the other released ones, and which drawings it names that there are not. A write-up of too many
    steps is not rehearsed, and told so."""
    too_many = parse_once(text).steps[MOST_STEPS:]
    if too_many:
        said = remark("too-many-steps", count=MOST_STEPS + len(too_many), most=MOST_STEPS)
        return (Finding("bad-header", ERROR, None, "###", too_many[0].line, said),)
    # Without its own released text, which this one is to replace.
    others: Mapping[str, WriteUp] = {
        other: parse_once(its) for other, its in current_texts().items() if other != name
    }
    found = rehearse(parse_once(text), rules_in_force(), others=others)
    return sort_findings((*found, *find_unknown_drawings(text, parse_once(text))))


def proof_once(text: str) -> tuple[ProofFinding, ...]:
    """What the proofing finds in a text, whoever answered what."""
    if len(parse_once(text).steps) > MOST_STEPS:
        return ()
    return _proofed(text) if len(text) <= LONGEST_KEPT else proof(parse_once(text), text)


@lru_cache(maxsize=256)
def _proofed(text: str) -> tuple[ProofFinding, ...]:
    return proof(parse_once(text), text)


def take_dates_off(text: str) -> str:
    """The text without the header lines that say when a brought revision was released and what it
    asks.
    """
    # Line by line rather than through YAML, so that every other letter of the text stays as it was.
    head, *rest = text.split("\n")
    if head.strip("\ufeff \r") != "---":
        return text
    end = next((place for place, line in enumerate(rest) if line.rstrip() == "---"), 0)
    kept = [
        line for line in rest[:end] if not line.startswith(("released:", "released_at:", "asks:"))
    ]
    return "\n".join([head, *kept, *rest[end:]])


def put_dates_on(text: str, *, released: str, asks: str, released_at: str = "") -> str:
    """The text with the header lines that `take_dates_off` takes out, as the first of its header;
    the moment only where it is known.
    """
    head, _, rest = take_dates_off(text).partition("\n")
    moment = f"released_at: {released_at}\n" if released_at else ""
    lines = f"released: {released}\n{moment}asks: {asks}\n"
    return (
        f"{head}\n{lines}{rest}" if head.strip("\ufeff \r") == "---" else f"---\n{lines}---\n{text}"
    )
