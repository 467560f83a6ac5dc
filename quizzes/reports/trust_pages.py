"""How are the chances of a quiz put into words, tables and charts?"""

from __future__ import annotations

from collections.abc import Mapping
from fractions import Fraction

from django.utils.safestring import SafeString
from django.utils.translation import gettext

from quizzes.psychometrics.charts.grammar import draw_both
from quizzes.psychometrics.charts.operating import operating_curve
from quizzes.psychometrics.mastery import LONGEST, chance_of_mastery, shortest_quiz
from quizzes.psychometrics.odds import ABLE, CURVE, MOST_SAT_ONCE, count_needed
from quizzes.records.wording.say import say
from quizzes.reports.odds import QuizOdds, say_one_in

NONE = "–"
AROUND = 4  # results on either side of the pass mark


def odds_context(odds: QuizOdds) -> dict[str, object]:
    """What the page on odds shows."""
    levels = [float(level) for level in CURVE]
    return {
        "odds": odds,
        "percent": str(odds.percent),
        "questions": odds.questions,
        "critical": str(odds.critical),
        "bank": str(odds.bank),
        "one_in": say_one_in(odds.guesser),
        "able": share(float(ABLE)),
        "sat_once": None if odds.sat_once is None else share(odds.sat_once),
        "is_at_most": odds.is_at_most,
        "asks_the_same": odds.sat_once is not None and odds.sat_once > MOST_SAT_ONCE,
        "fails": share(1 - odds.curve[CURVE.index(ABLE)]),
        "lines": [
            (share(level), share(chance)) for level, chance in zip(levels, odds.curve, strict=True)
        ],
        "kinds": [(one.kind, str(one.questions), share(one.chance)) for one in odds.kinds],
        "chart": SafeString(
            draw_both(
                lambda room: operating_curve(levels, odds.curve, float(ABLE), say=say, room=room)
            )
        ),
        "results": result_lines(odds),
    }


def length_context(asked: Mapping[str, int]) -> dict[str, object]:
    """How many questions would be enough to tell two levels apart (`weak`, `able`) so surely
    (`sure`), all in percent.
    """
    weak, able, sure = (Fraction(asked[name], 100) for name in ("weak", "able", "sure"))
    found = shortest_quiz(weak, able, sure)
    return {
        "weak": share(float(weak)),
        "able_asked": share(float(able)),
        "shortest": found
        and {
            "questions": str(found.questions),
            "need": str(found.need),
            "able_fails": share(1 - found.able_pass),
            "weak_passes": share(1 - found.weak_fail),
        },
        "longest": str(LONGEST),
    }


def result_lines(odds: QuizOdds) -> tuple[tuple[str, bool, str], ...]:
    """What each number of right answers around the pass mark says: the chance that the true level
    reaches the mark.
    """
    questions = int(odds.questions.split()[-1])
    need = count_needed(questions, odds.percent)
    rights = range(max(need - AROUND, 0), min(need + AROUND, questions) + 1)
    mark = Fraction(odds.percent, 100)
    return tuple(
        (f"{right} of {questions}", right >= need, share(chance_of_mastery(right, questions, mark)))
        for right in rights
    )


def share(chance: float) -> str:
    """A chance in whole per cents; what is not quite none or all is never said to be so."""
    percent = round(100 * chance)
    if percent == 0 and chance > 0:
        return gettext("less than 1 %")
    if percent == 100 and chance < 1:
        return gettext("more than 99 %")
    return f"{percent} %"


def number(figure: float | None, places: int = 2) -> str:
    """A figure as text; a dash where it is undefined."""
    return NONE if figure is None else f"{figure:.{places}f}".replace("-", "−")
