"""Who signed for whom: what does it come to, and how does it stand as a matrix?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime

from django.utils.translation import gettext, ngettext

from training.records.gathering import gather
from training.records.levels import title_of
from training.records.wording.entries import say_entry
from training.records.wording.pieces import join_and
from training.standing.entitlement import asking_of
from training.standing.naming import name_entry
from training.standing.rings import Rings, Signed, rings


@dataclass(frozen=True, slots=True)
class Signings:
    """What one signer gave one person: how many sign-offs (empty for none), how many of them do
    not count and how many were first ones by the owner (empty for none).

    `is_own`: signer and person are one. `is_mutual`: the person signed for the signer too.
    `in_ring`: both belong to a group that is signed off by nobody else.
    """

    times: str = ""
    void: str = ""
    first: str = ""
    is_own: bool = False
    is_mutual: bool = False
    in_ring: bool = False


@dataclass(frozen=True, slots=True)
class PersonRow:
    """One person, what each signer gave, and how many sign-offs that is in all."""

    person: str
    cells: tuple[Signings, ...]
    total: str


@dataclass(frozen=True, slots=True)
class SignersPage:
    """The conclusion, the groups and sign-offs behind it, and the matrix: people down, signers
    across, with how many sign-offs each gave.
    """

    heading: str
    closed: tuple[str, ...]
    fallen: tuple[str, ...]
    signers: tuple[str, ...]
    rows: tuple[PersonRow, ...]
    totals: tuple[str, ...]
    total: str


def signers_page(*, now: datetime) -> SignersPage:
    """The sign-offs as known now; people and signers stand in the order of their names."""
    shop = gather()
    found, known = rings(shop, now), asking_of(shop, now).known
    names = {person.login: person.name for person in shop.people}
    signers = sorted({edge.signer for edge in found.edges}, key=lambda login: names[login])
    people = sorted({edge.person for edge in found.edges}, key=lambda login: names[login])
    given = {(edge.signer, edge.person): edge for edge in found.edges}
    rows = tuple(_row(login, names, signers, given, found) for login in people)
    return SignersPage(
        heading=_heading(found),
        closed=tuple(join_and(sorted(names[login] for login in group)) for group in found.closed),
        fallen=tuple(
            gettext("{person}, {level}: {entry}").format(
                person=names[row.person],
                level=title_of(shop, row.level, row.on),
                entry=say_entry(name_entry(known, row)),
            )
            for row in found.fallen
        ),
        signers=tuple(names[login] for login in signers),
        rows=rows,
        totals=tuple(
            str(sum(edge.times for edge in found.edges if edge.signer == login))
            for login in signers
        ),
        total=str(sum(edge.times for edge in found.edges)),
    )


def _heading(found: Rings) -> str:
    """What the sign-offs come to, the gravest first."""
    if found.closed:
        count = len(found.closed)
        return ngettext(
            "{count} group is signed off by nobody but itself",
            "{count} groups are signed off by nobody but themselves",
            count,
        ).format(count=count)
    if found.fallen:
        count = len(found.fallen)
        return ngettext(
            "{count} sign-off does not count", "{count} sign-offs do not count", count
        ).format(count=count)
    return gettext("Every sign-off counts, and everybody has one from outside")


def _row(
    login: str,
    names: Mapping[str, str],
    signers: Sequence[str],
    given: Mapping[tuple[str, str], Signed],
    found: Rings,
) -> PersonRow:
    edges = [given.get((signer, login)) for signer in signers]
    return PersonRow(
        names[login],
        tuple(
            _cell(edge, given, found) if edge else Signings(is_own=signer == login)
            for signer, edge in zip(signers, edges, strict=True)
        ),
        str(sum(edge.times for edge in edges if edge)),
    )


def _cell(edge: Signed, given: Mapping[tuple[str, str], Signed], found: Rings) -> Signings:
    return Signings(
        times=str(edge.times),
        void=str(edge.times - edge.holds or ""),
        first=str(edge.founding or ""),
        is_own=edge.signer == edge.person,
        is_mutual=edge.signer != edge.person and (edge.person, edge.signer) in given,
        in_ring=any({edge.signer, edge.person} <= set(group) for group in found.closed),
    )
