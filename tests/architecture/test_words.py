"""Do the pages speak the workshop's words?"""

import re
from pathlib import Path

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


def shown_by(path):
    """The words of a template that a person reads."""
    text = re.sub(r'\{% translate ("[^"]*")[^%]*%\}', r" \1 ", path.read_text(encoding="utf-8"))
    return " ".join(re.sub(r"\{[%#{].*?[%#}]\}|<[^>]*>", " ", text).split())


def test_no_page_has_foreign_words():
    assert len(TEMPLATES) > 200
    assert [(path, word) for path in TEMPLATES for word in FOREIGN.findall(shown_by(path))] == []
