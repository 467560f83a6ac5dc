"""What does a newcomer answer who has studied the demo shop's write-ups? Known from the folder, not
from the site.
"""

import re
from pathlib import Path

import yaml
from django.conf import settings

FIXTURES = Path(settings.BASE) / "fixtures"


def demo_questions(*writeups):
    """The questions of some demo write-ups; of the stem its words, without the drawing after
    them.
    """
    for writeup in writeups:
        text = (FIXTURES / "questions" / f"{writeup}.yaml").read_text(encoding="utf-8")
        for question in yaml.safe_load(text)["questions"]:
            yield {**question, "writeup": writeup, "stem": plain(question["stem"].split("\n\n")[0])}


def plain(text):
    """Words as a page shows them, with one space between."""
    return " ".join(text.split())


def right_options(question):
    return [plain(option["text"]) for option in question["options"] if option.get("right")]


def spot_of(question, view_box, *, is_mirrored):
    """The middle of the first right region, counted from the upper left of the drawing as it is
    seen.
    """
    left, top, width, _ = (int(number) for number in view_box.split())
    region = question.get("region") or question["regions"][0]
    x = region["x"] + region.get("width", 0) // 2 - left
    return (width - x if is_mirrored else x), region["y"] + region.get("height", 0) // 2 - top


def titles_in_order(question):
    """The titles of an ordering question's steps, in the order in which the write-up does them."""
    newest = max(
        (FIXTURES / "writeups").glob(f"{question['writeup']}*.md"),
        key=lambda path: int(path.stem.partition(".r")[2] or 1),
    )
    steps = re.findall(r"^### (.+) \{#(.+)\}$", newest.read_text(encoding="utf-8"), re.MULTILINE)
    return [title for title, step in steps if step in question["steps"]]
