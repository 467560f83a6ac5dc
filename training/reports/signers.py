"""Who signed for whom, drawn as a graph and told as a table?"""

from __future__ import annotations

import math
from dataclasses import dataclass
from datetime import datetime

from training.records.gathering import gather
from training.records.wording.entries import say_entry
from training.standing.entitlement import asking_of
from training.standing.naming import name_entry
from training.standing.rings import rings

RADIUS, MIDDLE = 110, 230


@dataclass(frozen=True, slots=True)
class Dot:
    """One person on the circle, in whole units of the drawing."""

    name: str
    x: str
    y: str
    label_x: str
    label_y: str
    anchor: str


@dataclass(frozen=True, slots=True)
class Arrow:
    """From signer to person; `held` when every sign-off on it was given by somebody entitled."""

    x1: str
    y1: str
    x2: str
    y2: str
    held: bool


@dataclass(frozen=True, slots=True)
class SignerLine:
    """One row of the table."""

    signer: str
    person: str
    times: str
    holds: str
    founding: str


@dataclass(frozen=True, slots=True)
class SignersPage:
    dots: tuple[Dot, ...]
    arrows: tuple[Arrow, ...]
    lines: tuple[SignerLine, ...]
    closed: tuple[str, ...]
    fallen: tuple[str, ...]


def signers_page(*, now: datetime) -> SignersPage:
    """The graph of sign-offs as known now; people stand on a circle in the order of their names."""
    shop = gather()
    found, known = rings(shop, now), asking_of(shop, now).known
    names = {person.login: person.name for person in shop.people}
    shown = sorted(
        {login for edge in found.edges for login in (edge.signer, edge.person)},
        key=lambda login: names[login],
    )
    place = {
        login: 2 * math.pi * number / max(1, len(shown)) - math.pi / 2
        for number, login in enumerate(shown)
    }
    return SignersPage(
        dots=tuple(_dot(names[login], place[login]) for login in shown),
        arrows=tuple(
            _arrow(place[e.signer], place[e.person], held=e.times == e.holds)
            for e in found.edges
            if e.signer != e.person
        ),
        lines=tuple(
            SignerLine(
                names[edge.signer],
                names[edge.person],
                str(edge.times),
                str(edge.holds),
                str(edge.founding),
            )
            for edge in found.edges
        ),
        closed=tuple(" and ".join(names[login] for login in group) for group in found.closed),
        fallen=tuple(
            f"{names[row.person]}, {row.level}: {say_entry(name_entry(known, row))}"
            for row in found.fallen
        ),
    )


def _at(angle: float, radius: float) -> tuple[str, str]:
    return f"{MIDDLE + radius * math.cos(angle):.0f}", f"{MIDDLE + radius * math.sin(angle):.0f}"


def _dot(name: str, angle: float) -> Dot:
    x, y = _at(angle, RADIUS)
    label_x, label_y = _at(angle, RADIUS + 14)
    side = math.cos(angle)
    return Dot(
        name,
        x,
        y,
        label_x,
        label_y,
        "middle" if abs(side) < 0.2 else "start" if side > 0 else "end",
    )


def _arrow(start: float, end: float, *, held: bool) -> Arrow:
    """A line between two dots that stops short of the second one, so that its head stays free."""
    x1, y1 = _at(start, RADIUS)
    x2, y2 = _at(end, RADIUS)
    length = math.dist((int(x1), int(y1)), (int(x2), int(y2))) or 1
    share = max(0.0, (length - 9) / length)
    # From the rounded places, as they are drawn, so that line and dot meet.
    near = (int(x1) + (int(x2) - int(x1)) * share, int(y1) + (int(y2) - int(y1)) * share)
    return Arrow(x1, y1, f"{near[0]:.0f}", f"{near[1]:.0f}", held)
