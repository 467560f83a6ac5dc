"""Which documents does the house have, and what stands in them?"""

import re
from pathlib import Path

ROOT = Path(__file__).parents[2]


def documents():
    """The path and text of every Markdown file, but for the write-ups: those are content."""
    found = {}
    for path in sorted(ROOT.rglob("*.md")):
        name = path.relative_to(ROOT).as_posix()
        if not name.startswith(".") and not name.startswith("fixtures/writeups/"):
            found[name] = path.read_text(encoding="utf-8")
    return found


DOCS = documents()
FENCE = re.compile(r"^```([a-z]*)\n(.*?)^```", re.MULTILINE | re.DOTALL)


def examples(text):
    """The language and text of each block of code."""
    return FENCE.findall(text)


def example(place, language):
    """The one block of code in this language that a document has."""
    (found,) = [text for told, text in examples(DOCS[place]) if told == language]
    return found


def pieces(text):
    """Each paragraph, list item, row of a table and line of code by itself, on one line."""
    found = [""]
    for line in text.splitlines():
        if not line.strip() or re.match(r" {4}\S|\||#|```|\s*(?:[-*]|\d+\.)\s", line):
            found.append(line)
        else:
            found[-1] += " " + line.strip()
    return [piece for piece in found if piece.strip()]


def quoted(text):
    """Everything that stands in backticks outside of blocks of code."""
    return re.findall(r"`([^`\n]+)`", FENCE.sub("", text))
