"""Which findings does the write-up language ask for, worked out the slow way: every combination
walked by itself?

A second reading of the language's document that shares no code with the product. It is naive on
purpose: at most four variants of three options. `python -m tests.procedures.judge 1 2000` compares
it with the command over those seeds.
"""

from __future__ import annotations

import itertools
import json
import os
import sys
import tempfile
from functools import cache
from io import StringIO
from pathlib import Path
from typing import Any

import django
from django.core.management import CommandError, call_command

from tests.procedures.grow import grow
from tests.procedures.judge_reader import Words, fold, read_write_up, says
from tests.procedures.judge_walk import Walk, same_about


def holds(clauses: list[tuple[str, list[str]]], combination: dict[str, str]) -> bool:
    """Whether every clause names this combination's option."""
    return all(
        combination.get(fold(variant)) in [fold(option) for option in options]
        for variant, options in clauses
    )


def unknown_options(
    clauses: list[tuple[str, list[str]]], variants: dict[str, list[str]]
) -> list[str]:
    """What the clauses name that the header does not have."""
    wrong = []
    for variant, options in clauses:
        if fold(variant) not in variants:
            wrong.append(variant)
        else:
            wrong += [option for option in options if fold(option) not in variants[fold(variant)]]
    return wrong


def follows_findings(
    doc: dict[str, Any], others: dict[str, dict[str, Any]], words: Words
) -> list[tuple[str, str, int]]:
    """What does not fit between this write-up and the one that it follows."""
    out: list[tuple[str, str, int]] = []
    for name, line in doc["head"]["follows"]:
        before = next((other for stem, other in others.items() if fold(stem) == fold(name)), None)
        if before is None:
            return [("follows-not-met", name, line)]
        left, left_off = (
            [words.one(n) for n, _ in before["head"][key]] for key in ("leaves", "leaves off")
        )
        off = [words.one(n) for n, _ in doc["head"]["off"]]
        wrong = [n for n, _ in doc["head"]["given"] if words.one(n) not in left]
        wrong += [n for n, _ in doc["head"]["off"] if words.one(n) not in left_off]
        out = [
            ("follows-not-met", n, line)
            for n in wrong + [n for n, _ in before["head"]["leaves off"] if words.one(n) not in off]
        ]
    return out


def smallest(
    doc: dict[str, Any], combinations: list[dict[str, str]], shown: list[int]
) -> dict[str, str]:
    """The smallest set of options all of whose combinations show the finding, by trying all sets in
    order of size.
    """
    options = [
        (variant, option) for variant, names, _ in doc["head"]["variants"] for option in names
    ]
    for size in range(len(doc["head"]["variants"]) + 1):
        for some in itertools.combinations(options, size):
            if len({variant for variant, _ in some}) < size:
                continue
            agree = [
                n for n, c in enumerate(combinations) if all(c[fold(v)] == fold(o) for v, o in some)
            ]
            if (agree or not combinations) and set(agree) <= set(shown):
                return dict(some)
    return {}


GRAVEST_FIRST = ["danger", "warning", "caution", "notice"]


def given_together(doc: dict[str, Any], words: Words) -> list[tuple[str, int]]:
    """The facts given beside another one of their group, as written, with their lines; the rest
    goes on without them.
    """
    wrong: list[tuple[str, int]] = []
    kept: list[tuple[str, int]] = []
    told: set[str] = set()
    for name, line in doc["head"]["given"]:
        fact = words.one(name)
        if words.rivals(fact) & {words.one(other) for other, _ in kept}:
            wrong += [] if fact in told else [(name, line)]
            told.add(fact)
        else:
            kept.append((name, line))
    doc["head"]["given"] = kept
    return wrong


def unsaid(step: dict[str, Any], words: Words) -> list[tuple[str, int, int]]:
    """What the step's safety messages do not say though a demand asks for it: its words, the line,
    the demand's place.
    """
    out = []
    for place, demand, line in words.met_by(step):
        if "names" not in demand:
            continue
        grave = GRAVEST_FIRST[: GRAVEST_FIRST.index(demand["caution"]) + 1]
        texts = [
            text
            for signal, title, _, _, hazard in step["cautions"]
            if signal in grave
            for text in (title, hazard)
        ]
        if not any(says(text, demand["names"]) for text in texts):
            out.append((demand["names"], line, place))
    return out


def judge_one(
    name: str, doc: dict[str, Any], others: dict[str, dict[str, Any]], words: Words
) -> list[dict[str, Any]]:
    """The findings of one write-up."""
    head, steps = doc["head"], doc["steps"]
    variants = {
        fold(variant): [fold(o) for o in options] for variant, options, _ in head["variants"]
    }
    combinations = [
        dict(zip(variants, row, strict=True)) for row in itertools.product(*variants.values())
    ]
    combinations = [
        c for c in combinations if not any(holds(clauses, c) for clauses, _ in head["never"])
    ]
    everywhere = list(range(len(combinations)))
    rows: dict[tuple[str, str | None, str], dict[str, Any]] = {}

    def add(
        code: str,
        step: str | None,
        about: str,
        line: int,
        shown: list[int],
        rank: tuple[int, ...] = (),
    ) -> None:
        key = (code, step, same_about(code, about, words))
        row = rows.setdefault(
            key, {"rank": rank or (line,), "line": line, "about": about, "shown": set()}
        )
        row["shown"] |= set(shown)
        if (rank or (line,)) < row["rank"]:
            row |= {"rank": rank or (line,), "line": line, "about": about}

    together = [("bad-header", name, line) for name, line in given_together(doc, words)]
    for code, about, line in [*doc["out"], *together, *follows_findings(doc, others, words)]:
        add(code, None, about, line, everywhere)
    for clauses, line in head["never"]:
        for about in unknown_options(clauses, variants):
            add("unknown-option", None, about, line, everywhere)
    named = {fold(variant) for step in steps for variant, _, _ in step["only"]}
    for variant, _, line in head["variants"]:
        if fold(variant) not in named:
            add("variant-changes-nothing", None, variant, line, everywhere)
    reach = [
        [n for n, c in enumerate(combinations) if holds([(v, o) for v, o, _ in step["only"]], c)]
        for step in steps
    ]
    for step, shown in zip(steps, reach, strict=True):
        late = [
            ("caution-after-action", title, at)
            for signal, title, at, after, _ in step["cautions"]
            if after and signal in ["danger", "warning"]
        ]
        step["text"] += late if shown else []
        wrong = [
            (about, line)
            for v, o, line in step["only"]
            for about in unknown_options([(v, o)], variants)
        ]
        for code, about, line in [
            *step["text"],
            *[("unknown-option", about, line) for about, line in wrong],
        ]:
            add(code, step["id"], about, line, shown or everywhere)
        for about, line, place in unsaid(step, words) if shown else []:
            add("demand-no-caution", step["id"], about, line, shown, (place,))
        if not shown and not wrong:
            add(
                "step-never-applies",
                step["id"],
                step["id"],
                min([line for _, _, line in step["only"]], default=step["line"]),
                everywhere,
            )
    lacking: dict[str, list[tuple[int, tuple[int, ...], int, str, str]]] = {}
    for n in everywhere:
        walk = Walk(
            doc, words, [step for step, shown in zip(steps, reach, strict=True) if n in shown]
        )
        walk.walk()
        for (code, at, key), (rank, line, about) in walk.found.items():
            if code == "never-made":
                lacking.setdefault(key, []).append((line, rank, n, str(at), about))
            else:
                add(code, at, about, line, [n], rank)
    for places in lacking.values():
        line, _, _, at, about = min(places)
        add("never-made", at, about, line, [n for _, _, n, _, _ in places])
    return [
        {
            "file": name,
            "code": code,
            "level": "advice" if code == "variant-changes-nothing" else "error",
            "step": at,
            "about": row["about"],
            "line": row["line"],
            "variant": smallest(doc, combinations, sorted(row["shown"])),
        }
        for (code, at, _), row in rows.items()
    ]


def judge(files: dict[str, str], rules_text: str, only: str | None = None) -> list[dict[str, Any]]:
    """The findings of these write-ups (text by file name), or of one of them among the others, by
    file, line, code and about, without their messages.
    """
    words = _words(rules_text)
    asked = [only] if only else list(files)
    # what is judged is marked on the way; the others are only looked up
    docs = {
        name: read_write_up(text) if name in asked else _looked_up(text)
        for name, text in files.items()
    }
    stems = {Path(name).stem: doc for name, doc in docs.items()}
    found = [row for name in asked for row in judge_one(name, docs[name], stems, words)]
    return sorted(found, key=lambda row: (row["file"], row["line"], row["code"], row["about"]))


_words, _looked_up = cache(Words), cache(read_write_up)


# ---- beside the command


def ask_command(
    files: dict[str, str], rules_text: str, folder: Path
) -> tuple[list[dict[str, Any]], int]:
    """What the command says about these files, in the judge's shape, and its exit code."""
    paths = []
    for name, text in {**files, "rules.yaml": rules_text}.items():
        (folder / name).write_text(text, encoding="utf-8")
        paths.append(str(folder / name))
    said, code = StringIO(), 0
    try:
        call_command(
            "rehearse", *paths[:-1], rules=paths[-1], format="json", stdout=said, stderr=StringIO()
        )
    except SystemExit as stop:
        code = int(stop.code or 0)
    except CommandError as error:
        code = error.returncode
    rows = json.loads(said.getvalue())
    return [
        {
            key: Path(value).name if key == "file" else value
            for key, value in row.items()
            if key != "message"
        }
        for row in rows
    ], code


def differences(files: dict[str, str], rules_text: str, folder: Path) -> list[str]:
    """Where the judge and the command differ about these files, one line each."""
    ours = judge(files, rules_text)
    theirs, code = ask_command(files, rules_text, folder)
    out = [f"only the judge: {row}" for row in ours if row not in theirs] + [
        f"only the command: {row}" for row in theirs if row not in ours
    ]
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
