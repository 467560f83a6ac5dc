"""What does the text of a write-up say, line by line? The judge's own reader, from the language's
document.
"""

from __future__ import annotations

import itertools
import re
from collections.abc import Callable
from functools import cache
from typing import Any

import yaml

NUMBER = r"[\-−]?\d+(?:[.,]\d+)?"
KINDS = {
    "torque": ["N·m", "Nm", "in·lbf", "ft·lbf", "kgf·cm"],
    "pressure": ["bar", "psi", "kPa", "MPa"],
    "volume": ["mL", "L", "cm³"],
    "length": ["mm", "cm", "m", "in"],
    "mass": ["g", "kg"],
    "time": ["s", "min", "h", "d"],
    "temperature": ["°C", "°F", "K"],
    "other": ["%", "turns", "clicks", "times"],
}
PART_FIELDS = ["takes off", "scraps", "fits", "fits new"]
FACT_FIELDS = ["needs", "ends", "makes"]
STEP_KEYS = [
    "critical",
    "only if",
    "opens",
    *FACT_FIELDS,
    *PART_FIELDS,
    "uses",
    "tool",
    "torque",
    "measure",
    "check",
    "after",
    "hold",
]
NAME_LISTS = ["given", "leaves", "off", "leaves off", "never"]
HEADER_KEYS = ["released", "asks", "title", "level", "interval", "variants", "follows", *NAME_LISTS]


@cache
def fold(name: str) -> str:
    """How names compare: lower case, each run of white space as one space."""
    return " ".join(name.lower().split())


@cache
def amount_pattern(*kinds: str) -> str:
    """How an amount of one of these kinds is written, as a pattern; a range is checked apart."""
    plain, unit = (
        NUMBER.replace(r"[\-−]?", ""),
        "|".join(re.escape(u) for kind in kinds for u in KINDS[kind]),
    )
    forms = [
        rf"{NUMBER}\s*(?:{unit})(?:\s*±\s*{plain}\s*%)?",
        rf"{NUMBER}\s*±\s*{plain}(?:\s*%)?\s*(?:{unit})",
        rf"{NUMBER}\s*\.\.\s*{NUMBER}\s*(?:{unit})",
    ]
    return "|".join(f"(?:{form})" for form in forms)


def amount_is_good(text: str, kinds: list[str]) -> bool:
    """Whether the text is an amount of one of these kinds whose range runs forwards."""
    if not re.fullmatch(amount_pattern(*kinds), text):
        return False
    ends = (
        [float(n.replace(",", ".").replace("−", "-")) for n in re.findall(NUMBER, text)]
        if ".." in text
        else [0.0]
    )
    return ends == sorted(ends)


def field_amount_is_good(key: str, value: str) -> bool:
    """Whether a value of `uses`, `torque` or `measure` holds the amount it must or may have, and
    its name none.
    """
    kinds = ["torque"] if key == "torque" else list(KINDS)
    starts = [at.start() for at in re.finditer(r"(?<!\S)\S", value)]
    start = next((at for at in starts if amount_is_good(value[at:], kinds)), None)
    if start is None:
        return key == "uses" and not re.search(
            rf"(?<!\S){NUMBER}(?:\s*\S*|\s*(?:±|\.\.).*)$", value
        )
    name = value[:start]
    half = re.search(rf"±|\.\.|(?<!\S)(?:{amount_pattern(*KINDS)})(?!\S)", name)
    return not half and bool(name or key != "uses")


def name_used(value: str) -> str:
    """The name in a value of `uses`, without its amount."""
    starts = [at.start() for at in re.finditer(r"(?<!\S)\S", value)]
    return value[
        : next((at for at in starts if amount_is_good(value[at:], list(KINDS))), len(value))
    ]


def read_clauses(text: str) -> tuple[list[tuple[str, list[str]]], list[str]]:
    """`ring = eyelet | prong; bumper = fitted` as variants with options, and the pieces of another
    shape.
    """
    clauses, wrong = [], []
    for piece in text.split(";"):
        variant, equals, options = piece.partition("=")
        names = [option.strip() for option in options.split("|")]
        if not equals or not variant.strip() or not all(names):
            wrong.append(piece.strip())
        else:
            clauses.append((variant.strip(), names))
    return clauses, wrong


def read_names(node: yaml.Node) -> list[tuple[str, int]] | None:
    """A list of names, or one name, with the line of each; None for another shape."""
    items = node.value if isinstance(node, yaml.SequenceNode) else [node]
    if not all(isinstance(item, yaml.ScalarNode) and item.value.strip() for item in items):
        return None
    return [(item.value, item.start_mark.line + 2) for item in items]


def read_variants(
    node: yaml.Node, out: list[tuple[str, str, int]]
) -> list[tuple[str, list[str], int]] | None:
    """The variants with options and lines; None for another shape; to `out` what is wrong with
    one.
    """
    if not isinstance(node, yaml.MappingNode) or not node.value:
        return None
    variants: list[tuple[str, list[str], int]] = []
    for key, value in node.value:
        options, line = read_names(value), key.start_mark.line + 2
        names = [
            name
            for n, (name, _) in enumerate(options or [])
            if fold(name) not in [fold(other) for other, _ in (options or [])[:n]]
        ]
        twice = fold(key.value) in [fold(name) for name, _, _ in variants]
        if not options or twice or len(names) < len(options):
            out.append(("bad-header", key.value, line))
        if options and not twice:
            variants.append((key.value, names, line))
    return variants


def read_header(text: str, out: list[tuple[str, str, int]]) -> dict[str, Any]:
    """The header's values by key; what can't be read goes to `out` as code, about and line."""
    head: dict[str, Any] = {key: [] for key in [*NAME_LISTS, "variants", "follows"]}
    try:
        root = yaml.compose(text, Loader=yaml.BaseLoader)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        out.append(("bad-header", "---", mark.line + 2 if mark else 1))
        return head
    if root is not None and not isinstance(root, yaml.MappingNode):
        out.append(("bad-header", "---", root.start_mark.line + 2))
        return head
    seen = []
    for key_node, node in root.value if root else []:
        key, line = key_node.value, key_node.start_mark.line + 2
        value: Any
        if key in seen:  # one fault, one finding: the second one is not read at all
            out.append(("bad-header", str(key), line))
            continue
        if key in NAME_LISTS:
            value = read_names(node)
        elif key == "variants":
            value = None if key in seen else read_variants(node, out)
        else:
            value = (
                [(node.value, line)]
                if isinstance(node, yaml.ScalarNode) and node.value.strip()
                else None
            )
        if key not in HEADER_KEYS or value is None:
            out.append(("bad-header", str(key), line))
        else:
            head[key] = value
        seen.append(key)
    if "title" not in seen:
        out.append(("bad-header", "title", 1))
    never = [(*read_clauses(written), written, line) for written, line in head["never"]]
    head["never"] = [(clauses, line) for clauses, wrong, _, line in never if not wrong]
    out.extend(("bad-header", written, line) for _, wrong, written, line in never if wrong)
    return head


def new_id(title: str, taken: list[str]) -> str:
    """The id that a title gives."""
    plain = re.sub(r"[^a-z0-9]+", "-", title.lower()).strip("-")
    return next(
        name
        for name in itertools.chain([plain], (f"{plain}-{n}" for n in itertools.count(2)))
        if name not in taken
    )


def read_field(step: dict[str, Any], line: str, number: int) -> None:
    """One line of the block of fields under a step's heading."""
    key, colon, rest = line.partition(":")
    key = key.strip()
    values = [value.strip() for value in ([rest] if key == "critical" else rest.split(";"))]
    if not colon or key not in STEP_KEYS or not all(values):
        step["text"].append(("bad-field", key if colon else line.strip(), number))
    if not colon or key not in STEP_KEYS:
        return
    for value in filter(None, values):
        if key == "only if":
            clauses, wrong = read_clauses(value)
            step["only"].extend((variant, options, number) for variant, options in clauses)
            step["text"].extend(("bad-field", piece, number) for piece in wrong)
        elif key == "hold" and value != "yes":
            step["text"].append(("bad-field", value, number))
        elif key in ["uses", "torque", "measure"] and not field_amount_is_good(key, value):
            step["text"].append(("bad-amount", value, number))
        else:
            step["fields"].append((key, value, number))


def read_running_line(step: dict[str, Any], line: str, number: int, starts: bool) -> None:
    """One line of a step's Markdown that stands outside of code."""
    caution = re.match(r'!!!\s+(danger|warning|caution|notice)(?:\s+"(.*)")?\s*$', line)
    key = line.partition(":")[0].strip()
    if caution:
        step["cautions"].append(
            [
                caution.group(1),
                caution.group(2) or caution.group(1).upper(),
                number,
                step["running"],
                "",
            ]
        )
        step["caution open"], step["in hazard"] = True, False
    elif step["caution open"] and re.match(r"    |\t", line):
        part = re.match(r"(hazard|harm|avoid):(.*)", line.strip())
        step["in hazard"] = part.group(1) == "hazard" if part else step["in hazard"] and not starts
        if step["in hazard"]:
            step["cautions"][-1][4] += " " + (part.group(2) if part else line)
    elif starts and ":" in line and key in STEP_KEYS:
        step["text"].append(("bad-field", key, number))
        step["caution open"] = False
    else:
        step["caution open"] = False
        step["running"] = step["running"] or not re.match(
            r"\s*(\||#|(!\[[^\]]*\]\([^)]*\)\s*)+$)", line
        )


def read_write_up(text: str) -> dict[str, Any]:
    """The header, the steps and what can't be read."""
    lines = text.split("\n")
    out: list[tuple[str, str, int]] = []
    close = next((n for n, line in enumerate(lines) if n and line.rstrip() == "---"), None)
    if lines[0].rstrip() != "---":
        close = 0
    elif close is None:
        out.append(("bad-header", "---", 1))
        close = 0
    head = read_header(
        "\n".join(lines[1:close]), out if close or lines[0].rstrip() != "---" else []
    )
    steps: list[dict[str, Any]] = []
    taken = re.findall(r"(?m)^###(?!#).*\{#([a-z0-9-]+)\}\s*$", text)
    fence, in_fields, starts = "", False, True
    step: dict[str, Any] | None = None
    for number, line in enumerate(lines[close + 1 if close else 0 :], close + 2 if close else 1):
        mark = re.match(r" {0,3}(`{3,}|~{3,})", line)
        if step and (fence or mark):
            step["running"] = True  # "what stands in a code fence is text"
        if fence:
            fence = (
                ""
                if mark and line.strip().startswith(fence) and not line.strip().strip(fence[0])
                else fence
            )
        elif mark:
            if step and in_fields:
                step["text"].append(("bad-field", line.strip(), number))
            fence, in_fields, starts = mark.group(1), False, True
        elif heading := re.match(r"(###?)\s+(.*)$", line):
            step = None
            if heading.group(1) == "###":
                step = read_heading(heading.group(2), number, steps, taken)
                steps.append(step)
            in_fields, starts = True, True
        elif not line.strip():
            in_fields, starts = False, True
        elif step and in_fields:
            read_field(step, line, number)
        else:
            for inside in re.findall(r"\[\[([^\[\]]+)\]\]", re.sub(r"`[^`]*`", "", line)):
                if not amount_is_good(inside.strip(), list(KINDS)):
                    (step["text"] if step else out).append(("bad-amount", inside.strip(), number))
            if step:
                read_running_line(step, line, number, starts)
            starts = False
    return {"head": head, "steps": steps, "out": out}


def read_heading(
    title: str, number: int, steps: list[dict[str, Any]], taken: list[str]
) -> dict[str, Any]:
    """An empty step from its heading."""
    step: dict[str, Any] = {
        "line": number,
        "text": [],
        "fields": [],
        "only": [],
        "cautions": [],
        "running": False,
        "caution open": False,
        "in hazard": False,
    }
    own = re.match(r"(.*?)\s*\{#([a-z0-9-]+)\}\s*$", title)
    step["id"] = own.group(2) if own else None
    if own and own.group(2) in [other["id"] for other in steps]:
        step["text"].append(("duplicate-id", own.group(2), number))
        step["id"] = None
    if step["id"] is None:
        step["id"] = new_id(
            own.group(1) if own else title, [*taken, *[other["id"] for other in steps]]
        )
    return step


def as_list(value: Any) -> list[str]:
    """A list, also of one name that stands by itself."""
    return [value] if isinstance(value, str) else value


def says(text: str, words: str) -> bool:
    """Whether the text has these words side by side, as whole words, in any case."""
    text, words = f" {fold(text)} ", fold(words)
    for at in range(len(text)):
        before, after = text[at - 1 : at], text[at + len(words) : at + len(words) + 1]
        if (
            text.startswith(words, at)
            and not re.match(r"\w", before)
            and not re.match(r"\w", after)
        ):
            return True
    return False


class Words:
    """Which names mean the same fact or part, which sources are known, and which facts are
    temporary.
    """

    def __init__(self, rules_text: str) -> None:
        rules = yaml.load(rules_text, Loader=yaml.BaseLoader) or {}  # noqa: S506 -- makes only text, lists, mappings
        self.groups: list[set[str]] = []
        for names in rules.get("same") or []:
            group = {fold(name) for name in names}
            for other in [g for g in self.groups if g & group]:
                group |= other
                self.groups.remove(other)
            self.groups.append(group)
        self.known: dict[str, str] = {}
        self.safe = {fold(source): fact for source, fact in (rules.get("safe") or {}).items()}
        temporary = rules.get("temporary") or []
        self.temporary = {self.one(name) for name in as_list(temporary)}
        self.states = [{self.one(name) for name in group} for group in rules.get("states") or []]
        self.demands = rules.get("demands") or []
        self.asked: dict[int, list[tuple[str, Callable[[str], str], set[str]]]] = {}

    def rivals(self, fact: str) -> set[str]:
        """The other facts of the fact's group: of each group at most one holds."""
        return {other for group in self.states if fact in group for other in group} - {fact}

    def met_by(self, step: dict[str, Any]) -> list[tuple[int, dict[str, Any], int]]:
        """The demands whose `when` a step meets, each with its place and the line where it does;
        worked out once for all forks.
        """
        if "met" not in step:
            named = {key for key, _, _ in step["fields"]}
            step["met"] = [
                (place, demand, line)
                for place, demand in enumerate(self.demands)
                if demand["when"].keys() <= named
                and (line := self.first_line(demand, step)) is not None
            ]
        found: list[tuple[int, dict[str, Any], int]] = step["met"]
        return found

    def first_line(self, demand: dict[str, Any], step: dict[str, Any]) -> int | None:
        """The line of the step's first value that met `when`; None when it does not meet it in
        every field named.
        """
        lines = []
        for field, same, wanted in self.asked_by(demand):
            met = [
                line
                for key, value, line in step["fields"]
                if key == field and same(name_used(value) if key == "uses" else value) in wanted
            ]
            if not met:
                return None
            lines.extend(met)
        return min(lines)

    def asked_by(self, demand: dict[str, Any]) -> list[tuple[str, Callable[[str], str], set[str]]]:
        """The fields that a demand is about, how their values are compared, and the values; worked
        out once for all steps.
        """
        if id(demand) not in self.asked:
            self.asked[id(demand)] = []
            for field, listed in demand["when"].items():
                same = self.one if field in PART_FIELDS + FACT_FIELDS else fold
                self.asked[id(demand)].append(
                    (field, same, {same(name) for name in as_list(listed)})
                )
        return self.asked[id(demand)]

    def one(self, name: str) -> str:
        """One name for all that mean the same."""
        if name not in self.known:
            same = (min(group) for group in self.groups if fold(name) in group)
            self.known[name] = next(same, fold(name))
        return self.known[name]
