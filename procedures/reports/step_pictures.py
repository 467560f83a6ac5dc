"""Which pictures does the form of a step offer, and how do those look that it has?"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass

from django.utils.safestring import SafeString

from procedures.reports.drawings import FoundDrawing, find_drawings
from procedures.writeup.drawings import Picture, find_named

MOST_AT_FIRST, MOST_FOUND = 12, 60


@dataclass(frozen=True, slots=True)
class OfferedPicture:
    """A picture to choose, as small as a stamp; its title stands beside it."""

    name: str
    title: str
    html: SafeString


@dataclass(frozen=True, slots=True)
class PictureOffer:
    """The pictures that have all the words asked for, as many as are shown, of `there_are`."""

    words: str
    shown: tuple[OfferedPicture, ...]
    there_are: int

    @property
    def left_out(self) -> int:
        """How many more there are than are shown."""
        return self.there_are - len(self.shown)


@dataclass(frozen=True, slots=True)
class StepDrawn:
    """A picture of a step by its title; without a picture where there is none of its name."""

    title: str
    picture: Picture | None

    def html(self, uid: str) -> SafeString:
        """The picture for one place of a page."""
        return SafeString(self.picture.html(uid=uid, named=False) if self.picture else "")


def offer_pictures(text: str, words: str, *, wide: bool, picked: str = "") -> PictureOffer:
    """What a step of this text may show: the pictures that the text names already, then the shop's
    own, then the library. `picked` is shown in any case. One query.
    """
    named = [one.name for one in find_named(text)]
    found = find_drawings(words)
    found.sort(key=lambda one: one.name not in named)
    most = MOST_FOUND if wide else MOST_AT_FIRST
    shown = found[:most]
    if picked and picked not in {one.name for one in shown}:
        more = [one for one in (found if not words else find_drawings()) if one.name == picked]
        shown = [*more, *shown]
    return PictureOffer(words, tuple(map(_offered, shown)), max(len(found), len(shown)))


def _offered(one: FoundDrawing) -> OfferedPicture:
    html = StepDrawn(one.title, one.picture()).html(f"offer-{one.name}")
    return OfferedPicture(one.name, one.title, html)


def draw_pictures(names: Iterable[str]) -> Mapping[str, StepDrawn]:
    """The pictures of these names; one query."""
    wanted = set(names)
    if not wanted:
        return {}
    return {
        one.name: StepDrawn(one.title, one.picture())
        for one in find_drawings()
        if one.name in wanted
    }
