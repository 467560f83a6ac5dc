"""What must a step of a kind find or say, and which steps are of that kind?"""

import re
from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass, field

from yaml.nodes import Node, ScalarNode, SequenceNode

from procedures.writeup.grammar import NAMES
from procedures.writeup.model import Caution, Step
from procedures.writeup.names import make_plain
from procedures.writeup.plain_yaml import BadYaml, entries, line_of, word, words
from procedures.writeup.remarks import remark

WHEN = (
    "opens",
    "needs",
    "makes",
    "ends",
    "takes off",
    "fits",
    "scraps",
    "fits new",
    "uses",
    "tool",
)
OF_FACTS_AND_PARTS = ("needs", "makes", "ends", "takes off", "fits", "scraps", "fits new")
SIGNALS = ("danger", "warning", "caution", "notice")  # the gravest first
_KEYS = ("when", "needs", "caution", "names", "because")


@dataclass(frozen=True, slots=True)
class Demand:
    """Each step with one of the names in each field of `when` needs the facts `needs`, or a safety
    message, or both.

    `caution` is the least grave signal word that will do, `names` the words that its title or
    hazard line must have; both are empty when no message is demanded. `line` is where the demand
    begins in the rules.
    """

    when: tuple[tuple[str, tuple[str, ...]], ...]
    because: str
    needs: tuple[str, ...] = ()
    caution: str = ""
    names: str = ""
    line: int = field(default=0, compare=False)


def read_demands(node: Node) -> tuple[Demand, ...]:
    """The demands that the rules list. Raises BadYaml."""
    if not isinstance(node, SequenceNode):
        raise BadYaml(remark("demands-no-list"), line_of(node))
    return tuple(_demand(item) for item in node.value)


def _demand(node: Node) -> Demand:
    found: dict[str, Node] = {}
    for key, line, value in entries(node):
        if key not in _KEYS:
            raise BadYaml(remark("unknown-demand-key", key=key, known=tuple(_KEYS)), line)
        if key in found:
            raise BadYaml(remark("demand-key-twice", key=key), line)
        found[key] = value
    line = line_of(node)
    if "when" not in found:
        raise BadYaml(remark("demand-without-when"), line)
    if "because" not in found:
        raise BadYaml(remark("demand-without-because"), line)
    # A signal word without its subject would be met by any caution of the step.
    if ("caution" in found) != ("names" in found):
        raise BadYaml(remark("caution-without-names"), line)
    if "needs" not in found and "caution" not in found:
        raise BadYaml(remark("demand-of-nothing"), line)
    caution = word(found["caution"]).lower() if "caution" in found else ""
    if caution and caution not in SIGNALS:
        raise BadYaml(
            remark("unknown-signal-word", word=caution, known=tuple(SIGNALS)),
            line_of(found["caution"]),
        )
    names = word(found["names"]) if "names" in found else ""
    needs = _some(found["needs"]) if "needs" in found else ()
    return Demand(_when(found["when"]), word(found["because"]), needs, caution, names, line)


def _when(node: Node) -> tuple[tuple[str, tuple[str, ...]], ...]:
    found: dict[str, tuple[str, ...]] = {}
    for key, line, value in entries(node):
        if key not in WHEN:
            raise BadYaml(remark("unknown-when-field", key=key, known=tuple(WHEN)), line)
        if key in found:
            raise BadYaml(remark("when-field-twice", key=key), line)
        found[key] = _some(value)
    # A demand that names no field would be about every step.
    if not found:
        raise BadYaml(remark("when-without-field"), line_of(node))
    return tuple(found.items())


def _some(node: Node) -> tuple[str, ...]:
    """One name, or a list of at least one."""
    if not isinstance(node, (ScalarNode, SequenceNode)):
        raise BadYaml(remark("no-names"), line_of(node))
    found = tuple(name for name, _ in words(node))
    if not found:
        raise BadYaml(remark("empty-list"), line_of(node))
    return found


class Kinds:
    """The kinds of steps that some demands are about, made ready once to be held against many
    steps.

    `key` is what facts and parts are compared by.
    """

    def __init__(self, demands: Iterable[Demand], key: Callable[[str], str]) -> None:
        self._key = key
        self._asked = tuple(
            (
                demand,
                tuple((name, frozenset(self._keys(name, wanted))) for name, wanted in demand.when),
            )
            for demand in demands
        )
        self._fields = frozenset(name for _, asked in self._asked for name, _ in asked)
        # By what each asks first: of dozens of demands a step meets few, and mostly none.
        self._first: dict[tuple[str, str], list[int]] = {}
        for place, (_, asked) in enumerate(self._asked):
            name, wanted = asked[0]
            for value in wanted:
                self._first.setdefault((name, value), []).append(place)

    def met(self, step: Step) -> Iterator[tuple[Demand, int]]:
        """The demands that the step meets, down their list, each with the line of the step's first
        value that it asks for.
        """
        values: dict[str, list[tuple[str, int]]] = {}
        for name in self._fields:
            if found := list(_values(step, name)):
                keys = self._keys(name, [value for value, _ in found])
                values[name] = list(zip(keys, [line for _, line in found], strict=True))
        begun = {
            place
            for name, found in values.items()
            for value, _ in found
            for place in self._first.get((name, value), ())
        }
        for place in sorted(begun):
            demand, asked = self._asked[place]
            line = _first_line(asked, values)
            if line is not None:
                yield demand, line

    def _keys(self, name: str, values: Iterable[str]) -> Iterator[str]:
        return map(self._key if name in OF_FACTS_AND_PARTS else make_plain, values)


def _first_line(
    asked: Iterable[tuple[str, frozenset[str]]], values: Mapping[str, list[tuple[str, int]]]
) -> int | None:
    """The first line of a value that is asked for; None where a field has none."""
    lines: list[int] = []
    for name, wanted in asked:
        met = [line for value, line in values.get(name, ()) if value in wanted]
        if not met:
            return None
        lines += met
    return min(lines)


def find_first_met(demand: Demand, step: Step, key: Callable[[str], str]) -> int | None:
    """The line of the first value of the step that the demand asks for; None when the step is not
    of its kind.

    `key` is what facts and parts are compared by.
    """
    return next((line for _, line in Kinds((demand,), key).met(step)), None)


def _values(step: Step, name: str) -> Iterator[tuple[str, int]]:
    """The names under a field of a step, each with its line."""
    if name == "uses":
        yield from ((used.name, used.line) for used in step.uses)
    else:
        yield from zip(getattr(step, NAMES[name]), step.lines_of(name), strict=True)


def is_said(demand: Demand, cautions: tuple[Caution, ...]) -> bool:
    """Does one of these safety messages have the signal word, or a graver one, and the words that
    the demand names?
    """
    grave = SIGNALS[: SIGNALS.index(demand.caution) + 1]
    # Whole words, in any case, with nothing but white space between them.
    side_by_side = r"\s+".join(map(re.escape, demand.names.split()))
    asked = re.compile(rf"(?<!\w){side_by_side}(?!\w)", re.IGNORECASE)
    return any(
        each.word in grave and (asked.search(each.title) or asked.search(each.hazard))
        for each in cautions
    )


def touches(demands: tuple[Demand, ...], step: Step, key: Callable[[str], str]) -> bool:
    """Is the step of a kind that one of these asks for?"""
    return any(True for _ in Kinds(demands, key).met(step))
