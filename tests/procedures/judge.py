"""Which findings does the write-up language ask for, worked out the slow way: every combination walked by itself?

A second reading of the language's document that shares no code with the product. It is naive on purpose: at most four
variants of three options. `python -m tests.procedures.judge 1 2000` compares it with the command over those seeds.
"""

from __future__ import annotations

import itertools
import json
import os
import sys
import tempfile
from io import StringIO
from pathlib import Path
from typing import Any

import django
from django.core.management import CommandError, call_command

from tests.procedures.grow import grow
from tests.procedures.judge_reader import PART_FIELDS, Words, fold, read_write_up

WALK_ORDER = ["after", "opens", "needs", "takes off", "scraps", "fits", "fits new", "ends", "makes"]
OF_FACTS_AND_PARTS = ["need-not-met", "never-made", "guard-left", "made-twice", "ends-nothing", "leaves-not-met", "follows-not-met",
                      "part-not-on", "part-already-on", "part-was-scrapped", "old-part-still-there", "part-left-off", "part-not-replaced"]  # fmt: skip
OF_OTHER_NAMES = ["opens-unsafe", "unknown-danger", "opens-without-caution", "unknown-option", "variant-changes-nothing"]


def same_about(code: str, about: str, words: Words) -> str:
    """What two findings of a code must share to be about the same: names compare as names, the rest as written."""
    if code in OF_FACTS_AND_PARTS:
        return words.one(about)
    return fold(about) if code in OF_OTHER_NAMES else about


class Walk:
    """One walk through the steps with one combination; `found` maps code, step, key to line and about."""

    def __init__(self, doc: dict[str, Any], words: Words, reached: list[dict[str, Any]]) -> None:
        self.doc, self.words, self.reached = doc, words, reached
        self.found: dict[tuple[str, str | None, str], tuple[int, str]] = {}
        head, one = doc["head"], words.one
        self.given = {one(name) for name, _ in head["given"]}
        self.made_somewhere = {one(v) for step in doc["steps"] for key, v, _ in step["fields"] if key == "makes"}
        self.fact: dict[str, str] = dict.fromkeys(self.given, "holds")
        self.last = {("part", one(name)): (line, name) for name, line in reversed(head["off"])}
        self.off = {one(name) for name, _ in head["off"]}
        named = {one(v) for step in doc["steps"] for key, v, _ in step["fields"] if key in PART_FIELDS}
        self.part = {name: "off" if name in self.off else "on" for name in [*named, *self.off, *[one(n) for n, _ in head["leaves off"]]]}
        self.moved: set[str] = set()
        self.done: list[str] = []

    def say(self, code: str, step: str | None, line: int, about: str) -> None:
        """Keep one finding per code, step and about: the first that this walk comes to."""
        self.found.setdefault((code, step, same_about(code, about, self.words)), (line, about))

    def walk(self) -> None:
        """All steps of this combination, then the end."""
        for step in self.reached:
            for wanted in WALK_ORDER:
                for key, value, line in step["fields"]:
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

    def do_ends(self, step: dict[str, Any], value: str, line: int) -> None:
        if self.fact.pop(self.words.one(value), None) is None:
            self.say("ends-nothing", step["id"], line, value)

    def do_makes(self, step: dict[str, Any], value: str, line: int) -> None:
        fact = self.words.one(value)
        if fact in self.words.temporary and self.fact.get(fact) == "holds":
            self.say("made-twice", step["id"], line, value)
        self.fact[fact] = "holds"
        self.last["fact", fact] = (line, value)

    def do_takes_off(self, step: dict[str, Any], value: str, line: int) -> None:
        self.move(step, value, line, {"off": "part-not-on", "scrapped": "part-not-on"}, "off")

    def do_scraps(self, step: dict[str, Any], value: str, line: int) -> None:
        self.move(step, value, line, {"scrapped": "part-not-on"}, "scrapped")

    def do_fits(self, step: dict[str, Any], value: str, line: int) -> None:
        self.move(step, value, line, {"on": "part-already-on", "scrapped": "part-was-scrapped"}, "on")

    def do_fits_new(self, step: dict[str, Any], value: str, line: int) -> None:
        part = self.words.one(value)
        first = part in self.off and part not in self.moved
        self.move(step, value, line, {"on": "old-part-still-there"} | ({} if first else {"off": "old-part-still-there"}), "on")

    def move(self, step: dict[str, Any], value: str, line: int, faults: dict[str, str], to: str) -> None:
        part = self.words.one(value)
        if self.part[part] in faults:
            self.say(faults[self.part[part]], step["id"], line, value)
        self.part[part] = to
        self.moved.add(part)
        self.last["part", part] = (line, value)

    def end(self) -> None:
        head, one = self.doc["head"], self.words.one
        leaves, leaves_off = {one(n) for n, _ in head["leaves"]}, {one(n) for n, _ in head["leaves off"]}
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


# ---- all combinations


def holds(clauses: list[tuple[str, list[str]]], combination: dict[str, str]) -> bool:
    """Whether every clause names this combination's option."""
    return all(combination.get(fold(variant)) in [fold(option) for option in options] for variant, options in clauses)


def unknown_options(clauses: list[tuple[str, list[str]]], variants: dict[str, list[str]]) -> list[str]:
    """What the clauses name that the header does not have."""
    wrong = []
    for variant, options in clauses:
        if fold(variant) not in variants:
            wrong.append(variant)
        else:
            wrong += [option for option in options if fold(option) not in variants[fold(variant)]]
    return wrong


def follows_findings(doc: dict[str, Any], others: dict[str, dict[str, Any]], words: Words) -> list[tuple[str, str, int]]:
    """What does not fit between this write-up and the one that it follows."""
    out: list[tuple[str, str, int]] = []
    for name, line in doc["head"]["follows"]:
        before = next((other for stem, other in others.items() if fold(stem) == fold(name)), None)
        if before is None:
            out.append(("follows-not-met", name, line))
            continue
        left, left_off = ([words.one(n) for n, _ in before["head"][key]] for key in ("leaves", "leaves off"))
        off = [words.one(n) for n, _ in doc["head"]["off"]]
        out += [("follows-not-met", n, line) for n, _ in doc["head"]["given"] if words.one(n) not in left]
        out += [("follows-not-met", n, line) for n, _ in doc["head"]["off"] if words.one(n) not in left_off]
        out += [("follows-not-met", n, line) for n, _ in before["head"]["leaves off"] if words.one(n) not in off]
    return out


def smallest(doc: dict[str, Any], combinations: list[dict[str, str]], shown: list[int]) -> dict[str, str]:
    """The smallest set of options all of whose combinations show the finding, by trying all sets in order of size."""
    options = [(variant, option) for variant, names, _ in doc["head"]["variants"] for option in names]
    for size in range(len(doc["head"]["variants"]) + 1):
        for some in itertools.combinations(options, size):
            if len({variant for variant, _ in some}) < size:
                continue
            agree = [n for n, c in enumerate(combinations) if all(c[fold(v)] == fold(o) for v, o in some)]
            if (agree or not combinations) and set(agree) <= set(shown):
                return dict(some)
    return {}


def judge_one(name: str, doc: dict[str, Any], others: dict[str, dict[str, Any]], words: Words) -> list[dict[str, Any]]:
    """The findings of one write-up."""
    head, steps = doc["head"], doc["steps"]
    variants = {fold(variant): [fold(o) for o in options] for variant, options, _ in head["variants"]}
    combinations = [dict(zip(variants, row, strict=True)) for row in itertools.product(*variants.values())]
    combinations = [c for c in combinations if not any(holds(clauses, c) for clauses, _ in head["never"])]
    everywhere = list(range(len(combinations)))
    rows: dict[tuple[str, str | None, str], dict[str, Any]] = {}

    def add(code: str, step: str | None, about: str, line: int, shown: list[int]) -> None:
        key = (code, step, same_about(code, about, words))
        row = rows.setdefault(key, {"line": line, "about": about, "shown": set()})
        row["shown"] |= set(shown)
        place = doc["lines"][line - 1].find  # two in one line: the one further left
        if line < row["line"] or (line == row["line"] and place(about) < place(row["about"])):
            row["line"], row["about"] = line, about

    for code, about, line in [*doc["out"], *follows_findings(doc, others, words)]:
        add(code, None, about, line, everywhere)
    for clauses, line in head["never"]:
        for about in unknown_options(clauses, variants):
            add("unknown-option", None, about, line, everywhere)
    named = {fold(variant) for step in steps for variant, _, _ in step["only"]}
    for variant, _, line in head["variants"]:
        if fold(variant) not in named:
            add("variant-changes-nothing", None, variant, line, everywhere)
    reach = [[n for n, c in enumerate(combinations) if holds([(v, o) for v, o, _ in step["only"]], c)] for step in steps]
    for step, shown in zip(steps, reach, strict=True):
        late = [("caution-after-action", title, at) for signal, title, at, after in step["cautions"] if after and signal in ["danger", "warning"]]
        step["text"] += late if shown else []
        wrong = [(about, line) for v, o, line in step["only"] for about in unknown_options([(v, o)], variants)]
        for code, about, line in [*step["text"], *[("unknown-option", about, line) for about, line in wrong]]:
            add(code, step["id"], about, line, shown or everywhere)
        if not shown and not wrong:
            add("step-never-applies", step["id"], step["id"], min([line for _, _, line in step["only"]], default=step["line"]), everywhere)
    lacking: dict[str, list[tuple[int, int, str, str]]] = {}
    for n in everywhere:
        walk = Walk(doc, words, [step for step, shown in zip(steps, reach, strict=True) if n in shown])
        walk.walk()
        for (code, at, key), (line, about) in walk.found.items():
            if code == "never-made":
                lacking.setdefault(key, []).append((line, n, str(at), about))
            else:
                add(code, at, about, line, [n])
    for places in lacking.values():
        line, _, at, about = min(places)
        add("never-made", at, about, line, [n for _, n, _, _ in places])
    return [
        {
            "file": name, "code": code, "level": "advice" if code == "variant-changes-nothing" else "error", "step": at,
            "about": row["about"], "line": row["line"], "variant": smallest(doc, combinations, sorted(row["shown"])),
        }
        for (code, at, _), row in rows.items()
    ]  # fmt: skip


def judge(files: dict[str, str], rules_text: str) -> list[dict[str, Any]]:
    """The findings of these write-ups (text by file name), sorted by file, line, code and about; without their messages."""
    words = Words(rules_text)
    docs = {name: read_write_up(text) for name, text in files.items()}
    stems = {name.removesuffix(".md"): doc for name, doc in docs.items()}
    found = [row for name, doc in docs.items() for row in judge_one(name, doc, stems, words)]
    return sorted(found, key=lambda row: (row["file"], row["line"], row["code"], row["about"]))


# ---- beside the command


def ask_command(files: dict[str, str], rules_text: str, folder: Path) -> tuple[list[dict[str, Any]], int]:
    """What the command says about these files, in the judge's shape, and its exit code."""
    paths = []
    for name, text in {**files, "rules.yaml": rules_text}.items():
        (folder / name).write_text(text, encoding="utf-8")
        paths.append(str(folder / name))
    said, code = StringIO(), 0
    try:
        call_command("rehearse", *paths[:-1], rules=paths[-1], format="json", stdout=said, stderr=StringIO())
    except SystemExit as stop:
        code = int(stop.code or 0)
    except CommandError as error:
        code = error.returncode
    rows = json.loads(said.getvalue())
    return [{key: Path(value).name if key == "file" else value for key, value in row.items() if key != "message"} for row in rows], code


def differences(files: dict[str, str], rules_text: str, folder: Path) -> list[str]:
    """Where the judge and the command differ about these files, one line each."""
    ours = judge(files, rules_text)
    theirs, code = ask_command(files, rules_text, folder)
    out = [f"only the judge: {row}" for row in ours if row not in theirs] + [f"only the command: {row}" for row in theirs if row not in ours]
    if not out and ours != theirs:
        out.append("the same findings in another order")
    should = 1 if any(row["level"] == "error" for row in ours) else 0
    return out if out or code == should else [f"exit {code}, not {should}"]


def main(first: int, last: int, most: int = 10) -> None:
    """Print the first seeds about which the two differ."""
    differing = 0
    for seed in range(first, last + 1):
        with tempfile.TemporaryDirectory() as folder:
            lines = differences(*grow(seed), Path(folder))
        differing += bool(lines)
        if lines and differing <= most:
            print(f"seed {seed}", *lines, sep="\n  ")
    print(f"{differing} of {last + 1 - first} seeds differ")


if __name__ == "__main__":
    os.environ.setdefault("DJANGO_SETTINGS_MODULE", "training.site.settings")
    django.setup()
    main(int(sys.argv[1]), int(sys.argv[2]))
