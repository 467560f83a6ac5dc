"""Match: which partner belongs to each of these?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import asdict, dataclass
from fractions import Fraction
from random import Random
from typing import Any, ClassVar, Self

from procedures.writeup.plain_yaml import Mapped, Plain
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.fields import Field, PickPartners
from quizzes.kinds.kind import (
    Asked,
    Beside,
    Entry,
    Marked,
    Orders,
    PairTold,
    Told,
    drop_empty,
    is_place,
    mix_places,
)
from quizzes.psychometrics.guessing import Spread, spread_of_pairs, spread_of_pairs_each

MATCH = "match"
MOST_PAIRS = 8


@dataclass(frozen=True, slots=True)
class Pair:
    """What stands on the left, what belongs to it, and what is said of it after the sitting."""

    left: str
    right: str
    says: str = ""

    def written(self) -> dict[str, Any]:
        return {"left": self.left, "right": self.right} | ({"says": self.says} if self.says else {})


@dataclass(frozen=True, slots=True)
class Match(Asked):
    """Pairs to be found; `spare` are partners on offer that belong to nothing. An answer is the
    place of a partner for each pair.
    """

    kind: ClassVar[str] = MATCH
    keys: ClassVar[frozenset[str]] = frozenset({"pairs", "spare"})
    template: ClassVar[str] = "quizzes/kinds/match.html"
    field: ClassVar[Field] = PickPartners()
    pairs: tuple[Pair, ...]
    spare: tuple[str, ...] = ()

    @property
    def partners(self) -> tuple[str, ...]:
        """Everything on offer on the right, each once, in the author's order."""
        return tuple(dict.fromkeys([pair.right for pair in self.pairs] + list(self.spare)))

    @classmethod
    def read(cls, entry: Entry) -> Self | None:
        listed = entry.entry.values.get("pairs")
        if not isinstance(listed, list) or not 2 <= len(listed) <= MOST_PAIRS:
            entry.wrong("pairs", remark("pairs-no-list", most=MOST_PAIRS))
            return None
        read = [_pair(one, place, entry) for place, one in enumerate(listed, start=1)]
        found = tuple(pair for pair in read if pair is not None)
        spare = _words(entry.entry.values.get("spare", []))
        if spare is None:
            entry.wrong("spare", remark("spare-no-list"))
            return None
        if len({pair.left for pair in found}) < len(found):
            entry.wrong("pairs", remark("left-twice"))
        if len(set(spare)) < len(spare) or {pair.right for pair in found} & set(spare):
            entry.wrong("spare", remark("spare-twice"))
        asked = cls(found, tuple(spare))
        if len(asked.partners) < 2 and len(found) == len(listed):
            entry.wrong("pairs", remark("one-partner"))
        return asked

    def written(self) -> dict[str, Any]:
        own: dict[str, Any] = {"pairs": [pair.written() for pair in self.pairs]}
        return own | ({"spare": list(self.spare)} if self.spare else {})

    def as_json(self) -> dict[str, Any]:
        return {"pairs": [asdict(pair) for pair in self.pairs], "spare": list(self.spare)}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        return cls(tuple(Pair(**pair) for pair in kept["pairs"]), tuple(kept["spare"]))

    def shape_fault(self, given: object) -> Remark | None:
        fits = (
            isinstance(given, list | tuple)
            and len(given) == len(self.pairs)
            and all(is_place(place, self.partners) for place in given)
        )
        return None if fits else remark("choose-partners")

    def marks(self, given: Any, orders: Orders | None) -> Marked:
        found = self.matched(given)
        says = drop_empty(*(pair.says for pair in self.pairs))
        return Marked(Fraction(sum(found), len(found)), all(found), says)

    def matched(self, given: Sequence[int]) -> tuple[bool, ...]:
        """For each pair, in the author's order, whether its left got the partner that belongs to
        it.
        """
        partners = self.partners
        return tuple(
            partners[place] == pair.right for pair, place in zip(self.pairs, given, strict=True)
        )

    def guessed(self, beside: Beside) -> Spread:
        """Partners of which each belongs to one pair at most are guessed without taking one
        twice.
        """
        # Where each partner belongs once, a guesser rules out those taken, which raises the chance.
        each_once = len({pair.right for pair in self.pairs}) == len(self.pairs)
        return (spread_of_pairs if each_once else spread_of_pairs_each)(
            len(self.pairs), len(self.partners)
        )

    def drawn(self, beside: Beside, chance: Random) -> dict[str, Any]:
        return {
            "order": mix_places(len(self.pairs), chance),
            "partners": mix_places(len(self.partners), chance),
        }

    def labels(self, shown: Mapping[str, Any]) -> tuple[str, ...]:
        return tuple(self.pairs[at].left for at in shown["order"])

    def partners_shown(self, shown: Mapping[str, Any]) -> tuple[tuple[int, str], ...]:
        return tuple((at, self.partners[at]) for at in shown["partners"])

    def given_words(self, given: Any, shown: Mapping[str, Any]) -> str:
        chosen = ((self.pairs[at].left, self.partners[given[at]]) for at in shown["order"])
        return "; ".join(f"{left}: {partner}" for left, partner in chosen)

    def told(self, given: Any, shown: Mapping[str, Any], beside: Beside, *, is_right: bool) -> Told:
        right = (False,) * len(self.pairs) if given is None else self.matched(given)
        return Told(
            pairs=tuple(
                PairTold(
                    self.pairs[at].left,
                    "" if given is None else self.partners[given[at]],
                    self.pairs[at].right,
                    right[at],
                    self.pairs[at].says,
                )
                for at in shown["order"]
            )
        )

    def key_shown(self, beside: Beside | None) -> dict[str, Any]:
        return {"pairs": self.pairs, "spare": self.spare}

    def advice(self) -> tuple[tuple[str, Remark], ...]:
        if len(self.partners) != len(self.pairs):
            return ()
        return (("easy-match", remark("easy-match")),)

    def key_words(self, titles: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return tuple(f"{pair.left}: {pair.right}" for pair in self.pairs), self.spare


def _pair(one: Plain, place: int, entry: Entry) -> Pair | None:
    if not isinstance(one, Mapped) or not one.word("left") or not one.word("right"):
        entry.wrong("pairs", remark("bad-pair", place=place))
        return None
    for key in one.values.keys() - {"left", "right", "says"}:
        entry.wrong("pairs", remark("unknown-pair-key", key=key, place=place))
    return Pair(one.word("left"), one.word("right"), one.word("says"))


def _words(value: Plain) -> list[str] | None:
    listed = [value] if isinstance(value, str) else value
    if not isinstance(listed, list):
        return None
    words = [word.strip() for word in listed if isinstance(word, str) and word.strip()]
    return words if len(words) == len(listed) else None
