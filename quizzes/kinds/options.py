"""What do the two kinds that offer options have in common?"""

from __future__ import annotations

import re
from abc import abstractmethod
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from random import Random
from typing import Any, ClassVar, Self

from procedures.writeup.plain_yaml import Mapped, Plain
from procedures.writeup.remarks import Remark, remark
from quizzes.kinds.kind import Asked, Beside, Entry, Option, OptionTold, Told, mix_places

DRAWING = re.compile(r"[A-Za-z0-9_-]+")


@dataclass(frozen=True, slots=True)
class OfOptions(Asked):
    """Options on offer; each of the two kinds says how many of them are chosen."""

    keys: ClassVar[frozenset[str]] = frozenset({"options"})
    template: ClassVar[str] = "quizzes/kinds/options.html"
    options: tuple[Option, ...]

    @classmethod
    def read(cls, entry: Entry) -> Self | None:
        options = _options(entry)
        right = sum(option.right for option in options)
        if options and (fault := cls.number_fault(right)):
            entry.wrong("options", fault)
        return cls(options)

    @classmethod
    @abstractmethod
    def number_fault(cls, right: int) -> Remark | None:
        """Why so many right options can't be; None when they can."""

    @abstractmethod
    def picked(self, given: Any) -> Collection[int]:
        """The places that were chosen."""

    def written(self) -> dict[str, Any]:
        return {"options": [option.written() for option in self.options]}

    def as_json(self) -> dict[str, Any]:
        return {"options": [option.as_json() for option in self.options]}

    @classmethod
    def from_json(cls, kept: Mapping[str, Any]) -> Self:
        return cls(
            tuple(
                Option(o["text"], o["right"], o["says"], o.get("drawing", ""))
                for o in kept["options"]
            )
        )

    def on_offer(self) -> tuple[Option, ...]:
        return self.options

    def drawings(self) -> tuple[str, ...]:
        return tuple(option.drawing for option in self.options if option.drawing)

    def drawn(self, beside: Beside, chance: Random) -> dict[str, Any]:
        return {"order": mix_places(len(self.options), chance)}

    def labels(self, shown: Mapping[str, Any]) -> tuple[str, ...]:
        return tuple(self.options[at].text for at in shown["order"])

    def option_drawings(self, shown: Mapping[str, Any]) -> tuple[str, ...]:
        return tuple(self.options[at].drawing for at in shown["order"])

    def given_words(self, given: Any, shown: Mapping[str, Any]) -> str:
        picked = self.picked(given)
        return "; ".join(self.options[at].text for at in shown["order"] if at in picked)

    def told(self, given: Any, shown: Mapping[str, Any], beside: Beside, *, is_right: bool) -> Told:
        picked = () if given is None else self.picked(given)
        return Told(
            options=tuple(
                OptionTold(
                    self.options[at].text,
                    at in picked,
                    self.options[at].right,
                    self.options[at].says,
                )
                for at in shown["order"]
            )
        )

    def key_shown(self, beside: Beside | None) -> dict[str, Any]:
        return {"options": self.options}

    def key_words(self, titles: Mapping[str, str]) -> tuple[tuple[str, ...], tuple[str, ...]]:
        return tuple(one.text for one in self.options if one.right), tuple(
            one.text for one in self.options if not one.right
        )


def _options(reader: Entry) -> tuple[Option, ...]:
    listed = reader.entry.values.get("options")
    if not isinstance(listed, list) or len(listed) < 2:
        reader.wrong("options", remark("options-no-list"))
        return ()
    options = tuple(_option(reader, one, place) for place, one in enumerate(listed, start=1))
    texts = [option.text for option in options if option.text]
    if len(set(texts)) < len(texts):
        reader.wrong("options", remark("option-text-twice"))
    return options


def _option(reader: Entry, entry: Plain, place: int) -> Option:
    if not isinstance(entry, Mapped) or not entry.word("text"):
        reader.wrong("options", remark("bad-option", place=place))
        return Option("", right=False)
    for key in entry.values.keys() - {"text", "right", "says", "drawing"}:
        reader.wrong("options", remark("unknown-option-key", key=key, place=place))
    if "drawing" in entry.values and not DRAWING.fullmatch(entry.word("drawing")):
        reader.wrong("options", remark("bad-option-drawing", place=place))
    return Option(
        entry.word("text"),
        reader.says_yes(entry, "right"),
        entry.word("says"),
        entry.word("drawing"),
    )
