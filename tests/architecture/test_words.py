"""Do the pages speak the workshop's words?"""

import re
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[2]
# Words of another kind of program, which do not fit a workshop.
FOREIGN = re.compile(
    r"\b(courses?|modules?|learners?|badges?|grade[sd]?|gradebook|streaks?|leaderboards?|dashboards?"
    r"|(?<!hold )points)\b",
    re.IGNORECASE,
)
TEMPLATES = sorted(
    path for app in ("procedures", "quizzes", "training") for path in (ROOT / app).rglob("*.html")
)


@pytest.mark.parametrize("path", TEMPLATES, ids=lambda path: str(path.relative_to(ROOT)))
def test_a_page_has_no_foreign_words(path):
    text = re.sub(r'\{% translate ("[^"]*")[^%]*%\}', r" \1 ", path.read_text(encoding="utf-8"))
    shown = " ".join(re.sub(r"\{[%#{].*?[%#}]\}|<[^>]*>", " ", text).split())
    assert FOREIGN.findall(shown) == []
