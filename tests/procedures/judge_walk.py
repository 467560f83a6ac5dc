"""What goes wrong in one walk through the steps, with one combination of options? The judge's
walk.
"""

from __future__ import annotations

from typing import Any

from tests.procedures.judge_reader import PART_FIELDS, Words, as_list, fold

WALK_ORDER = [
    "after",
    "opens",
    "needs",
    "demands",
    "takes off",
    "scraps",
    "fits",
    "fits new",
    "ends",
    "makes",
]
OF_FACTS_AND_PARTS = [
    "need-not-met",
    "demand-not-met",
    "never-made",
    "guard-left",
    "made-twice",
    "ends-nothing",
    "leaves-not-met",
    "follows-not-met",
    "part-not-on",
    "part-already-on",
    "part-was-scrapped",
    "old-part-still-there",
    "part-left-off",
    "part-not-replaced",
]
OF_OTHER_NAMES = [
    "opens-unsafe",
    "unknown-danger",
    "opens-without-caution",
    "demand-no-caution",
    "unknown-option",
    "variant-changes-nothing",
]


def same_about(code: str, about: str, words: Words) -> str:
    """What two findings of a code must share to be about the same: names compare as names, the rest
    as written.
    """
    if code in OF_FACTS_AND_PARTS:
        return words.one(about)
    return fold(about) if code in OF_OTHER_NAMES else about


class Walk:
    """One walk through the steps with one combination; `found` maps code, step, key to rank, line
    and about.
    """

    def __init__(self, doc: dict[str, Any], words: Words, reached: list[dict[str, Any]]) -> None:
        self.doc, self.words, self.reached = doc, words, reached
        self.found: dict[tuple[str, str | None, str], tuple[tuple[int, ...], int, str]] = {}
        self.rank: tuple[int, ...] = ()
        head, one = doc["head"], words.one
        self.given = {one(name) for name, _ in head["given"]}
        self.made_somewhere = {
            one(v) for step in doc["steps"] for key, v, _ in step["fields"] if key == "makes"
        }
        self.fact: dict[str, str] = dict.fromkeys(self.given, "holds")
        self.last = {("part", one(name)): (line, name) for name, line in reversed(head["off"])}
        self.off = {one(name) for name, _ in head["off"]}
        named = {
            one(v) for step in doc["steps"] for key, v, _ in step["fields"] if key in PART_FIELDS
        }
        self.part = {
            name: "off" if name in self.off else "on"
            for name in [*named, *self.off, *[one(n) for n, _ in head["leaves off"]]]
        }
        self.moved: set[str] = set()
        self.done: list[str] = []

    def say(self, code: str, step: str | None, line: int, about: str) -> None:
        """Keep one finding per code, step and about: the first that this walk comes to."""
        self.found.setdefault(
            (code, step, same_about(code, about, self.words)),
            (self.rank if step else (line,), line, about),
        )

    def walk(self) -> None:
        """All steps of this combination, then the end."""
        for step in self.reached:
            for order, wanted in enumerate(WALK_ORDER):
                if wanted == "demands":
                    self.meet_demands(step, order)
                for place, (key, value, line) in enumerate(step["fields"]):
                    self.rank = (order, place)
                    if key == wanted:
                        getattr(self, "do_" + key.replace(" ", "_"))(step, value, line)
            self.done.append(step["id"])
        self.end()

    def do_after(self, step: dict[str, Any], value: str, line: int) -> None:
        exists = value in [other["id"] for other in self.doc["steps"]]
        applies = value in [other["id"] for other in self.reached]
        if not exists or value == step["id"] or (applies and value not in self.done):
            self.say("out-of-order", step["id"], line, value)

    def do_opens(self, step: dict[str, Any], value: str, line: int) -> None:
        if not any(signal in ["danger", "warning"] for signal, *_ in step["cautions"]):
            self.say("opens-without-caution", step["id"], line, value)
        if fold(value) not in self.words.safe:
            self.say("unknown-danger", step["id"], line, value)
            return
        fact = self.words.one(self.words.safe[fold(value)])
        if self.fact.get(fact) not in ["holds", "taken by opens"]:
            self.say("opens-unsafe", step["id"], line, value)
            self.fact[fact] = "taken by opens"

    def do_needs(self, step: dict[str, Any], value: str, line: int) -> None:
        fact = self.words.one(value)
        if fact not in self.fact:
            known = fact in self.given or fact in self.made_somewhere
            self.say("need-not-met" if known else "never-made", step["id"], line, value)
            self.fact[fact] = "taken by needs"

    def meet_demands(self, step: dict[str, Any], order: int) -> None:
        """Each demanded fact must hold, down the list; a missing one is taken as given, as for
        `needs`.
        """
        for place, demand, line in self.words.met_by(step):
            for name in as_list(demand.get("needs", [])):
                self.rank = (order, place)
                if self.words.one(name) not in self.fact:
                    self.say("demand-not-met", step["id"], line, name)
                    self.fact[self.words.one(name)] = "taken by needs"

    def do_ends(self, step: dict[str, Any], value: str, line: int) -> None:
        if self.fact.pop(self.words.one(value), None) is None:
            self.say("ends-nothing", step["id"], line, value)

    def do_makes(self, step: dict[str, Any], value: str, line: int) -> None:
        fact = self.words.one(value)
        if fact in self.words.temporary and self.fact.get(fact) == "holds":
            self.say("made-twice", step["id"], line, value)
        for rival in self.words.rivals(fact):
            self.fact.pop(rival, None)
        self.fact[fact] = "holds"
        self.last["fact", fact] = (line, value)

    def do_takes_off(self, step: dict[str, Any], value: str, line: int) -> None:
        self.move(step, value, line, {"off": "part-not-on", "scrapped": "part-not-on"}, "off")

    def do_scraps(self, step: dict[str, Any], value: str, line: int) -> None:
        self.move(step, value, line, {"scrapped": "part-not-on"}, "scrapped")

    def do_fits(self, step: dict[str, Any], value: str, line: int) -> None:
        self.move(
            step, value, line, {"on": "part-already-on", "scrapped": "part-was-scrapped"}, "on"
        )

    def do_fits_new(self, step: dict[str, Any], value: str, line: int) -> None:
        part = self.words.one(value)
        first = part in self.off and part not in self.moved
        self.move(
            step,
            value,
            line,
            {"on": "old-part-still-there"} | ({} if first else {"off": "old-part-still-there"}),
            "on",
        )

    def move(
        self, step: dict[str, Any], value: str, line: int, faults: dict[str, str], to: str
    ) -> None:
        part = self.words.one(value)
        if self.part[part] in faults:
            self.say(faults[self.part[part]], step["id"], line, value)
        self.part[part] = to
        self.moved.add(part)
        self.last["part", part] = (line, value)

    def end(self) -> None:
        head, one = self.doc["head"], self.words.one
        leaves, leaves_off = (
            {one(n) for n, _ in head["leaves"]},
            {one(n) for n, _ in head["leaves off"]},
        )
        for part, state in self.part.items():
            if state == "scrapped":
                self.say("part-not-replaced", None, *self.last["part", part])
            elif state == "off" and part not in leaves_off:
                self.say("part-left-off", None, *self.last["part", part])
        given = {one(name): (line, name) for name, line in reversed(head["given"])}
        for fact, state in self.fact.items():
            if state == "holds" and fact in self.words.temporary and fact not in leaves:
                self.say("guard-left", None, *(self.last.get(("fact", fact)) or given[fact]))
        for name, line in head["leaves"]:
            if one(name) not in self.fact:
                self.say("leaves-not-met", None, *self.last.get(("fact", one(name)), (line, name)))
        for name, line in head["leaves off"]:
            if self.part[one(name)] == "on":
                self.say("leaves-not-met", None, *self.last.get(("part", one(name)), (line, name)))
