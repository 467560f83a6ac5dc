"""How are the shop's rules written down as a text that reads as the same rules?"""

from typing import Any

import yaml

from procedures.writeup.demands import Demand
from procedures.writeup.rules import ShopRules


class _Dumper(yaml.SafeDumper):
    """Lists stand further in than the key above them, as people write them."""

    def increase_indent(self, flow: bool = False, indentless: bool = False) -> None:
        super().increase_indent(flow, False)


def heading_of(text: str) -> str:
    """The lines of remarks at the top of a text of rules, which rows cannot hold."""
    lines = text.removeprefix("\ufeff").split("\n")
    end = next((place for place, line in enumerate(lines) if not line.startswith("#")), len(lines))
    return "".join(f"{line}\n" for line in lines[:end])


def write_rules(rules: ShopRules, heading: str = "") -> str:
    """A text that `read_rules` reads as these rules, below the heading."""
    said: dict[str, Any] = {
        "safe": dict(rules.safe),
        "temporary": list(rules.temporary),
        "same": [list(group) for group in rules.same],
        "states": [list(group) for group in rules.states],
        "demands": [_demand(demand) for demand in rules.demands],
    }
    # Key by key, since the layout differs between them.
    parts = [_dump({key: value}) for key, value in said.items() if value]
    return heading + "".join(parts)


def _demand(demand: Demand) -> dict[str, Any]:
    row: dict[str, Any] = {"when": {field: _one_or_list(names) for field, names in demand.when}}
    if demand.needs:
        row["needs"] = _one_or_list(demand.needs)
    if demand.caution:
        row |= {"caution": demand.caution, "names": demand.names}
    return {**row, "because": demand.because}


def _one_or_list(names: tuple[str, ...]) -> str | list[str]:
    return names[0] if len(names) == 1 else list(names)


def _dump(value: dict[str, Any]) -> str:
    # With None the library writes a list of plain words as [a, b], as the language shows it.
    flow = None if "demands" in value or "same" in value or "states" in value else False
    return str(
        yaml.dump(
            value,
            Dumper=_Dumper,
            sort_keys=False,
            allow_unicode=True,
            width=100_000,
            default_flow_style=flow,
        )
    )
