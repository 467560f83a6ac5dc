"""Do the templates keep to the house: no lower app names a higher one, nothing inline, nothing from
elsewhere?
"""

import re
from pathlib import Path

import pytest

from tests.for_each import for_each

ROOT = Path(__file__).parents[2]
HIGHER = {"procedures": ("quizzes", "training"), "quizzes": ("training",), "training": ()}
TEMPLATES = sorted(path for app in HIGHER for path in (ROOT / app).rglob("*.html"))
# What stands in these is shown with every blank that it has: a line cannot be broken.
EVERY_BLANK_IS_SHOWN = {"_pieces.html", "rules_version.html"}


def named(path: Path) -> str:
    return str(path.relative_to(ROOT))


def against_the_house(path):
    """What a template does that none of ours does."""
    text = path.read_text(encoding="utf-8")
    app = path.relative_to(ROOT).parts[0]
    for higher in HIGHER[app]:
        if re.search(rf'(url|include|extends)\s+"{higher}[:/]', text):
            yield f"names {higher}"
    if len(text.splitlines()) >= 130:
        yield "130 lines and more"
    if path.name not in EVERY_BLANK_IS_SHOWN:
        yield from (line for line in text.splitlines() if len(line) > 160)
    for unwanted in (
        r"\sstyle=|<style|\son[a-z]+=|javascript:",
        r"<script(?![^>]*\bsrc=)",
        r'(src|href|action)="(https?:)?//',
    ):
        yield from (found.group() for found in re.finditer(unwanted, text))


def test_every_template_keeps_to_the_house():
    assert len(TEMPLATES) > 200
    assert [(named(path), told) for path in TEMPLATES for told in against_the_house(path)] == []


@pytest.mark.parametrize(
    "text", ['<p style="x">', "<script>x</script>", '<a href="//x">', "x" * 161, "\n" * 131]
)
def test_what_is_against_the_house_is_found(text, tmp_path, monkeypatch):
    monkeypatch.setattr(f"{__name__}.ROOT", tmp_path)
    (tmp_path / "procedures").mkdir()
    path = tmp_path / "procedures" / "page.html"
    path.write_text(text, encoding="utf-8")
    assert list(against_the_house(path))


STATIC = sorted(
    path for app in HIGHER for kind in ("*.css", "*.js") for path in (ROOT / app).rglob(kind)
)


@for_each(STATIC)
def test_a_style_sheet_and_a_script_can_be_read(path):
    lines = path.read_text(encoding="utf-8").splitlines()
    assert [line for line in lines if len(line) > 160] == []


# Django's `date` and `time` are for what a machine reads: ISO 8601 in attributes and addresses.
DAYS_OF_ITS_OWN = re.compile(r'\|\s*(?:date|time)\b(?!:"(?:Y-m-d|c)")[^}|%]*|{% now\b[^%]*')


def test_a_template_writes_days_by_the_filters_of_the_house_only():
    assert [
        (named(path), found)
        for path in TEMPLATES
        for found in DAYS_OF_ITS_OWN.findall(path.read_text(encoding="utf-8"))
    ] == []
