"""What does a newcomer answer who has studied the demo shop's write-ups? Known from the folder, not from the site."""

import re
from pathlib import Path

import yaml
from django.conf import settings

FIXTURES = Path(settings.BASE) / "fixtures"


def demo_questions(writeup):
    """The questions of one demo write-up by their words."""
    text = (FIXTURES / "questions" / f"{writeup}.yaml").read_text(encoding="utf-8")
    return {plain(question["stem"]): {**question, "writeup": writeup} for question in yaml.safe_load(text)["questions"]}


def plain(text):
    """Words as a page shows them, with one space between."""
    return " ".join(text.split())


def right_options(question):
    return [plain(option["text"]) for option in question["options"] if option.get("right")]


def titles_in_order(question):
    """The titles of an ordering question's steps, in the order in which the write-up does them."""
    newest = sorted((FIXTURES / "writeups").glob(f"{question['writeup']}*.md"))[-1]
    titles = {step: title for title, step in re.findall(r"^### (.+) \{#(.+)\}$", newest.read_text(encoding="utf-8"), re.MULTILINE)}
    in_text = list(titles)
    return [titles[step] for step in sorted(question["steps"], key=in_text.index)]
