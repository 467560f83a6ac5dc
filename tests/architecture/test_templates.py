"""Do the templates keep to the house: no lower app names a higher one, nothing inline, nothing from
elsewhere?
"""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
HIGHER = {"procedures": ("quizzes", "training"), "quizzes": ("training",), "training": ()}
TEMPLATES = sorted(path for app in HIGHER for path in (ROOT / app).rglob("*.html"))
# What stands in these is shown with every blank that it has: a line cannot be broken.
EVERY_BLANK_IS_SHOWN = {"_pieces.html", "rules_version.html"}


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


@pytest.mark.parametrize("path", TEMPLATES, ids=named)
def test_a_template_keeps_to_the_house(path):
    text = path.read_text(encoding="utf-8")
    app = path.relative_to(ROOT).parts[0]
    upward = [
        higher
        for higher in HIGHER[app]
        if re.search(rf'(url|include|extends)\s+"{higher}[:/]', text)
    ]
    assert upward == []
    assert len(text.splitlines()) < 130
    if path.name not in EVERY_BLANK_IS_SHOWN:
        assert [line for line in text.splitlines() if len(line) > 160] == []
    assert not re.search(r"\sstyle=|<style|\son[a-z]+=|javascript:", text)
    assert not re.search(r"<script(?![^>]*\bsrc=)", text)
    assert not re.search(r'(src|href|action)="(https?:)?//', text)


STATIC = sorted(
    path for app in HIGHER for kind in ("*.css", "*.js") for path in (ROOT / app).rglob(kind)
)


@pytest.mark.parametrize("path", STATIC, ids=named)
def test_a_style_sheet_and_a_script_can_be_read(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if len(line) > 160] == []


@pytest.mark.parametrize("path", TEMPLATES, ids=named)
def test_a_template_writes_days_by_the_filters_of_the_house_only(path):
    # Django's `date` and `time` are for what a machine reads: ISO 8601 in attributes and addresses.
    text = path.read_text(encoding="utf-8")
    fixed = re.findall(r'\|\s*(?:date|time)\b(?!:"(?:Y-m-d|c)")[^}|%]*', text)
    assert fixed + re.findall(r"{% now\b[^%]*", text) == []
