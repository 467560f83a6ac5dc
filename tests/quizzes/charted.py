"""One chart of each kind, with long and hostile words, for the tests that look at charts."""

from datetime import date

from quizzes.psychometrics.charts.choices import Choice, option_curves
from quizzes.psychometrics.charts.difficulty import Placed, difficulty_map
from quizzes.psychometrics.charts.grammar import DESK, PHONE
from quizzes.psychometrics.charts.operating import operating_curve
from quizzes.psychometrics.charts.shares import Shared, draw_shares
from quizzes.psychometrics.intervals import wilson
from quizzes.records.wording.say import say
from training.reports.drawn import DrawnMark, DrawnRow, DrawnSpan, drawing

LONG = (
    "The top cap has turned by a quarter and air hisses out of the chamber while the rider watches "
    "what you do with your hands. What is the next move?"
)
TITLES = ("Which ring goes back?", LONG, "<b>&amp;\"'</b>", "Retainingringgroovecircumference" * 4)
TITLES_OF_MANY = tuple(f"{TITLES[place % 4]} {place}" for place in range(47))
LEVELS = [0, 0.25, 0.5, 0.75, 1]
CHANCES = [0.01, 0.04, 0.3, 0.7, 1]
FIRST, UNTIL = date(2023, 11, 30), date(2027, 11, 30)


def shared(titles):
    return [
        Shared(title, right / 24, *wilson(right, 24), guess, is_suspect=not right)
        for right, (title, guess) in enumerate(
            zip(titles, [0.0, 0.25, None, 1 / 3] * 12, strict=False)
        )
        if right <= 24
    ]


def choices():
    """Four options, three of which the ablest leave alone, as happens with sound questions."""
    groups = (("weak", "10 to 13 right"), ("middling", "14 right"), ("able", "15 to 16 right"))
    shares = [(0.2, 0.6, 1.0), (0.5, 0.3, 0.0), (0.3, 0.1, 0.0), (0.0, 0.0, 0.0)]
    told = [
        Choice("ABCD"[place], title, not place, share)
        for place, (title, share) in enumerate(zip(TITLES, shares, strict=True))
    ]
    return groups, told


def time_line():
    spans = (
        DrawnSpan(FIRST, date(2024, 6, 1), "open"),
        DrawnSpan(date(2024, 6, 2), date(2026, 6, 1), "solid"),
        DrawnSpan(date(2026, 6, 2), UNTIL, "hatched"),
    )
    marks = tuple(
        DrawnMark(on, kind, TITLES[2])
        for on, kind in ((FIRST, "signature"), (date(2025, 1, 1), "down"), (UNTIL, "lapse"))
    )
    rows = [DrawnRow(title, spans, marks) for title in TITLES]
    return drawing(rows, FIRST, UNTIL, title="What <Bo> may do", today=date(2026, 11, 30))


def drawn_in(room):
    """The charts of the quizzes for one screen."""
    return {
        "operating": operating_curve(LEVELS, CHANCES, 0.9, say=say, room=room),
        "shares": draw_shares(shared(TITLES), say=say, room=room),
        "many": draw_shares(shared(TITLES_OF_MANY), say=say, uid="many", room=room),
        "difficulty": difficulty_map(
            [Placed(title, place - 1.5, 0.4 * (1 + place)) for place, title in enumerate(TITLES)],
            say=say,
            room=room,
        ),
        "choices": option_curves(*choices(), uid="choices", say=say, room=room),
    }


def time_lines():
    desk, phone = time_line().split("</svg>")[:2]
    return f"{desk}</svg>", f"{phone}</svg>"


CHARTS = drawn_in(DESK) | {"time line": time_lines()[0]}
ON_PHONE = drawn_in(PHONE) | {"time line": time_lines()[1]}
BOTH = {
    f"{name}, {place}": svg
    for place, charts in (("desk", CHARTS), ("phone", ON_PHONE))
    for name, svg in charts.items()
}
