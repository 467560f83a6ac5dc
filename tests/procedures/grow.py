"""Which write-ups and rules does a seed stand for? Good ones of a made-up shop, with faults planted
in them.

All names and numbers are invented for the tests: nothing here is a value for a real fork.
"""

from __future__ import annotations

import random
from typing import Any

from tests.procedures.grow_words import (
    BAD_BODY,
    BAD_LINES,
    CAUTIONS,
    FACTS,
    GOOD_BODY,
    GOOD_LINES,
    MORE_FACTS,
    NAMED,
    PARTS,
    SAME,
    SOURCES,
    STATES,
    STEMS,
    TEMPORARY,
    TOOLS,
    USED,
    VARIANTS,
)

Step = dict[str, Any]


def some(rng: random.Random, chance: float) -> bool:
    """Whether this happens."""
    return rng.random() < chance


def scrawl(rng: random.Random, name: str) -> str:
    """The name as a hurried hand writes it: now and then in other case or with wider gaps."""
    if some(rng, 0.1):
        name = rng.choice([name.upper(), name.title()])
    return name.replace(" ", "  ") if some(rng, 0.05) else name


def synonym(rng: random.Random, name: str) -> str:
    """Another name for the same, where the rules may have one."""
    groups = {
        "air let out": ["depressurised"],
        "lower legs": ["sliders", "lowers"],
        "bench clean": ["tidy bench"],
    }
    return rng.choice(groups[name]) if name in groups and some(rng, 0.25) else name


def grow_rules(rng: random.Random) -> str:
    """The shop's rules; now and then none of a kind."""
    lines = []
    if some(rng, 0.92):
        lines += [
            "safe:",
            *[
                f"  {scrawl(rng, source)}: {synonym(rng, fact)}"
                for source, fact in SOURCES.items()
                if some(rng, 0.9)
            ],
            "  valve: air let out",
        ]
    if some(rng, 0.92):
        lines.append(f"temporary: [{', '.join(scrawl(rng, name) for name in TEMPORARY)}]")
    if some(rng, 0.8):
        lines.append(f"same: [{', '.join('[' + ', '.join(names) + ']' for names in SAME)}]")
    if some(rng, 0.7):
        groups = rng.sample(STATES, rng.randint(1, len(STATES)))
        lines += [
            "states:",
            *[f"  - [{', '.join(scrawl(rng, fact) for fact in group)}]" for group in groups],
        ]
    if some(rng, 0.75):
        lines += [
            "demands:",
            *[line for _ in range(rng.randint(1, 6)) for line in grow_demand(rng)],
        ]
    return "\n".join(lines) + "\n"


def grow_demand(rng: random.Random) -> list[str]:
    """One demand of the rules, about one field or two, for facts, for a safety message or for
    both.
    """
    facts = [*FACTS[:3], *TEMPORARY, *MORE_FACTS, "air let out"]
    names = {"opens": [*SOURCES, "valve"], "uses": USED, "tool": TOOLS}
    names |= dict.fromkeys(["needs", "makes", "ends"], facts) | dict.fromkeys(
        ["takes off", "fits", "scraps", "fits new"], PARTS
    )
    when = []
    for field in rng.sample(sorted(names), rng.choice([1, 1, 1, 2])):
        some_names = [
            scrawl(rng, synonym(rng, name)) for name in rng.sample(names[field], rng.randint(1, 2))
        ]
        when.append(
            f"{field}: "
            f"{some_names[0] if len(some_names) == 1 else '[' + ', '.join(some_names) + ']'}"
        )
    lines = [f"  - when: {{{', '.join(when)}}}", "    because: a demo reason"]
    way = rng.choice(["needs", "needs", "caution", "both"])
    if way != "caution":
        needs = [
            scrawl(rng, synonym(rng, name)) for name in rng.sample(facts, rng.choice([1, 1, 2]))
        ]
        lines.append(f"    needs: {needs[0] if len(needs) == 1 else '[' + ', '.join(needs) + ']'}")
    if way != "needs":
        lines += [
            f"    caution: {rng.choice(['danger', 'warning', 'caution', 'notice'])}",
            f"    names: {rng.choice(NAMED)}",
        ]
    return lines


def grow_clause(rng: random.Random, variants: dict[str, list[str]]) -> str:
    """One or two clauses of `only if` over these variants."""
    clauses = []
    for variant in rng.sample(sorted(variants), min(len(variants), rng.choice([1, 1, 1, 2]))):
        options = rng.sample(variants[variant], rng.randint(1, max(1, len(variants[variant]) - 1)))
        clauses.append(
            f"{scrawl(rng, variant)} = {' | '.join(scrawl(rng, option) for option in options)}"
        )
    return "; ".join(clauses)


def new_step(title: str, fields: list[tuple[str, str]], only: str = "") -> Step:
    """A step with its fields, not yet written down."""
    return {
        "title": title,
        "id": title.lower().replace(" ", "-"),
        "fields": fields,
        "only": only,
        "lines": [],
        "body": [],
    }


def good_steps(rng: random.Random, variants: dict[str, list[str]], parts: list[str]) -> list[Step]:
    """Steps that hold together: air out, guard on, each part off and back or thrown away and
    renewed, guard off.
    """
    steps = [
        new_step("Let the air out", [("needs", "fork in the stand"), ("makes", "air let out")])
    ]
    if some(rng, 0.5):
        steps.append(
            new_step("Drain the oil", [("needs", "fork in the stand"), ("makes", "oil drained")])
        )
    guard = rng.choice(TEMPORARY)
    steps.append(new_step("Guard it", [("makes", guard)]))
    coming_back = []
    for number, part in enumerate(parts, 1):
        only = grow_clause(rng, variants) if variants and some(rng, 0.45) else ""
        way = rng.choice(["off and on", "scrap", "scrap off", "open"])
        needs = [("needs", "air let out")] if some(rng, 0.6) else []
        needs += [("opens", rng.choice(["air chamber", "valve"]))] if way == "open" else []
        after = [("after", "let-the-air-out")] if some(rng, 0.3) else []
        first = [("scraps", part)] if way == "scrap" else [("takes off", part)]
        steps.append(new_step(f"Remove part {number}", [*after, *needs, *first], only))
        if way == "scrap off":
            steps.append(new_step(f"Throw part {number} away", [("scraps", part)], only))
        last = ("fits new", part) if way.startswith("scrap") else ("fits", part)
        coming_back.insert(0, new_step(f"Bring part {number} back", [last], only))
    steps += coming_back
    steps.append(new_step("Free it", [("needs", guard), ("ends", guard)]))
    return steps


def random_field(rng: random.Random) -> tuple[str, str]:
    """A field with a name that may or may not fit here."""
    key = rng.choice(
        ["needs", "makes", "ends", "takes off", "fits", "scraps", "fits new", "opens", "after"]
    )
    names = {
        "opens": [*SOURCES, "valve", "gas bottle"],
        "after": ["let-the-air-out", "guard-it", "free-it", "bring-part-1-back", "no-such-step"],
    }
    names |= {"tool": TOOLS, "uses": USED}
    key = rng.choice(["tool", "uses"]) if some(rng, 0.1) else key
    facts = [
        *FACTS,
        *TEMPORARY,
        *MORE_FACTS,
        "air let out",
        "spring slack",
        "never heard of",
        "dust gone",
    ]
    return key, rng.choice(names.get(key, facts if key in ["needs", "makes", "ends"] else PARTS))


def wild_steps(rng: random.Random, variants: dict[str, list[str]]) -> list[Step]:
    """Steps that do anything to a few names, so that the walk comes through every state."""
    names = {
        "after": [f"step-{n}" for n in range(1, 10)],
        "opens": ["air chamber", "valve", "damper"],
    }
    facts = [
        "air let out",
        "oil drained",
        *rng.sample(TEMPORARY, 2),
        *rng.sample(MORE_FACTS, 3),
        "dust gone",
    ]
    names |= {"tool": TOOLS, "uses": USED}
    parts = rng.sample(PARTS, 2)
    names |= dict.fromkeys(["needs", "makes", "ends"], facts) | dict.fromkeys(
        ["takes off", "fits", "scraps", "fits new"], parts
    )
    steps = []
    for number in range(1, rng.randint(3, 9)):
        keys = rng.choices([*names], weights=[1, 2, 2, 2, 4, 4, 4, 3, 3, 3, 3], k=rng.randint(1, 4))
        only = grow_clause(rng, variants) if variants and some(rng, 0.5) else ""
        steps.append(
            new_step(f"Step {number}", [(key, rng.choice(names[key])) for key in keys], only)
        )
    return steps


def plant_in_steps(rng: random.Random, steps: list[Step], variants: dict[str, list[str]]) -> None:
    """One fault in the steps (it may turn out to be harmless)."""
    here = rng.randrange(len(steps))
    step = steps[here]
    fault = rng.choice(
        [
            "drop",
            "drop field",
            "swap",
            "double",
            "when",
            "field",
            "field",
            "field",
            "unknown",
            "bad line",
            "bad body",
            "late",
            "never",
            "same id",
            "no id",
            "self",
            "other move",
            "other move",
        ]
    )
    if fault == "drop" and len(steps) > 2:
        steps.pop(here)
    elif fault == "drop field" and step["fields"]:
        step["fields"].pop(rng.randrange(len(step["fields"])))
    elif fault == "swap":
        there = rng.randrange(len(steps))
        steps[here], steps[there] = steps[there], steps[here]
    elif fault == "double":
        steps.insert(
            rng.randint(here, len(steps)),
            {
                **step,
                "title": step["title"] + " again",
                "id": step["id"] + "-again",
                "fields": [*step["fields"]],
                "lines": [],
                "body": [*step["body"]],
            },
        )
    elif fault == "when" and variants:
        step["only"] = grow_clause(rng, variants)
    elif fault == "field":
        step["fields"].insert(rng.randint(0, len(step["fields"])), random_field(rng))
    elif fault == "unknown":
        clauses = [
            "tube = steel",
            "ring = bent",
            "ring = eyelet | bent",
            "bumper = yes",
            "tube = steel; bumper = fitted",
        ]
        step["only"] = "; ".join(filter(None, [step["only"], rng.choice(clauses)]))
    elif fault == "bad line":
        step["lines"].append(rng.choice(BAD_LINES))
    elif fault == "bad body":
        step["body"].append(rng.choice(BAD_BODY))
    elif fault == "late":
        step["body"] += [
            rng.choice(GOOD_BODY),
            rng.choice(CAUTIONS).format(rng.choice(["danger", "warning", "caution"]), "Late word"),
        ]
    elif fault == "never" and variants:
        first = sorted(variants)[0]
        step["only"] = f"{first} = {variants[first][0]}; {first} = {variants[first][-1]}"
    elif fault == "other move":
        moves = ["takes off", "fits", "scraps", "fits new"]
        step["fields"] = [
            (rng.choice(moves) if key in moves else key, name) for key, name in step["fields"]
        ]
    elif fault == "same id":
        step["id"] = rng.choice(steps)["id"]
    elif fault == "no id":
        step["id"] = ""
    elif fault == "self" and step["id"]:
        step["fields"].append(("after", step["id"]))


def write_step(rng: random.Random, step: Step) -> list[str]:
    """The lines of one step."""
    lines = [f"### {step['title']}" + (f" {{#{step['id']}}}" if step["id"] else "")]
    only = step["only"].split("; ") if some(rng, 0.3) else [step["only"]]
    fields = [f"only if: {clause}" for clause in only if clause]
    waiting: list[tuple[str, str]] = [
        (key, scrawl(rng, synonym(rng, name)) if key != "after" else name)
        for key, name in step["fields"]
    ]
    while waiting:
        key, name = waiting.pop(0)
        while waiting and waiting[0][0] == key and some(rng, 0.6):
            name += f"; {waiting.pop(0)[1]}"
        fields.append(f"{key}: {name}")
    fields += step["lines"] + ([rng.choice(GOOD_LINES)] if some(rng, 0.4) else [])
    rng.shuffle(fields)
    body = list(step["body"])
    if some(rng, 0.8 if any(key == "opens" for key, _ in step["fields"]) else 0.1):
        body.insert(
            0,
            rng.choice(CAUTIONS).format(
                rng.choice(["danger", "warning", "warning", "caution"]),
                rng.choice(["Air under pressure", "Sharp ring"]),
            ),
        )
    body += rng.sample(GOOD_BODY, rng.choice([0, 1, 1, 2]))
    return [*lines, *fields, "", *[line for block in body for line in [*block.split("\n"), ""]]]


def write_names(rng: random.Random, key: str, names: list[str]) -> list[str]:
    """A list of the header, in one of the shapes that YAML has for it."""
    if len(names) == 1 and some(rng, 0.5):
        return [f"{key}: {names[0]}"]
    if some(rng, 0.3) and names:
        return [f"{key}:", *[f"  - {name}" for name in names]]
    return [f"{key}: [{', '.join(names)}]"]


def grow_header(
    rng: random.Random, variants: dict[str, list[str]], lists: dict[str, list[str]], follows: str
) -> list[str]:
    """The lines of the header, some of them bad."""
    blocks = [["title: A demo write-up"]] if some(rng, 0.97) else []
    blocks += [["level: air-spring"], [rng.choice(["interval: 200 h", "interval: 365 d"])]]
    if variants:
        blocks.append(
            [
                "variants:",
                *[f"  {name}: [{', '.join(options)}]" for name, options in variants.items()],
            ]
        )
    for key, names in lists.items():
        if names:
            blocks.append(write_names(rng, key, [scrawl(rng, name) for name in names]))
    if follows:
        blocks.append([f"follows: {scrawl(rng, follows)}"])
    if some(rng, 0.1):
        blocks.append(
            [
                rng.choice(
                    [
                        "colour: red",
                        "given: {a: b}",
                        "title: [a, b]",
                        "tool: shock pump",
                        "level:\n  a: b",
                        "off: [[a], b]",
                        "follows: [a, b]",
                        "leaves:",
                        "variants: [ring, bumper]",
                        "variants: {ring: [eyelet, Eyelet], spare: {a: b}}",
                    ]
                )
            ]
        )
    if some(rng, 0.06):
        blocks.append(list(rng.choice(blocks)))
    rng.shuffle(blocks)
    return ["---", *[line for block in blocks for line in block], "---"]


def grow_write_up(rng: random.Random, stems: list[str]) -> str:
    """One write-up with none, one or a few faults."""
    variants = {
        name: VARIANTS[name]
        for name in rng.sample(sorted(VARIANTS), rng.choice([0, 1, 1, 2, 2, 3, 4]))
    }
    parts = rng.sample(PARTS, rng.randint(1, 4))
    steps = wild_steps(rng, variants) if some(rng, 0.3) else good_steps(rng, variants, parts)
    if some(rng, 0.7):
        variants = {
            name: options
            for name, options in variants.items()
            if any(name in step["only"].lower() for step in steps)
        }
    lists: dict[str, list[str]] = {
        "given": ["fork in the stand"],
        "leaves": ["air let out"] if some(rng, 0.5) else [],
        "off": [],
        "leaves off": [],
        "never": [],
    }
    if len(variants) > 1 and some(rng, 0.3):
        first, second = list(variants)[:2]
        lists["never"].append(f"{first} = {variants[first][0]}; {second} = {variants[second][-1]}")
    follows = rng.choice(stems) if some(rng, 0.2) else ""
    for _ in range(rng.choice([0, 1, 1, 2, 3, 5])):
        if some(rng, 0.75):
            plant_in_steps(rng, steps, variants)
            continue
        key = rng.choice(["given", "leaves", "off", "leaves off", "never", "follows"])
        if key == "follows":
            follows = rng.choice([*STEMS, "no such write-up"])
        elif key == "never":
            lists[key].append(
                rng.choice(
                    [
                        "tube = steel",
                        "ring = bent",
                        "ring = eyelet",
                        "bumper = fitted | none",
                        "off = 32; ring = prong",
                    ]
                )
            )
        elif key in ["given", "leaves"]:
            lists[key].extend(
                rng.sample([*FACTS, *TEMPORARY, *MORE_FACTS, "air let out"], rng.choice([1, 2]))
            )
        else:
            lists[key].append(rng.choice(PARTS))
    lines = grow_header(rng, variants, lists, follows)
    lines += ["Free text: what this is for.", ""]
    for number, step in enumerate(steps):
        if number % 4 == 0:
            lines += [f"## Phase {number // 4 + 1}", ""]
        lines += write_step(rng, step)
    return "\n".join(lines)


def grow(seed: int) -> tuple[dict[str, str], str]:
    """The write-ups of a seed by file name, and the text of the shop's rules."""
    rng = random.Random(seed)
    stems = rng.sample(STEMS, rng.choice([1, 1, 1, 2, 3]))
    return {f"{stem}.md": grow_write_up(rng, stems) for stem in stems}, grow_rules(rng)
