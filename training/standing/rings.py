"""Who signed for whom: which people only ever sign for each other, and whose signature rests on one
declared void?
"""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import datetime

from training.standing.entitlement import asking_of
from training.standing.evidence import Shop, SignOff


@dataclass(frozen=True, slots=True)
class Signed:
    """One signer, one person, and how many sign-offs between them; `holds` counts those by an
    entitled signer.
    """

    signer: str
    person: str
    times: int
    holds: int
    founding: int


@dataclass(frozen=True, slots=True)
class Rings:
    """The edges of the graph; groups whose sign-offs all come from inside the group; sign-offs that
    fell with a signer.
    """

    edges: tuple[Signed, ...]
    closed: tuple[tuple[str, ...], ...]
    fallen: tuple[SignOff, ...]


def rings(shop: Shop, known_at: datetime) -> Rings:
    """Who signed for whom, as known at an aware instant.

    A closed group is a strongly connected component (Tarjan 1972) of two or more people in which
    every sign-off of each member came from another member, none of them founding: nobody outside
    ever vouched for any of them.
    """
    asking = asking_of(shop, known_at)
    # Oldest sign-offs first, as for every answer: no chain of signers then runs deep.
    for login in shop.files.people:
        asking.settle(login)
    rows = [
        row
        for person, level in shop.files.signoffs.pairs()
        for row in asking.known.signoffs(person, level)
    ]
    counted: dict[tuple[str, str], list[SignOff]] = {}
    for row in rows:
        counted.setdefault((row.signer, row.person), []).append(row)
    edges = tuple(
        Signed(
            signer,
            person,
            len(found),
            sum(map(asking.entitled, found)),
            sum(row.founding for row in found),
        )
        for (signer, person), found in sorted(counted.items())
    )
    graph: dict[str, set[str]] = {}
    # Founding ones are edges too: `_is_closed` needs to see them to say no.
    for row in rows:
        graph.setdefault(row.signer, set()).add(row.person)
        graph.setdefault(row.person, set())
    closed = tuple(tuple(sorted(group)) for group in components(graph) if _is_closed(group, rows))
    # Sorted, since sets have no order and a page must not change by itself.
    return Rings(
        edges, tuple(sorted(closed)), tuple(row for row in rows if not asking.entitled(row))
    )


def _is_closed(group: frozenset[str], rows: list[SignOff]) -> bool:
    # One founding sign-off is a word from outside, even where its owner is in the group.
    given = [row for row in rows if row.person in group]
    return len(group) > 1 and all(row.signer in group and not row.founding for row in given)


def components(graph: Mapping[str, set[str]]) -> Iterator[frozenset[str]]:
    """The strongly connected components of a graph (name -> names it leads to), by Tarjan's method
    without recursion.
    """
    order: dict[str, int] = {}
    low: dict[str, int] = {}
    stack: list[str] = []
    held: set[str] = set()
    for start in graph:
        if start in order:
            continue
        work: list[tuple[str, Iterator[str]]] = [(start, iter(sorted(graph[start])))]
        while work:
            node, ahead = work[-1]
            if node not in order:
                order[node] = low[node] = len(order)
                stack.append(node)
                held.add(node)
            # A name that is neither new nor on the stack belongs to a group that is given already.
            following = next((name for name in ahead if name not in order or name in held), None)
            if following is not None and following not in order:
                work.append((following, iter(sorted(graph[following]))))
                continue
            if following is not None:
                low[node] = min(low[node], order[following])
                continue
            work.pop()
            if work:
                low[work[-1][0]] = min(low[work[-1][0]], low[node])
            if low[node] == order[node]:
                group = frozenset(stack[stack.index(node) :])
                del stack[stack.index(node) :]
                held -= group
                yield group
