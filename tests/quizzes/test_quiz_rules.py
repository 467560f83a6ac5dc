"""Does a quiz draw by its rules, and does one sit again only when its rules allow it?"""

import datetime
from collections import Counter
from random import Random

import pytest
from hypothesis import given as tried
from hypothesis import strategies as st

from procedures.records.refused import Refused
from quizzes.actions.again import Signature, record_gone_through, record_talk, take_more_time
from quizzes.actions.questions import set_quiz, set_quiz_rules
from quizzes.actions.sittings import OutOfTime, end_sitting, save_answer, start_sitting
from quizzes.marking.draws import PHASE, STEP, Candidate, DrawRules, FromPart, draw
from quizzes.models import Sitting
from quizzes.records.retry import missed_steps
from quizzes.reports.quiz import quiz_page
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    right_answer,
    wrong_answer,
)

SIGNED = Signature("I have gone through each of these steps again.", "Sol Senior", "0" * 64)

PARTS = st.lists(
    st.tuples(
        st.sampled_from("ab"),
        st.sampled_from([(PHASE, "p1"), (PHASE, "p2"), (STEP, "s1"), (STEP, "s3")]),
        st.integers(1, 4),
    ),
    max_size=4,
    unique_by=lambda part: part[:2],
).map(
    lambda parts: tuple(
        FromPart(writeup, part, name, count) for writeup, (part, name), count in parts
    )
)
BANKS = st.lists(
    st.tuples(
        st.sampled_from("ab"),
        st.booleans(),
        st.sets(st.sampled_from(["s1", "s2", "s3"]), min_size=1),
    ),
    min_size=1,
    max_size=25,
).map(
    lambda rows: [
        Candidate(
            key,
            writeup,
            critical,
            frozenset(steps),
            frozenset("p2" if step == "s3" else "p1" for step in steps),
        )
        for key, (writeup, critical, steps) in enumerate(rows)
    ]
)


@tried(BANKS, PARTS, st.integers(0, 20), st.integers(0, 100), st.integers(0, 2**31 - 1))
def test_a_draw_keeps_its_rules_as_far_as_the_bank_goes(bank, parts, size, share, seed):
    rules = DrawRules(size, share, parts)
    drawn = draw(bank, rules, Random(seed))
    assert drawn == draw(bank, rules, Random(seed))
    assert len(set(drawn)) == len(drawn) >= min(size, len(bank))
    by_key = {one.key: one for one in bank}
    for part in parts:
        there = sum(part.fits(one) for one in bank)
        assert sum(part.fits(by_key[key]) for key in drawn) >= min(part.count, there)
    critical = [one.key for one in bank if one.critical]
    # At least the share, rounded up: with 3 critical questions 34 % are two of them.
    assert sum(key in drawn for key in critical) * 100 >= share * len(critical)
    if share == 100:
        assert set(critical) <= set(drawn)


def test_a_share_of_the_critical_ones_is_drawn_from_all_of_them():
    bank = [Candidate(key, "a", critical=True) for key in range(4)]
    seen = Counter(key for seed in range(60) for key in draw(bank, DrawRules(0, 50), Random(seed)))
    assert sum(seen.values()) == 120
    assert set(seen) == {0, 1, 2, 3}


pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]


def on(days):
    """A later day, and an instant on it."""
    return {
        "today": TODAY + datetime.timedelta(days=days),
        "now": NOW + datetime.timedelta(days=days),
    }


def start(quiz, person, days=0):
    return start_sitting(quiz=quiz, person=person, pass_percent=75, **on(days))


def sit(quiz, person, days=0, *, right=False):
    """A sitting with every question answered, all right or all wrong."""
    sitting, given = start(quiz, person, days), right_answer if right else wrong_answer
    for answer in sitting.answers.select_related("version"):
        save_answer(sitting=sitting, place=answer.place, given=given(answer), now=NOW)
    return end_sitting(sitting=sitting, **on(days))


def clear(sitting, senior, days=0, steps=None):
    missed = missed_steps(sitting) if steps is None else steps
    day = on(days)
    return record_gone_through(
        sitting=sitting, steps=missed, by=senior, signature=SIGNED, on=day["today"], now=day["now"]
    )


def talk(sitting, senior, days=0, note="The order is clear now."):
    day = on(days)
    return record_talk(
        sitting=sitting, note=note, by=senior, signature=SIGNED, on=day["today"], now=day["now"]
    )


def test_without_rules_one_may_sit_again_at_once(quiz, trainee):
    sit(quiz, trainee)
    assert start(quiz, trainee).is_open()


def test_after_a_sitting_not_passed_the_next_one_waits_its_days(quiz, trainee, mechanic):
    set_quiz_rules(quiz=quiz, size=4, wait_days=3)
    sit(quiz, trainee)
    for days in (0, 1, 2):
        with pytest.raises(
            Refused, match=r"can begin on 28 Nov 2026; or sooner, when a senior mechanic"
        ):
            start(quiz, trainee, days)
    assert start(quiz, trainee, 3).is_open()
    assert start(quiz, mechanic).is_open()


def test_after_a_pass_nothing_waits(quiz, trainee):
    set_quiz_rules(quiz=quiz, size=4, wait_days=3)
    assert sit(quiz, trainee, right=True).is_passed()
    assert start(quiz, trainee).is_open()


def test_it_comes_sooner_when_a_senior_signs_that_each_missed_step_was_gone_through(
    quiz, trainee, senior, book
):
    set_quiz_rules(quiz=quiz, size=4, wait_days=3)
    sitting = sit(quiz, trainee)
    missed = missed_steps(sitting)
    assert {step for _, step in missed} == {
        "let-air-out",
        "guard-shaft",
        "open-chamber",
        "guard-off",
    }
    with pytest.raises(Refused) as refused:
        clear(sitting, senior, steps=missed[:-1])
    assert refused.value.details == (missed[-1][1],)
    with pytest.raises(Refused, match="can begin on"):
        start(quiz, trainee)
    clear(sitting, senior)
    kind, body = book[-1]
    assert (kind, body["person"], body["by"], body["printed_name"]) == (
        "gone through",
        trainee.login,
        senior.login,
        "Sol Senior",
    )
    assert body["steps"] == [list(step) for step in missed]
    assert start(quiz, trainee).is_open()


def test_nobody_clears_their_own_way_nor_where_there_is_nothing_to_clear(quiz, trainee, senior):
    failed = sit(quiz, senior)
    for act in (clear, talk):
        with pytest.raises(Refused, match="You cannot sign for yourself"):
            act(failed, senior)
        with pytest.raises(Refused, match="has not ended"):
            act(start(quiz, trainee), senior)
    Sitting.objects.get(person=trainee).answers.all().delete()
    Sitting.objects.get(person=trainee).delete()
    passed = sit(quiz, trainee, right=True)
    with pytest.raises(Refused, match="was passed"):
        clear(passed, senior)
    with pytest.raises(Refused, match="what you agreed"):
        talk(failed, trainee, note=" ")


def test_after_three_in_a_row_a_talk_comes_first_and_the_count_begins_anew(
    quiz, trainee, senior, book
):
    for days in (0, 1, 2):
        last = sit(quiz, trainee, days)
    with pytest.raises(Refused, match="3 sittings in a row were not passed"):
        start(quiz, trainee, 300)
    talk(last, senior, 3)
    assert book[-1][0] == "talk"
    for days in (3, 4, 5):
        last = sit(quiz, trainee, days)
    with pytest.raises(Refused, match="in a row"):
        start(quiz, trainee, 6)


def test_a_pass_between_breaks_the_row(quiz, trainee):
    sit(quiz, trainee)
    sit(quiz, trainee, 1)
    sit(quiz, trainee, 2, right=True)
    sit(quiz, trainee, 3)
    sit(quiz, trainee, 4)
    assert start(quiz, trainee, 5).is_open()


def test_so_many_sittings_a_day(quiz, trainee):
    set_quiz_rules(quiz=quiz, size=4, sittings_a_day=1)
    sit(quiz, trainee, right=True)
    with pytest.raises(Refused, match="only once a day"):
        start(quiz, trainee)
    assert start(quiz, trainee, 1).is_open()


def test_the_rules_of_the_draw_are_kept_with_the_sitting(quiz, trainee):
    name = quiz.writeups.get().name
    parts = (FromPart(name, STEP, "guard-off", 1), FromPart(name, PHASE, "Open it", 1))
    set_quiz_rules(quiz=quiz, size=1, parts=parts)
    sitting = start(quiz, trainee)
    # The critical torque, and the one question that stands on guard-off and so on the phase, too.
    assert {
        answer.version.question.name
        for answer in sitting.answers.select_related("version__question")
    } == {"torque", "order"}
    assert sitting.drawn_by["parts"][0] == {
        "writeup": name,
        "part": "step",
        "name": "guard-off",
        "count": 1,
    }
    set_quiz(name=quiz.name, title="Another title", writeups=quiz.writeups.all())
    quiz.refresh_from_db()
    assert (quiz.title, quiz.rules.size, len(quiz.rules.parts)) == ("Another title", 1, 2)


@pytest.fixture
def timed(quiz, trainee):
    set_quiz_rules(quiz=quiz, size=4, minutes=20)
    return start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=NOW, today=TODAY)


def later(minutes):
    return NOW + datetime.timedelta(minutes=minutes)


def test_a_time_that_is_set_ends_and_more_can_be_taken_as_often_as_one_likes(timed, book):
    save_answer(
        sitting=timed, place=1, given=right_answer(timed.answers.get(place=1)), now=later(20)
    )
    with pytest.raises(OutOfTime, match="Take more time"):
        save_answer(
            sitting=timed, place=2, given=right_answer(timed.answers.get(place=2)), now=later(21)
        )
    for _ in range(12):  # WCAG 2.2, 2.2.1: at least ten times as much
        take_more_time(sitting=timed, now=later(10))
    save_answer(
        sitting=timed, place=2, given=right_answer(timed.answers.get(place=2)), now=later(260)
    )
    end_sitting(sitting=timed, now=later(900), today=TODAY)
    assert book[-1][1]["minutes"] == 20
    assert [more["minutes"] for more in book[-1][1]["more_time"]] == [20] * 12
    with pytest.raises(Refused, match="has ended"):
        take_more_time(sitting=timed, now=later(901))


def test_more_time_taken_after_the_end_begins_now(timed):
    take_more_time(sitting=timed, now=later(95))
    save_answer(
        sitting=timed, place=1, given=right_answer(timed.answers.get(place=1)), now=later(114)
    )
    assert timed.more_time.get().minutes == 95


def test_a_sitting_without_a_time_needs_no_more(sitting):
    with pytest.raises(Refused, match="no time limit"):
        take_more_time(sitting=sitting, now=NOW)
    assert sitting.ends_at() is None


def test_the_page_says_until_when_and_keeps_what_was_typed_too_late(
    client, trainee, timed, time_machine
):
    time_machine.move_to(later(5), tick=False)
    client.force_login(trainee)
    torque = timed.answers.get(version__kind="give the amount")
    url = f"/sitting/{timed.pk}/{torque.place}/"
    # The workshop is in Vienna, an hour ahead of UTC: 09:30 and 20 minutes.
    assert "Time until 10:50" in client.get(url).text
    assert "You have 20 minutes" in client.get(f"/sitting/{timed.pk}/").text
    time_machine.move_to(later(30), tick=False)
    late = client.post(url, {"answer": "28 N·m"})
    assert "Take more time and save it again" in late.text
    assert 'value="28 N·m"' in late.text
    assert client.post(f"/sitting/{timed.pk}/more-time/", {"place": torque.place}).url == url
    client.post(url, {"answer": "28 N·m"})
    torque.refresh_from_db()
    assert torque.given == "28 N·m"


def test_two_phases_of_one_title_are_one_part_of_the_draw(db):
    phases = "".join(f"## Same\n\n### {one} {{#{one}}}\n\nDo it.\n\n" for one in "ab")
    writeup = ReleasedFactory(revision__text=f"---\ntitle: T\n---\n{phases}")
    for step in "ab":
        VersionFactory(question__writeup=writeup, steps=[step])
    page = quiz_page(QuizFactory(writeups=[writeup]), today=TODAY)
    assert [(part.name, part.there) for part in page.parts] == [("Same", 2), ("a", 1), ("b", 1)]


def test_the_rules_are_kept_on_their_page(client, senior, trainee, quiz):
    client.force_login(senior)
    url = f"/quizzes/{quiz.name}/"
    page = client.get(url).text
    for word in (
        ": phases</summary>",
        "Make it safe</label>",
        "Open the chamber</label>",
        "It asks 4 questions now. Critical: 1.",
    ):
        assert word in page
    given = {
        "size": 6,
        "critical_percent": 50,
        "minutes": 0,
        "wait_days": 2,
        "sittings_a_day": 1,
        "recall_percent": 85,
        "part-1": "2",
    }
    assert client.post(url, given).status_code == 302
    quiz.refresh_from_db()
    rules = quiz.rules
    assert (
        rules.size,
        rules.critical_percent,
        rules.wait_days,
        rules.sittings_a_day,
        rules.recall_percent,
    ) == (6, 50, 2, 1, 85)
    assert [(part["part"], part["name"], part["count"]) for part in rules.parts] == [
        ("phase", "Make it safe", 2)
    ]
    assert "Type 100 or less." in client.post(url, given | {"critical_percent": 101}).text
    client.force_login(trainee)
    assert client.get(url).status_code == 403
