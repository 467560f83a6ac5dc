"""Which values were published or computed by others, and from what?

`fixtures/published/checkvalues.json` names the source and the tolerance of each row; a test reads
its expectation from there, so that none is copied from our own output.
"""

import csv
import json
import re
from pathlib import Path

import pytest

from quizzes.psychometrics.answers import read_answers

FOLDER = Path(__file__).parents[2] / "fixtures" / "published"
ROWS = json.loads((FOLDER / "checkvalues.json").read_text(encoding="utf-8"))
NUMBER = re.compile(r"-?\d*\.?\d+(?:e-?\d+)?")


def rows(quantity, inputs=""):
    """The rows whose quantity and inputs begin so, in the order of the file."""
    found = [
        row
        for row in ROWS
        if row["quantity"].startswith(quantity) and row["inputs"].startswith(inputs)
    ]
    assert found, (quantity, inputs)
    return found


def row(quantity, inputs=""):
    """The one row whose quantity and inputs begin so."""
    (found,) = rows(quantity, inputs)
    return found


def numbers(text):
    return [float(number) for number in NUMBER.findall(text)]


def values(quantity, inputs=""):
    """The numbers of one row."""
    return numbers(row(quantity, inputs)["value"])


def near(expected, tolerance=1e-6):
    return pytest.approx(expected, abs=tolerance, rel=0)


def lsat6_text():
    """The 1000 people of the Law School Admission Test, section 6, as a table (Bock and Lieberman
    1970).
    """
    with (FOLDER / "lsat6_patterns.csv").open(encoding="utf-8") as file:
        patterns = list(csv.DictReader(file))
    items = [name for name in patterns[0] if name != "people"]
    lines = [
        ",".join(one[item] for item in items) for one in patterns for _ in range(int(one["people"]))
    ]
    return "\n".join([",".join(items), *lines])


def lsat6():
    return read_answers(lsat6_text())


def class_of_ten():
    """The 10 × 10 example of K. L. Wuensch's teaching note on KR-20."""
    cells = re.findall(r"\b[01]{10}\b", row("p, p*q per item")["inputs"])
    header = ",".join(f"Q{number}" for number in range(1, 11))
    return read_answers("\n".join([header, *(",".join(cell) for cell in cells)]))
