"""Are pairs and spots read, marked, shown and answered, with a mouse and without, mirrored and
not?
"""

import re
from fractions import Fraction

import pytest
from django.urls import reverse
from hypothesis import given as tried
from hypothesis import strategies as st

from procedures.writeup.letters import hidden_in
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.match import Match, Pair
from quizzes.kinds.point_at import PointAt
from quizzes.kinds.registry import read_kept
from quizzes.kinds.spots import Box, Circle, Rectangle, cells, spot_faults
from quizzes.marking.marks import marks
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.marking.writing import write_questions
from quizzes.models import Answer, Sitting
from quizzes.records.wording.say import say, say_fault
from tests.for_each import for_each
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    MATCH,
    POINT,
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    quiz_of_six,
)

WIPERS = read_kept("match", MATCH)
SPOT = PointAt("leg", (Rectangle(10, 20, 30, 40), Circle(100, 50, 10)))
BOX = Box(8, 4, 160, 120)

TEXT = """\
writeup: lower-leg-service
questions:
  - name: seals
    kind: match
    steps: [fit-seals]
    stem: What belongs together?
    pairs:
      - left: Dust wiper
        right: lip outwards
        says: It keeps the dirt out.
      - left: Oil seal
        right: cup towards the oil
    spare: [under the crown]
  - name: ring-groove
    kind: point at it
    steps: [fit-ring]
    mirror: yes
    stem: Where is the groove of the retaining ring?
    drawing: ring-seat
    region: {x: 40, y: 60, width: 30, height: 20}
"""


# Worked by hand: 3 pairs, the partners on offer are the three right ones and a spare one.
@pytest.mark.parametrize(
    ("given", "share"),
    [([0, 1, 2], 1), ([0, 2, 1], "1/3"), ([0, 1, 3], "2/3"), ([1, 2, 0], 0), ([0, 0, 0], "1/3")],
)
def test_each_pair_found_is_worth_its_part(given, share):
    worth = marks(WIPERS, given)
    assert worth.share == Fraction(share)
    assert worth.right is (share == 1)


# By hand: the rectangle takes 10..40 across and 20..60 down, its edges too; the circle of radius 10
# about (100, 50) holds (106, 58), since 6² + 8² = 10², and not (107, 58).
@pytest.mark.parametrize(
    ("given", "right"),
    [
        ([10, 20], True),
        ([40, 60], True),
        ([41, 60], False),
        ([40, 61], False),
        ([106, 58], True),
        ([107, 58], False),
        ([9, 20], False),
    ],
)
def test_a_spot_is_right_inside_a_region_and_on_its_edge(given, right):
    assert marks(SPOT, given).right is right
    assert marks(SPOT, given).share == int(right)


@for_each(
    [
        (WIPERS, [0, 1]),
        (WIPERS, [0, 1, 4]),
        (WIPERS, "012"),
        (WIPERS, [0, 1, None]),
        (WIPERS, [0, 1, True]),
        (WIPERS, 1),
        (SPOT, [1]),
        (SPOT, [1, 2, 3]),
        (SPOT, ["1", "2"]),
        (SPOT, [1.5, 2]),
        (SPOT, {"x": 1}),
        (SPOT, [10**9, 1]),
        (SPOT, [True, 1]),
    ]
)
def test_what_can_be_no_answer_is_refused(question, given):
    assert say(question.shape_fault(given)).endswith(".")
    with pytest.raises(ValueError, match=question.shape_fault(given).code):
        marks(question, given)


@tried(
    st.integers(2, 8).flatmap(
        lambda n: st.tuples(st.just(n), st.lists(st.integers(0, n - 1), min_size=n, max_size=n))
    )
)
def test_one_more_right_pair_never_lowers(case):
    many, given = case
    question = Match(tuple(Pair(f"l{place}", f"r{place}") for place in range(many)))
    for place in range(many):
        better = [*given[:place], place, *given[place + 1 :]]
        assert marks(question, better).share >= marks(question, given).share


REGIONS = st.builds(Rectangle, *(st.integers(0, 160),) * 2, *(st.integers(1, 90),) * 2) | st.builds(
    Circle, st.integers(0, 160), st.integers(0, 120), st.integers(1, 60)
)


@tried(
    st.lists(REGIONS, min_size=1, max_size=3),
    st.sampled_from([(8, 4, 160, 120), (0, 0, 400, 90), (-20, 5, 51, 200)]),
)
def test_a_spot_that_passes_the_check_can_be_found_by_cell_on_both_sides(regions, size):
    asked, box = PointAt("leg", tuple(regions)), Box(*size)
    if spot_faults(asked, box, mirror=True):
        return
    middles = [(cell.x, cell.y) for cell in cells(box)]
    assert any(marks(asked, list(spot)).right for spot in middles)
    assert any(marks(asked, [box.mirrored(x), y]).right for x, y in middles)
    assert not all(marks(asked, list(spot)).right for spot in middles)


def test_cells_cover_a_drawing_and_are_named_by_letter_and_number():
    made = cells(BOX)
    assert [cell.name for cell in made[:9]] == [
        "A1",
        "B1",
        "C1",
        "D1",
        "E1",
        "F1",
        "G1",
        "H1",
        "A2",
    ]
    # By hand: 160 / 8 = 20 wide, so the first middle lies at 8 + 10; 120 / 6 = 20 high, 4 + 10.
    assert (made[0].x, made[0].y, made[-1].x, made[-1].y) == (18, 14, 158, 114)
    assert all(BOX.holds(cell.x, cell.y) for cell in made)


def faults(text):
    with pytest.raises(BadQuestions) as bad:
        read_questions(text)
    return "\n".join(map(say_fault, bad.value.faults))


def test_pairs_and_spots_are_read():
    seals, groove = read_questions(TEXT)
    assert seals.asked == Match(
        (
            Pair("Dust wiper", "lip outwards", "It keeps the dirt out."),
            Pair("Oil seal", "cup towards the oil"),
        ),
        ("under the crown",),
    )
    assert groove.asked == PointAt("ring-seat", (Rectangle(40, 60, 30, 20),))
    assert (seals.mirror, groove.mirror) == (False, True)


@for_each(
    [
        ("        right: lip outwards\n", "", ("seals", "Pair 1 needs `left` and `right`")),
        ("left: Oil seal", "left: Dust wiper", ("same `left`",)),
        (
            "spare: [under the crown]",
            "spare: [lip outwards]",
            ("`spare` is there twice or belongs to a pair",),
        ),
        ("spare: [under the crown]", "spare: [[a]]", ("`spare` must be a list",)),
        ("        says: It keeps", "        why: It keeps", ("`why` has no meaning in pair 1",)),
        ("drawing: ring-seat", "drawing: ring seat!", ("ring-groove", "name of a drawing")),
        (
            "region: {x: 40, y: 60, width: 30, height: 20}",
            "region: {x: 40, y: 60}",
            ("`region` cannot be read", "whole units"),
        ),
        ("region: {x: 40,", "region: {x: 40.5,", ("`region` cannot be read",)),
        ("width: 30", "width: 0", ("`region` cannot be read",)),
        (
            "region: {x: 40, y: 60, width: 30, height: 20}",
            "regions: []",
            ("`regions` cannot be read",),
        ),
        (
            "    spare: [under the crown]",
            "    mirror: yes",
            ("`mirror` has no meaning in a question without a drawing",),
        ),
        ("mirror: yes", "mirror: left", ("`mirror` must be yes or no",)),
        ("name: seals", "name: edit", ("for itself",)),
    ]
)
def test_a_fault_is_told_with_the_question_and_what_was_expected(old, new, words):
    assert old in TEXT
    told = faults(TEXT.replace(old, new, 1))
    for word in words:
        assert word in told


# A letter that nobody sees is refused wherever it stands, so nobody can have written one.
WORDS = st.text(
    st.characters(codec="utf-8", exclude_categories=["C"]), min_size=1, max_size=12
).filter(lambda word: word == word.strip() and word.isprintable() and not hidden_in(word))
PAIRS = st.lists(WORDS, min_size=5, max_size=9, unique=True).map(
    lambda words: Match(
        tuple(Pair(f"l{word}", word, word) for word in words[:-2]), tuple(words[-2:])
    )
)


@tried(
    PAIRS | st.builds(PointAt, st.just("leg"), st.lists(REGIONS, min_size=1, max_size=3).map(tuple))
)
def test_what_is_written_is_read_again_and_what_is_kept_is_whole_numbers(asked):
    question = QuestionText(
        "service", "one", "Where?", asked, ("a",), mirror=isinstance(asked, PointAt)
    )
    (read,) = read_questions(write_questions("service", [question]))
    assert (read.asked, read.mirror) == (asked, question.mirror)
    assert read_kept(asked.kind, asked.as_json()) == asked
    assert (
        "." not in re.sub(r"[^\d.]", "", str(asked.as_json()["regions"]))
        if isinstance(asked, PointAt)
        else True
    )


@pytest.fixture
def sat(db, drawing, book, client, trainee):
    """The trainee's sitting with one question of every kind, its answers by name, and a way to its
    pages.
    """
    sitting = start_sitting(
        quiz=quiz_of_six(), person=trainee, pass_percent=75, now=NOW, seed=5, today=TODAY
    )
    client.force_login(trainee)
    answers = {
        answer.version.question.name: answer
        for answer in sitting.answers.select_related("version__question")
    }

    def visit(name, data=None):
        url = reverse("quizzes:question", args=[sitting.pk, answers[name].place])
        return client.get(url) if data is None else client.post(url, data)

    def given(name):
        return Answer.objects.get(pk=answers[name].pk).given

    visit.sitting, visit.answers, visit.given = sitting, answers, given
    return visit


def test_pairs_are_answered_by_one_list_for_each(sat):
    shown = sat.answers["pairs"].shown
    text = sat("pairs").text
    assert text.count("<select") == 3
    # The oil seal (1) gets its own partner, the others the spare one (3).
    data = {
        f"answer-{at}": shown["partners"].index(1 if pair == 1 else 3) + 1
        for at, pair in enumerate(shown["order"], start=1)
    }
    sat("pairs", data)
    assert sat.given("pairs") == [3, 1, 3]
    assert sat("pairs").text.count(" selected") == 3


def test_a_pair_without_a_partner_is_told_and_not_saved(sat):
    got = sat("pairs", {"answer-1": "1", "answer-2": "", "answer-3": "9"})
    assert "Choose what belongs to" in got.text
    assert "Select a valid choice" in got.text
    assert sat.given("pairs") is None


def test_a_spot_is_answered_by_its_cell_without_a_script(sat):
    text = sat("spot").text
    assert len(re.findall(r'type="radio" name="cell"', text)) == 48
    sat("spot", {"cell": "10", "across": "", "down": ""})
    # The tenth cell is B2: its middle lies at 8 + 30 across and 4 + 30 down.
    assert sat.given("spot") == [38, 34]
    text = sat("spot").text
    assert re.search(r'value="10"[^>]*checked', text)
    assert 'name="across" value="30"' in text
    assert '<g class="cross">' in text


def test_a_spot_is_answered_by_two_numbers_and_what_was_changed_counts(sat):
    sat("spot", {"across": "125", "down": "87"})
    assert sat.given("spot") == [133, 91]
    # Another cell chosen on the page that shows those numbers: the cell counts.
    sat("spot", {"cell": "1", "across": "125", "down": "87"})
    assert sat.given("spot") == [18, 14]
    # Other numbers typed while the old cell is still chosen: the numbers count.
    sat("spot", {"cell": "1", "across": "99", "down": "10"})
    assert sat.given("spot") == [107, 14]


@pytest.mark.parametrize(
    ("data", "word"),
    [
        ({}, "Point at one spot"),
        ({"across": "5"}, "Point at one spot"),
        ({"across": "161", "down": "0"}, "160"),
        ({"across": "x", "down": "0"}, "whole number"),
        ({"cell": "99"}, "Select a valid choice"),
    ],
)
def test_what_points_nowhere_is_told_and_not_saved(sat, data, word):
    assert word in sat("spot", data).text
    assert sat.given("spot") is None


def mirrored_sitting(trainee, seed):
    version = VersionFactory(point=True, mirror=True, stem="Where? ![A leg](drawing:stand-in)")
    quiz = QuizFactory(writeups=[version.question.writeup], size=1)
    return start_sitting(
        quiz=quiz, person=trainee, pass_percent=75, now=NOW, seed=seed, today=TODAY
    )


@pytest.mark.django_db
def test_half_of_the_sittings_show_the_other_hand_and_a_seed_shows_the_same_again(
    drawing, book, trainee
):
    seen = []
    for seed in [*range(30), *range(30)]:
        seen.append(mirrored_sitting(trainee, seed).answers.get().shown["mirrored"])
        Answer.objects.all().delete()
        Sitting.objects.all().delete()
    assert seen[:30] == seen[30:]
    assert 5 <= sum(seen[:30]) <= 25  # a fair coin falls outside in 1 of 17 000 times


@pytest.mark.django_db
@pytest.mark.parametrize("mirrored", [False, True])
def test_a_mirrored_drawing_is_pointed_at_on_its_other_side(
    drawing, book, client, trainee, mirrored
):
    sitting = next(
        one
        for one in (mirrored_sitting(trainee, seed) for seed in range(20))
        if one.answers.get().shown["mirrored"] is mirrored
    )
    client.force_login(trainee)
    url = f"/sitting/{sitting.pk}/1/"
    text = client.get(url).text
    assert text.count(f'data-mirrored="{str(mirrored).lower()}"') == 2
    assert re.findall(r'id="(leg-[^"]+)"', text)[0] != re.findall(r'id="(leg-[^"]+)"', text)[1]
    # The round region lies 125 from the left edge of the drawing as it was made, so 160 − 125 from
    # the left when mirrored.
    client.post(url, {"across": "35" if mirrored else "125", "down": "87"})
    assert Answer.objects.get(sitting=sitting).given == [133, 91]
    assert f'name="across" value="{35 if mirrored else 125}"' in client.get(url).text
    ended = end_sitting(sitting=sitting, now=NOW, today=TODAY)
    assert ended.percent == 100
    result = client.get(f"/sitting/{sitting.pk}/result/").text
    # 2·8 + 160 − 133 = 43; the rectangle from 11 to 68 becomes 108 to 165.
    assert f'cx="{43 if mirrored else 133}" cy="91" r="17"' in result
    assert f'<rect class="right" x="{108 if mirrored else 11}"' in result


def test_the_result_says_which_pairs_were_right_and_shows_the_region(sat, client):
    save_answer(sitting=sat.sitting, place=sat.answers["pairs"].place, given=[0, 2, 1], now=NOW)
    save_answer(sitting=sat.sitting, place=sat.answers["spot"].place, given=[100, 100], now=NOW)
    # half of the six
    save_answer(sitting=sat.sitting, place=sat.answers["torque"].place, given="28 N·m", now=NOW)
    end_sitting(sitting=sat.sitting, now=NOW, today=TODAY)
    text = client.get(f"/sitting/{sat.sitting.pk}/result/").text
    for word in (
        "partly right (33 % of the marks)",
        "<b>right:</b> lip outwards",
        "The pressure opens the cup.",
        'class="right"',
        "dashed outline",
    ):
        assert word in text, word


def test_a_drawing_that_is_not_there_can_not_be_pointed_at(db, trainee, book, drawing):
    other = {"drawing": "gone", "regions": POINT["regions"]}
    version = VersionFactory(question__writeup=ReleasedFactory(), asked=other, kind="point at it")
    VersionFactory(
        question__writeup=version.question.writeup, stem="![The leg in words](drawing:gone) Which?"
    )
    sitting = start_sitting(
        quiz=QuizFactory(writeups=[version.question.writeup]),
        person=trainee,
        pass_percent=75,
        now=NOW,
        today=TODAY,
    )
    assert [answer.version.kind for answer in sitting.answers.all()] == ["choose one"]


def test_a_drawing_that_is_not_there_is_told_in_its_words(db, trainee, book, client):
    version = VersionFactory(stem="![The leg in words](drawing:gone) Which?")
    quiz = QuizFactory(writeups=[version.question.writeup])
    sitting = start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=NOW, today=TODAY)
    client.force_login(trainee)
    assert "The leg in words" in client.get(f"/sitting/{sitting.pk}/1/").text
