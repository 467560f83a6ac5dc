"""Is a question asked only when another has accepted it, and set aside when a release changes its
step?
"""

import datetime
import re

import pytest
from django.core.exceptions import ValidationError
from django.db import DatabaseError, transaction

from procedures.records.refused import Refused
from procedures.writeup.parse import parse
from quizzes.actions.questions import bring_questions
from quizzes.actions.reviews import confirm_question, withdraw_question
from quizzes.actions.sittings import end_sitting, start_sitting
from quizzes.marking.changed import is_amount_gone, steps_to_read_again
from quizzes.marking.coverage import gaps
from quizzes.marking.texts import read_questions
from quizzes.models import Question, QuestionConfirmed, QuestionVersion
from quizzes.records.wording.say import say
from quizzes.reports.bank import questions_text
from tests.procedures.factories import NOW, TEXT, RevisionFactory
from tests.quizzes.factories import TODAY, ReleasedFactory, VersionFactory, given_rules

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]
LATER = NOW + datetime.timedelta(hours=1)


@pytest.fixture
def writeup(quiz):
    """The write-up of the quiz, whose questions all say that they were written beside revision
    1.
    """
    writeup = quiz.writeups.get()
    for version in QuestionVersion.objects.filter(question__writeup=writeup):
        VersionFactory(
            question=version.question,
            number=2,
            kind=version.kind,
            asked=version.asked,
            steps=version.steps,
            revision=1,
            critical=version.critical,
        )
    return writeup


@pytest.fixture
def one(writeup):
    return Question.objects.get(name="one")


def asked(quiz, person):
    sitting = start_sitting(quiz=quiz, person=person, pass_percent=75, now=LATER, today=TODAY)
    names = {
        answer.version.question.name: answer.version.number
        for answer in sitting.answers.select_related("version__question")
    }
    sitting.answers.all().delete()
    sitting.delete()
    return names


def rewritten(writeup, author):
    text = questions_text(writeup).replace("Stem of one?", "How do you let it out?", 1)
    (version,) = bring_questions(
        writeup=writeup, questions=read_questions(text), now=LATER, author=author
    )
    return version


def release(writeup, old, new, *, number=2, asks="nothing", **more):
    text = writeup.revisions.order_by("number").last().text
    assert old in text
    return RevisionFactory(
        writeup=writeup,
        number=number,
        text=text.replace(old, new),
        released=True,
        asks=asks,
        **more,
    )


def test_a_new_wording_is_asked_when_another_than_its_author_has_accepted_it(
    quiz, writeup, one, senior, owner, trainee
):
    version = rewritten(writeup, senior)
    assert (version.number, version.revision, version.author) == (3, 1, senior)
    assert asked(quiz, trainee)["one"] == 2
    with pytest.raises(Refused, match="somebody else must approve"):
        confirm_question(question=one, number=3, by=senior, now=LATER)
    confirm_question(question=one, number=3, by=owner, now=LATER)
    assert asked(quiz, trainee)["one"] == 3


def test_a_question_that_is_new_is_not_asked_before_it_is_accepted(
    quiz, writeup, senior, owner, trainee
):
    version = VersionFactory(
        question__writeup=writeup, question__name="fresh", author=senior, revision=1
    )
    assert "fresh" not in asked(quiz, trainee)
    confirm_question(question=version.question, number=1, by=owner, now=LATER)
    given_rules(quiz, size=9)
    assert "fresh" in asked(quiz, trainee)


def test_a_wording_that_waits_leaves_an_open_sitting_as_it_is(
    quiz, writeup, one, senior, owner, trainee
):
    sitting = start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=LATER, today=TODAY)
    rewritten(writeup, senior)
    assert (
        start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=LATER, today=TODAY) == sitting
    )
    confirm_question(question=one, number=3, by=owner, now=LATER)
    with pytest.raises(Refused, match="have changed since it began"):
        end_sitting(sitting=sitting, now=LATER, today=TODAY)


def test_only_what_was_read_is_accepted_and_only_by_those_who_write(
    writeup, one, senior, owner, trainee
):
    rewritten(writeup, senior)
    with pytest.raises(Refused, match="newer version"):
        confirm_question(question=one, number=2, by=owner, now=LATER)
    with pytest.raises(Refused, match="senior mechanic or the owner"):
        confirm_question(question=one, number=3, by=trainee, now=LATER)
    assert not QuestionConfirmed.objects.exists()


def test_a_release_that_changes_a_step_sets_its_questions_aside_until_they_are_confirmed(
    quiz, writeup, one, senior, trainee
):
    release(
        writeup, "Press the valve core until the hiss stops.", "Press the valve core three times."
    )
    # All four stand on let-air-out.
    assert nothing_is_asked(quiz, trainee)
    confirm_question(question=one, number=2, by=senior, now=LATER)
    assert set(asked(quiz, trainee)) == {"one"}


def test_what_set_a_question_aside_is_shown_before_and_now(client, writeup, one, senior):
    client.force_login(senior)
    page = f"/questions/{writeup.name}/one/"
    assert "before and now" not in client.get(page).text
    release(writeup, "until the hiss stops", "three times")
    (step,) = client.get(page).context["page"].changed
    assert (step.title, step.is_known) == ("Let the air out", True)
    assert "<del>" in step.drawn.before
    assert "until the hiss stops" in re.sub("</?del>", "", step.drawn.before)
    assert "three times" in re.sub("</?ins>", "", step.drawn.now)
    assert "until the hiss stops" not in re.sub("</?ins>", "", step.drawn.now)


def test_its_author_confirms_a_change_only_where_nobody_else_could(writeup, one, senior, owner):
    rewritten(writeup, senior)
    confirm_question(question=one, number=3, by=owner, now=LATER)
    release(writeup, "until the hiss stops", "three times")
    with pytest.raises(Refused, match="somebody else must confirm"):
        confirm_question(question=one, number=3, by=senior, now=LATER)
    owner.is_active = False
    owner.save()
    confirm_question(question=one, number=3, by=senior, now=LATER)


def test_an_amount_that_the_step_does_not_say_any_more_is_not_confirmed(client, writeup, senior):
    question = Question.objects.get(name="torque")
    right = question.versions.last().content().amount
    # A version that was read where its step said the right amount.
    release(
        writeup,
        "### Let the air out {#let-air-out}\n",
        f"### Let the air out {{#let-air-out}}\ntorque: {right}\n",
    )
    number = question.versions.last().number
    confirm_question(question=question, number=number, by=senior, now=LATER)
    release(writeup, f"torque: {right}", "torque: 99 N·m", number=3)
    with pytest.raises(Refused, match="the step says something else now"):
        confirm_question(question=question, number=number, by=senior, now=LATER)
    client.force_login(senior)
    text = client.get(f"/questions/{writeup.name}/torque/").text
    assert "the step says something else now" in text
    assert "Confirm this question" not in text
    # Within the right amount, in whatever unit, it is not gone: 28 N·m, NIST SP 811, appendix B.8.
    assert right.startswith("28")
    release(writeup, "torque: 99 N·m", "torque: 248 in·lbf", number=4)
    confirm_question(question=question, number=number, by=senior, now=LATER)


STEP = "---\ntitle: T\n---\n### Tighten {#tighten}\n"


@pytest.mark.parametrize(
    ("old", "new", "is_gone"),
    [
        ("torque: 7 N·m", "torque: 7 N·m\ntool: wrench", False),
        ("torque: 7 N·m", "torque: 62 in·lbf", False),  # 62 × 0.1129848 = 7.005: NIST SP 811, B.8
        ("torque: 7 N·m", "torque: 8 N·m", True),
        ("torque: 7 N·m", "", True),
        ("torque: 7 N·m\n\nTo [[7 N·m]].", "torque: 7 N·m\n\nTo [[8 N·m]].", True),
        ("torque: 7 N·m\n\nTo [[7 N·m]].", "torque: 7 N·m\n\nTighten.", False),
        ("measure: sag 20 %", "measure: sag 25 %", False),  # the right one never stood there
    ],
)
def test_whether_a_right_amount_is_gone_from_its_steps(old, new, is_gone):
    texts = (parse(STEP + old), parse(STEP + new))
    assert is_amount_gone("7 ± 0.5 N·m", ("tighten",), *texts) is is_gone


def nothing_is_asked(quiz, person):
    with pytest.raises(Refused, match="This quiz has no question yet"):
        asked(quiz, person)
    return True


def test_a_release_that_changes_another_step_sets_nothing_aside(quiz, writeup, trainee):
    release(writeup, "Walk the ring out of its groove.", "Walk the ring slowly out of its groove.")
    assert set(asked(quiz, trainee)) == {"one", "all", "order", "torque"}


def test_two_releases_later_it_is_still_set_aside(quiz, writeup, trainee):
    release(writeup, "until the hiss stops", "three times")
    release(writeup, "Walk the ring out", "Walk the ring slowly out", number=3)
    assert nothing_is_asked(quiz, trainee)


def test_a_change_that_is_taken_back_sets_nothing_aside(quiz, writeup, trainee):
    release(writeup, "until the hiss stops", "three times")
    release(writeup, "three times", "until the hiss stops", number=3)
    assert set(asked(quiz, trainee)) == {"one", "all", "order", "torque"}


def test_a_question_read_beside_a_draft_that_was_written_on_is_set_aside(
    quiz, writeup, one, senior, trainee
):
    draft = RevisionFactory(writeup=writeup, number=2, text=writeup.revisions.get().text)
    confirm_question(question=one, number=2, by=senior, now=LATER)
    assert "one" in asked(quiz, trainee)
    draft.changed_at = LATER + datetime.timedelta(minutes=1)
    draft.save()
    assert "one" not in asked(quiz, trainee)


def test_a_question_that_no_longer_fits_is_not_confirmed(writeup, one, senior):
    release(writeup, "{#let-air-out}", "{#release-air}")
    with pytest.raises(Refused) as refused:
        confirm_question(question=one, number=2, by=senior, now=LATER)
    assert "no step “let-air-out”" in refused.value.details[0]


def test_a_withdrawn_question_is_kept_and_not_asked_until_it_is_written_anew(
    quiz, writeup, one, senior, owner, trainee
):
    sitting = start_sitting(quiz=quiz, person=trainee, pass_percent=75, now=LATER, today=TODAY)
    with pytest.raises(Refused, match="Say why"):
        withdraw_question(question=one, number=2, reason=" ", by=senior, now=LATER)
    withdraw_question(question=one, number=2, reason="The key is wrong.", by=senior, now=LATER)
    with pytest.raises(Refused, match="already"):
        withdraw_question(question=one, number=2, reason="Again.", by=senior, now=LATER)
    with pytest.raises(Refused, match="have changed since it began"):
        end_sitting(sitting=sitting, now=LATER, today=TODAY)
    sitting.answers.all().delete()
    sitting.delete()
    assert set(asked(quiz, trainee)) == {"all", "order", "torque"}
    assert QuestionVersion.objects.filter(question=one).count() == 2
    confirm_question(question=one, number=rewritten(writeup, senior).number, by=owner, now=LATER)
    assert asked(quiz, trainee)["one"] == 3


def test_what_was_confirmed_and_withdrawn_stays_written(one, senior):
    confirm_question(question=one, number=2, by=senior, now=LATER)
    withdraw_question(question=one, number=2, reason="Doubt.", by=senior, now=LATER)
    for rows in (QuestionConfirmed.objects.all(), one.versions.last().withdrawn.all()):
        with pytest.raises(DatabaseError, match="stays written"), transaction.atomic():
            rows.delete()


def test_the_pages_tell_and_do_it(client, quiz, writeup, one, senior, owner):
    client.force_login(senior)
    release(writeup, "until the hiss stops", "three times")
    url = f"/questions/{writeup.name}/one/"
    assert (
        "This step has changed since the question was read beside revision 1: “Let the air out”"
        in client.get("/questions/").text
    )
    assert "Confirm this question" in client.get(url).text
    client.post(url + "confirm/", {"version": "2"})
    assert "Confirm this question" not in client.get(url).text
    rewritten(writeup, senior)
    text = client.get(url).text
    assert "somebody else must approve it" in text
    assert "Until then version 2 is asked" in text
    assert (
        "somebody else must approve"
        in client.post(url + "confirm/", {"version": "3"}, follow=True).text
    )
    client.force_login(owner)
    assert "Approve this question" in client.get(url).text
    client.post(url + "confirm/", {"version": "3"})
    assert "Not asked now" not in client.get(url).text
    client.post(url + "withdraw/", {"version": "3", "reason": "The key is wrong."})
    assert "Withdrawn: The key is wrong." in client.get("/questions/").text
    assert (
        "newer version"
        in client.post(url + "withdraw/", {"version": "x", "reason": "?"}, follow=True).text
    )


def test_a_name_that_stands_in_addresses_is_no_name_of_a_question(writeup):
    with pytest.raises(ValidationError, match="for itself"):
        Question(writeup=writeup, name="edit").full_clean()


@pytest.mark.parametrize(
    ("old", "new", "changed"),
    [
        ("Put the guard on the shaft.", "Put the guard\non the  shaft.", set()),
        # Words only: in a critical step they count, elsewhere they do not.
        ("Put the guard on the shaft.", "Put the clean guard on the shaft.", set()),
        ("Press the valve core until", "Push the valve core until", {"let-air-out"}),
        ("Put the guard on the shaft.", "Put the guard not on the shaft.", {"guard-shaft"}),
        ("needs: depressurised", "needs: air let out", {"open-chamber"}),
        ("It can blind.", "It can blind and kill.", {"open-chamber"}),
        ("## Open it\n", "## Open it up\n\nA new line.\n", set()),
        ("{#guard-off}", "{#take-guard-off}", {"guard-off", "take-guard-off"}),
        ("only if: ring = prong", "only if: ring = prong | eyelet", {"walk-ring"}),
    ],
)
def test_which_steps_a_revision_changes(old, new, changed):
    text = TEXT.format(title="Service")
    assert old in text
    assert steps_to_read_again(parse(text), parse(text.replace(old, new))) == changed


def test_the_gaps_are_what_no_question_and_no_line_is_about(client, senior):
    text = TEXT.format(title="Service")
    # Read off the text: one critical step and its caution at let-air-out, which has a line since it
    # is critical; one caution at open-chamber, which is neither critical nor a hold and has no
    # value, so it has no line.
    first = gaps(parse(text), {"let-air-out"})
    told = {(say(gap.what), gap.no_question, gap.no_line) for gap in first}
    assert told == {("WARNING “Trapped air”, at the step “Open the chamber”", True, True)}
    told = {(gap.step, gap.no_question, gap.no_line) for gap in gaps(parse(text), {"open-chamber"})}
    assert told == {("let-air-out", True, False), ("open-chamber", False, True)}
    held = parse(text.replace("opens: air chamber\n", "opens: air chamber\nhold: yes\n"))
    assert gaps(held, {"let-air-out", "open-chamber"}) == ()
    version = VersionFactory(question__writeup=ReleasedFactory(), steps=["open-chamber"])
    client.force_login(senior)
    page = client.get("/questions/").text
    assert "Critical step “Let the air out”" in page
    assert version.question.name in page


def test_a_caution_before_a_phase_is_covered_through_any_step_of_it():
    caution = (
        '!!! danger "Spring under load"\n    hazard: A spring.\n    harm: It can blind.\n    '
        "avoid: Stand aside.\n\n"
    )
    text = TEXT.format(title="Service").replace("## Open it\n\n", f"## Open it\n\n{caution}")
    parsed = parse(text)
    assert not parsed.faults
    named = [say(gap.what) for gap in gaps(parsed, {"let-air-out"})]
    assert named[0] == "DANGER “Spring under load”, before the phase “Open it”"
    assert not [
        gap
        for gap in gaps(parsed, {"walk-ring"})
        if say(gap.what).startswith("DANGER") and gap.no_question
    ]


def test_the_page_of_a_write_up_lists_its_gaps_for_those_who_write(client, senior, trainee):
    """As above: what nothing asks about, and what has no line since it is neither critical nor a
    hold.
    """
    revision = ReleasedFactory().revisions.get()
    page = f"/write-ups/{revision.writeup.name}/{revision.number}/"
    client.force_login(senior)
    shown = client.get(page).text
    for said in (
        "Critical step “Let the air out”: no question.",
        "WARNING “Air under pressure”, at the step “Let the air out”: no question.",
        "WARNING “Trapped air”, at the step “Open the chamber”: no question and no line on "
        "the check sheet.",
    ):
        assert said in shown
    VersionFactory(question__writeup=revision.writeup, steps=["let-air-out"])
    assert "Critical step “Let the air out”" not in client.get(page).text
    client.force_login(trainee)
    assert "no line on the check sheet" not in client.get(page).text
