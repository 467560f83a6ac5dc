"""Do the pages on odds and statistics say what holds, and nothing where too few have sat?"""

import re
from fractions import Fraction
from itertools import permutations, product

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse

from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.kinds.choose_one import ONE
from quizzes.kinds.match import Match, Pair
from quizzes.kinds.point_at import PointAt
from quizzes.kinds.registry import KINDS
from quizzes.kinds.spots import Box, Circle, Rectangle, right_share
from quizzes.marking.marks import marks
from quizzes.models import Answer, QuestionVersion, Sitting
from quizzes.psychometrics.guessing import NOTHING
from quizzes.records.album import NO_PICTURES, Album
from quizzes.records.sources import BesideRevision
from quizzes.records.wording.say import say
from quizzes.reports.odds import guess_chances, quiz_odds, say_one_in
from quizzes.reports.statistics import quiz_figures
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    right_answer,
)
from tests.quizzes.published import near
from tests.training.factories import UserFactory

BACKEND = "training.access.sign_in.ShopBackend"


def sat(quiz, wrong=(), *, times=1, pick=1):
    """So many ended sittings of this quiz, with these questions wrong; `pick` is the option chosen
    there.
    """
    versions = list(
        QuestionVersion.objects.newest()
        .filter(question__writeup__in=quiz.writeups)
        .select_related("question")
    )
    person = UserFactory()
    for _ in range(times):
        missed = sum(version.question.name in wrong for version in versions)
        sitting = Sitting.objects.create(
            quiz=quiz, person=person, seed=1, pass_percent=75, started_at=NOW
        )
        answers = [
            Answer(sitting=sitting, place=place, version=version, shown={})
            for place, version in enumerate(versions, 1)
        ]
        for answer in answers:
            is_wrong = answer.version.question.name in wrong
            answer.marks = 0 if is_wrong else 1
            answer.given = (
                (pick if answer.version.kind == ONE else None) if is_wrong else right_answer(answer)
            )
        Answer.objects.bulk_create(answers)
        sitting.percent, sitting.critical_right = 100 - 100 * missed // len(versions), True
        sitting.happened_on, sitting.recorded_at = TODAY, NOW
        sitting.save()


@pytest.mark.django_db
def test_rows_written_by_hand_are_those_that_a_sitting_leaves():
    """One sitting through the actions beside one written here: the same figures."""
    quiz = quiz_of_options(2)
    sitting = start_sitting(
        quiz=quiz, person=UserFactory(), pass_percent=75, now=NOW, seed=1, today=TODAY
    )
    for answer in sitting.answers.select_related("version__question"):
        given = right_answer(answer) if answer.version.question.name == "q0" else 1
        save_answer(sitting=sitting, place=answer.place, given=given, now=NOW)
    end_sitting(sitting=sitting, now=NOW, today=TODAY)
    once = quiz_figures(quiz)
    sat(quiz, ("q1",))
    twice = quiz_figures(quiz)
    assert [(one.asked, one.right) for one in once.questions] == [(1, 1), (1, 0)]
    assert [(one.asked, one.right) for one in twice.questions] == [(2, 2), (2, 0)]


def quiz_of_options(count, options=3, **kwargs):
    """A quiz of choose-one questions, each on its own, all asked."""
    writeup = ReleasedFactory()
    asked = {
        "options": [{"text": f"Option {n}", "right": n == 0, "says": ""} for n in range(options)]
    }
    for place in range(count):
        VersionFactory(
            question__writeup=writeup,
            question__name=f"q{place}",
            stem=f"Which ring is {place}?\n\nLook twice.",
            asked=asked,
        )
    return QuizFactory(writeups=[writeup], **{"size": count} | kwargs)


@pytest.mark.django_db
def test_a_quiz_of_options_alone_is_binomial():
    # 4 of 5 by guessing among four: 0.015625 (exact fractions; the course table prints .0156)
    odds = quiz_odds(quiz_of_options(5, options=4), today=TODAY, percent=80)
    assert odds.guesser == near(0.015625)
    assert odds.warnings[0].startswith("About 1 in 64 guessers would pass this.")


@pytest.mark.django_db
def test_a_draw_from_many_like_questions_is_as_one_from_as_many():
    odds = quiz_odds(quiz_of_options(9, options=4, size=5), today=TODAY, percent=80)
    assert (odds.questions, odds.bank, odds.guesser) == ("5", 9, near(0.015625))


def test_odds_of_every_kind_together(quiz):
    """By hand: the amount is critical and never guessed, so a guesser never passes, and who knows
    half of the bank at most half of the time."""
    odds = quiz_odds(quiz, today=TODAY, percent=0)
    assert odds.guesser == 0
    assert odds.knows[0] == near(0.5)
    assert {one.kind: one.chance for one in odds.kinds}["choose one"] == near(1 / 3)
    assert {one.kind: one.chance for one in odds.kinds}["choose all"] == near(1 / 7)


def test_the_kinds_of_question_are_those_of_the_design():
    """Each has its guess, since a kind without one cannot be made."""
    kinds = {"choose one", "choose all", "put in order", "give the amount", "match", "point at it"}
    assert set(KINDS) == kinds
    assert {kind for kind, _ in QuestionVersion._meta.get_field("kind").choices} == kinds


def guessed(asked, pictures=NO_PICTURES):
    return asked.guessed(BesideRevision(None, "", pictures))


def test_pairs_are_guessed_as_marking_counts_them():
    asked = Match((Pair("a", "1"), Pair("b", "2"), Pair("c", "3")), ("4",))
    shares = [marks(asked, list(given)).share for given in permutations(range(4), 3)]
    assert dict(guessed(asked)) == {
        share: Fraction(shares.count(share), 24) for share in set(shares)
    }
    shared = Match((Pair("a", "1"), Pair("b", "1"), Pair("c", "2")))
    shares = [marks(shared, list(given)).share for given in product(range(2), repeat=3)]
    assert dict(guessed(shared)) == {
        share: Fraction(shares.count(share), 8) for share in set(shares)
    }


def test_a_spot_is_guessed_by_its_share_of_the_drawing():
    class Shown(Album):
        def box(self, name):
            return Box(0, 0, 9, 9)

    asked = PointAt("ring", (Rectangle(0, 0, 4, 4), Circle(4, 4, 2)))
    right = sum(marks(asked, [x, y]).right for x in range(10) for y in range(10))
    assert dict(guessed(asked, Shown({})))[Fraction(1)] >= Fraction(right, 100)
    assert right_share(asked, Box(0, 0, 9, 9)) == Fraction(right, 100)
    assert guessed(asked) == NOTHING, "without its drawing nobody can point"


def test_the_pass_mark_is_that_of_the_newest_sitting(quiz, sitting):
    assert quiz_odds(quiz, today=TODAY).percent == sitting.pass_percent == 75


def test_a_quiz_that_able_mechanics_fail_is_warned_of(quiz):
    assert any(
        "good mechanic" in warning for warning in quiz_odds(quiz, today=TODAY, percent=100).warnings
    )


@pytest.mark.parametrize(
    ("chance", "says"),
    [
        (0.6, "About 60 % of guessers"),
        (1 / 64, "About 1 in 64 guessers"),
        (1 / 1234567, "About 1 in 1,200,000 guessers"),
        (0, "Practically no guesser"),
    ],
)
def test_a_chance_in_words(chance, says):
    assert say_one_in(chance).startswith(says)


@pytest.mark.django_db
def test_nothing_is_said_of_a_few():
    quiz = quiz_of_options(3)
    sat(quiz, ("q0",), times=19)
    figures = quiz_figures(quiz)
    assert (figures.counted, figures.whole) == (19, None)
    assert all(one.figures is None and one.difficulty is None for one in figures.questions)
    assert [(one.asked, one.right) for one in figures.questions] == [(19, 0), (19, 19), (19, 19)]


@pytest.mark.django_db
def test_figures_of_twenty_sittings_are_those_of_the_same_table():
    """The command on the table of the same answers is the reference: it was held against published
    values.
    """
    from quizzes.psychometrics.answers import read_answers
    from quizzes.psychometrics.items import item_figures
    from quizzes.psychometrics.rasch import difficulties
    from quizzes.psychometrics.reliability import whole_figures
    from quizzes.psychometrics.responses import count

    quiz = quiz_of_options(3)
    rows = {(): 6, ("q0",): 8, ("q1",): 5, ("q0", "q1"): 7, ("q2",): 4, ("q0", "q1", "q2"): 3}
    for wrong, times in rows.items():
        sat(quiz, wrong, times=times)
    text = "\n".join(
        ["q0,q1,q2"]
        + [
            ",".join(str(int(f"q{n}" not in wrong)) for n in range(3))
            for wrong, times in rows.items()
            for _ in range(times)
        ]
    )
    counts = count(read_answers(text))
    figures = quiz_figures(quiz)
    assert figures.whole == whole_figures(counts)
    for one, item, hard in zip(
        figures.questions, item_figures(counts), difficulties(counts), strict=True
    ):
        for name in (
            "share_right",
            "share_low",
            "share_high",
            "item_rest",
            "item_total",
            "upper_lower",
            "alpha_without",
        ):
            assert getattr(one.figures, name) == near(getattr(item, name))
        assert (one.difficulty.difficulty, one.difficulty.se) == near((hard.difficulty, hard.se))
        assert [round(option.share * 33) for option in one.figures.options] == [
            one.right,
            33 - one.right,
            0,
        ]
        assert "Nobody picks the option “Option 2”." in map(say, one.figures.flags)


@pytest.mark.django_db
def test_a_wrong_key_is_seen_in_the_sittings():
    quiz = quiz_of_options(5)
    sat(quiz, ("q0",), times=14, pick=2)  # the able ones choose the third option of q0
    sat(quiz, ("q1", "q2", "q3", "q4"), times=10)
    (flagged,) = [
        one
        for one in quiz_figures(quiz).questions
        if any("key may be wrong" in say(flag) for flag in one.figures.flags)
    ]
    assert flagged.name == "q0"
    assert "The key may be wrong: able people choose “Option 2”." in map(say, flagged.figures.flags)


@pytest.mark.django_db
def test_the_statistics_say_first_which_question_needs_somebody_and_what_to_do(client, owner):
    """The question of the wrong key by its title, before any figure; none where all is sound; and
    with too few sittings, how many there are.
    """
    quiz = quiz_of_options(5)
    client.force_login(owner, backend=BACKEND)
    address = reverse("quizzes:statistics", args=[quiz.name])
    sat(quiz, ("q0",), times=4)
    assert "Too few sittings to judge the questions: 4 of 20" in client.get(address).text
    sat(quiz, ("q0",), times=10, pick=2)
    sat(quiz, ("q1", "q2", "q3", "q4"), times=10)
    first, _, evidence = client.get(address).text.partition("How many people get each question")
    assert "1 question needs you" in first
    (urgent,) = re.findall(r"<li><a href=[^>]*><b>(.*?)</b></a>(.*?)</li>", first, re.DOTALL)
    assert urgent[0] == "Which ring is 0?"
    assert "The key may be wrong" in urgent[1]
    assert "Withdraw the question until then." in urgent[1]
    # and the charts name the questions by their titles
    for place in range(5):
        assert f">Which ring is {place}?</text>" in evidence
    assert 'font-weight="650">Which ring is 0?</text>' in evidence


@pytest.mark.django_db
def test_where_every_question_is_sound_nobody_is_needed(client, owner):
    quiz = quiz_of_options(3)
    client.force_login(owner, backend=BACKEND)
    # Wrong at random, so that no question speaks against another.
    for wrong in ((), ("q0",), ("q1",), ("q2",), ("q0", "q1"), ("q0", "q1", "q2")):
        sat(quiz, wrong, times=5)
    page = client.get(reverse("quizzes:statistics", args=[quiz.name])).text
    assert "No question needs you" in page
    assert "needs you</h2>" in page


@pytest.mark.django_db
def test_the_chart_of_shares_marks_what_guessing_gets_at_each_question(client, owner, quiz):
    """Of three options one is right; an amount is never guessed."""
    chances = {name: chance for (_, name, _), chance in guess_chances(quiz, TODAY).items()}
    assert chances["one"] == near(1 / 3)
    assert 0.0 in chances.values()
    sat(quiz, times=20)
    client.force_login(owner, backend=BACKEND)
    page = client.get(reverse("quizzes:statistics", args=[quiz.name])).text
    assert '<td data-level="By guessing" class="nowrap">33 %</td>' in page


@pytest.mark.django_db
def test_a_reworded_question_begins_anew(client, owner):
    quiz = quiz_of_options(3)
    sat(quiz, times=20)
    question = quiz.writeups.get().questions.get(name="q1")
    VersionFactory(question=question, number=2, asked=question.versions.get().asked)
    sat(quiz, times=2)
    asked = {one.name: (one.version, one.asked) for one in quiz_figures(quiz).questions}
    assert asked == {"q0": (1, 22), "q1": (2, 2), "q2": (1, 22)}
    client.force_login(owner, backend=BACKEND)
    page = client.get(reverse("quizzes:statistics", args=[quiz.name])).text
    assert page.count("Too few to say more: 2 of 20 sittings") == 1
    assert "1 question was asked in too few sittings to judge it." in page


@pytest.mark.django_db
def test_the_number_of_queries_does_not_grow():
    quiz = quiz_of_options(3)
    counted = []
    for times in (1, 20):
        sat(quiz, ("q0",), times=times)
        with CaptureQueriesContext(connection) as queries:
            quiz_figures(quiz)
        counted.append(len(queries))
    assert counted == [2, 2]
    for more in range(2):
        with CaptureQueriesContext(connection) as queries:
            assert len(guess_chances(quiz, TODAY)) == 3 + more
        counted.append(len(queries))
        VersionFactory(question__writeup=quiz.writeups.get(), question__name=f"more-{more}")
    assert counted[2] == counted[3] <= 6
    assert Answer.objects.count() == 63


def test_the_pages_of_a_quiz(client, owner, quiz):
    sat(quiz, times=20)
    sat(quiz, ("one", "order"), times=10)
    client.force_login(owner, backend=BACKEND)
    odds = client.get(reverse("quizzes:odds", args=[quiz.name]), {"percent": "60"}).text
    assert "Practically no guesser would pass this." in odds
    assert "60 %" in odds
    statistics = client.get(reverse("quizzes:statistics", args=[quiz.name])).text
    assert "30 of 30" in statistics
    assert "In one go." in statistics
    for page in (odds, statistics):
        assert "aria-labelledby" in page
        assert "style=" not in page.partition("<main")[2]


def test_a_pass_mark_that_is_none_is_told(client, owner, quiz):
    client.force_login(owner, backend=BACKEND)
    for percent in ("101", "-1", "x", ""):
        page = client.get(reverse("quizzes:odds", args=[quiz.name]), {"percent": percent})
        assert page.status_code == 200
        assert "error" in page.text


@pytest.mark.django_db
def test_a_quiz_without_questions_or_sittings_says_so(client, owner):
    quiz = QuizFactory(name="empty")
    client.force_login(owner, backend=BACKEND)
    assert "nothing to ask today" in client.get(reverse("quizzes:odds", args=["empty"])).text
    assert (
        "No sitting of this quiz has ended yet"
        in client.get(reverse("quizzes:statistics", args=["empty"])).text
    )
    assert quiz_odds(quiz, today=TODAY) is None


def test_both_pages_are_for_those_who_write(client, trainee, quiz):
    client.force_login(trainee, backend=BACKEND)
    for name in ("odds", "statistics"):
        assert client.get(reverse(f"quizzes:{name}", args=[quiz.name])).status_code == 403


def test_what_a_result_says_is_the_posterior_of_a_flat_prior(client, owner, quiz):
    """Four questions, pass mark 75: after k right of 4 the true level has the distribution Beta(k +
    1, 5 − k) (Bayes).
    """
    from scipy.stats import beta

    client.force_login(owner)
    page = client.get(f"/quizzes/{quiz.name}/odds/", {"percent": 75}).text
    for right in range(5):
        assert f'<th scope="row">{right} of 4</th>' in page
        chance = 100 * beta(right + 1, 5 - right).sf(0.75)
        assert f"<td>{f'{chance:.0f}' if chance > 0.5 else 'less than 1'} %</td>" in page
    assert not re.search(r"\d[.,]\d+ ?%", page)


def test_the_shortest_quiz_for_two_levels(client, owner, quiz):
    """Held against the binomial of scipy: the length named is enough with its mark, and one
    question fewer with no mark.
    """
    from scipy.stats import binom

    client.force_login(owner)
    page = client.get(f"/quizzes/{quiz.name}/odds/", {"weak": 60, "able": 90, "sure": 90}).text
    (many, need) = map(
        int, re.search(r"<b>Questions needed: (\d+), with (\d+) right\.</b>", page).groups()
    )

    def is_enough(n, k):
        return binom.sf(k - 1, n, 0.9) >= 0.9 and binom.cdf(k - 1, n, 0.6) >= 0.9

    assert is_enough(many, need)
    assert not any(is_enough(fewer, k) for fewer in range(1, many) for k in range(fewer + 1))


def test_levels_out_of_their_order_are_told(client, owner, quiz):
    client.force_login(owner)
    page = client.get(f"/quizzes/{quiz.name}/odds/", {"weak": 90, "able": 60, "sure": 90}).text
    assert "the person who must pass knows more than the one who must not." in page
    assert (
        "Questions needed: more than 300."
        in client.get(f"/quizzes/{quiz.name}/odds/", {"weak": 89, "able": 90, "sure": 99}).text
    )


def test_working_out_a_length_keeps_the_pass_mark_that_was_tried(client, owner, quiz):
    client.force_login(owner)
    page = client.get(f"/quizzes/{quiz.name}/odds/", {"percent": 60}).text
    assert '<input type="hidden" name="percent" value="60">' in page
