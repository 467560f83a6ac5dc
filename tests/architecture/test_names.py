"""Does a name mean one thing inside an app?"""

import ast
from collections import defaultdict
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]

# A kept row and the same thing as plain values, which the pure rooms work with
ROW_AND_PLAIN = {
    "procedures": {"ShopRules", "WriteUp"},
    "training": {
        "Appointment",
        "Job",
        "LevelRules",
        "Observation",
        "Reading",
        "Rota",
        "SignOff",
        "StandDown",
        "Void",
    },
    "quizzes": set(),
}


def homes_of_classes(app):
    """The modules in which each public class at the top of a module is written, by its name."""
    homes = defaultdict(list)
    for path in sorted((ROOT / app).rglob("*.py")):
        if not {"migrations", "commands"} & set(path.parts):
            for node in ast.parse(path.read_text(encoding="utf-8")).body:
                if isinstance(node, ast.ClassDef) and not node.name.startswith("_"):
                    homes[node.name].append(str(path.relative_to(ROOT / app)))
    return homes


@pytest.mark.parametrize("app", sorted(ROW_AND_PLAIN))
def test_two_classes_of_one_name_are_a_row_and_its_plain_values(app):
    twice = {name: homes for name, homes in homes_of_classes(app).items() if len(homes) > 1}
    assert twice.keys() == ROW_AND_PLAIN[app], twice
    for name, homes in twice.items():
        assert [home.startswith("models/") for home in homes].count(True) == 1, (name, homes)
        assert len(homes) == 2, (name, homes)
