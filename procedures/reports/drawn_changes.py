"""How does a changed step look before and now, as the write-up shows it?"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace

from django.template.loader import render_to_string
from django.utils.safestring import SafeString

from procedures.records.library import pictures
from procedures.records.study import AroundShown, show_around, show_step
from procedures.writeup.diff import HEADER, StepChange
from procedures.writeup.drawings import Picture, names_in
from procedures.writeup.marked_html import OWN_IDS, leave_out_same, mark_changes
from procedures.writeup.model import Step, WriteUp

NOTHING = SafeString("")


@dataclass(frozen=True, slots=True)
class Drawn:
    """A step before and now, with what changed marked; empty where it is not there."""

    before: SafeString
    now: SafeString


class Drawer:
    """Draws the changes between two texts; the pictures of both are looked up once."""

    def __init__(self, old: WriteUp, new: WriteUp, texts: tuple[str, str]) -> None:
        self._old, self._new = old, new
        self._pictures: Mapping[str, Picture] = pictures(names_in(texts[0]) | names_in(texts[1]))
        self._was = {step.id: step for step in old.steps}
        self._now = {step.id: step for step in new.steps}

    def draw(self, change: StepChange) -> Drawn:
        """One change as it looks in both texts."""
        if change.key == HEADER:
            before, now = self._around()
        else:
            before = self._step(self._was.get(change.key), change.old_number, "was-")
            now = self._step(self._now.get(change.key), change.number, "now-")
        return _marked(before, now)

    def draw_step(self, key: str) -> Drawn:
        """One step as it looks in both texts, changed or not."""
        was, now = self._was.get(key), self._now.get(key)
        before = self._step(was, was.number if was else None, "was-")
        return _marked(before, self._step(now, now.number if now else None, "now-"))

    def _step(self, step: Step | None, number: int | None, uid: str) -> str:
        if step is None:
            return NOTHING
        shown = show_step(step, str(number or ""), self._pictures, uid=uid)
        return render_to_string("procedures/_drawn_step.html", {"step": shown})

    def _around(self) -> tuple[str, str]:
        """What stands around the steps before and now, without what is the same in both."""
        was = show_around(self._old, self._pictures, uid="was-")
        now = show_around(self._new, self._pictures, uid="now-")
        return _around_html(was, now), _around_html(now, was)


def _marked(before: str, now: str) -> Drawn:
    if before and now:
        before, now = mark_changes(before, now)
    # Both pieces come from the site's own templates, and only marks were put round words.
    return Drawn(SafeString(before), SafeString(now))


def _around_html(one: AroundShown, other: AroundShown) -> str:
    shown = _without_same(one, other)
    told = {"around": shown, "is_shortened": NOTHING != shown.html != one.html}
    return render_to_string("procedures/_drawn_around.html", told)


def _without_same(one: AroundShown, other: AroundShown) -> AroundShown:
    same_fields, same_cautions = set(map(_bare, other.fields)), set(map(_bare, other.cautions))
    same_phases = set(map(_bare, other.phases))
    return replace(
        one,
        fields=tuple(row for row in one.fields if _bare(row) not in same_fields),
        cautions=tuple(row for row in one.cautions if _bare(row) not in same_cautions),
        html=_words_without_same(one.html, other.html),
        phases=tuple(row for row in one.phases if _bare(row) not in same_phases),
    )


def _words_without_same(one: SafeString, other: SafeString) -> SafeString:
    """The paragraphs that the other text does not have; where they only changed places, all."""
    if _bare(one) == _bare(other):
        return NOTHING
    mine, its = leave_out_same(one, other), leave_out_same(other, one)
    # Whole blocks of the site's own HTML.
    return SafeString(mine) if mine or its else one


def _bare(row: object) -> str:
    """Something shown, by what it says: without the ids that differ between before and now."""
    return OWN_IDS.sub("", repr(row))
