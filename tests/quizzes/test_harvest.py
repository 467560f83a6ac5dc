"""Can several people who share all that they see collect the answers of questions that none of them
has answered?

Every question of the bank says things that no other one says. People sit, break off, look round,
sit again and practise by a drawn lot; whatever page leads from a page that they may open is read.
What the pages tell then is of questions that somebody answered in a sitting that went on to its
half, and of nothing else. The draws are the same every time.
"""

import datetime
import re
from random import Random

import pytest
from django.urls import reverse, reverse_lazy

from procedures.records.refused import Refused
from quizzes.actions.refreshers import answer_refresher, start_round
from quizzes.actions.sittings import end_sitting, save_answer, start_sitting
from quizzes.models import Answer, RefresherAnswer
from tests.procedures.factories import NOW
from tests.quizzes.factories import (
    TODAY,
    QuizFactory,
    ReleasedFactory,
    VersionFactory,
    right_answer,
)
from tests.training.factories import UserFactory

pytestmark = [pytest.mark.django_db, pytest.mark.usefixtures("book")]

DAY = datetime.timedelta(days=1)
HREF = re.compile(r'(?:href|src|action)="(/[^"#]*)')
WITHIN = ("/sitting/", "/refresher/", "/quizzes/", "/questions/", "/record/", "/levels/")
FILES = reverse_lazy("training:own-files")  # a ZIP file, which is no page to read
SIZE = 6


@pytest.fixture
def bank():
    """A quiz of six from a bank of eighteen: two of each kind that has words of its own for every
    question, and some critical ones, which have second tries.
    """
    writeup = ReleasedFactory()
    for number in range(18):
        name = f"q{number:02}"
        kind, asked = asked_by(name, number)
        VersionFactory(
            question__writeup=writeup,
            question__name=name,
            kind=kind,
            asked=asked,
            critical=number % 6 == 0,
            says=f"why-{name}",
        )
    return QuizFactory(writeups=[writeup], size=SIZE)


def asked_by(name, number):
    """What a question asks; its key stands in words that only this question has."""
    match number % 3:
        case 0:
            right = number % 2
            return "choose one", {
                "options": [
                    {"text": f"{at} of {name}", "right": at == right, "says": f"says-{name}-{at}"}
                    for at in range(3)
                ]
            }
        case 1:
            return "choose all", {
                "options": [
                    {"text": f"{at} of {name}", "right": at != 2, "says": f"says-{name}-{at}"}
                    for at in range(3)
                ]
            }
        case _:
            return "give the amount", {"amount": f"{1000 + number} ± 7 N·m"}


def told_in(text):
    """The questions whose key, or what is said of it, stands in a text."""
    said = set(re.findall(r"(?:says|why)-(q\d\d)", text))
    amounts = {f"q{int(found) - 1000:02}" for found in re.findall(r"\b(10\d\d) ± 7", text)}
    return said | amounts


def all_read(client, person, *begin):
    """All that somebody may read, from these addresses on: each page, and what it leads to."""
    client.force_login(person)
    waiting, seen, text = list(begin), set(), []
    while waiting:
        address = waiting.pop()
        if address in seen:
            continue
        seen.add(address)
        answer = client.get(address)
        if answer.status_code in (301, 302):
            waiting.append(answer.url)
        elif not answer.streaming and "text/html" in answer.get("Content-Type", ""):
            text.append(answer.text)
            waiting += [
                one for one in HREF.findall(answer.text) if one.startswith(WITHIN) and one != FILES
            ]
    return "\n".join(text), seen


def given(answer, rng):
    """Right or wrong by lot."""
    if rng.random() < 0.4:
        return right_answer(answer) if "amount" not in answer.version.kind else "1 N·m"
    return {"choose one": 2, "choose all": [2]}.get(answer.version.kind, "3 N·m")


def sits(quiz, person, rng, on, at):
    """A sitting with as many questions answered as the lot says, ended or left open; its pages."""
    try:
        sitting = start_sitting(quiz=quiz, person=person, pass_percent=75, now=at, today=on)
    except Refused:
        return []
    places = [one.place for one in sitting.answers.order_by("place")]
    for place in rng.sample(places, rng.randint(0, len(places))):
        answer = sitting.answers.select_related("version").get(place=place)
        try:
            save_answer(sitting=sitting, place=place, given=given(answer, rng), now=at)
        except Refused:
            continue  # its second try is open
    if rng.random() < 0.8:
        end_sitting(sitting=sitting, now=at, today=on)
    pages = [reverse(f"quizzes:{name}", args=[sitting.pk]) for name in ("sitting", "result", "end")]
    return [*pages, *(reverse("quizzes:question", args=[sitting.pk, place]) for place in places)]


def practises(person, rng, on, at):
    """A practice round of which as many are answered as the lot says; its pages."""
    try:
        kept = start_round(person=person, now=at, today=on)
    except Refused:
        return []
    for one in kept.answers.select_related("version").order_by("place"):
        if one.given is None and rng.random() < 0.5:
            answer_refresher(kept=kept, place=one.place, given=given(one, rng), now=at, today=on)
    places = kept.answers.values_list("place", flat=True)
    return [
        reverse("quizzes:refresher-done", args=[kept.pk]),
        *(reverse("quizzes:refresher-question", args=[kept.pk, place]) for place in places),
    ]


def answered(people):
    """The questions that one of them answered in an ended sitting that was not cut short."""
    rows = Answer.objects.filter(
        sitting__person__in=people, sitting__recorded_at__isnull=False, given__isnull=False
    ).select_related("sitting", "version__question")
    return {one.version.question.name for one in rows if not one.sitting.is_cut_short()}


@pytest.mark.parametrize("seed", [1, 2])
def test_what_several_people_see_together_tells_only_what_one_of_them_answered(
    bank, client, seed, time_machine
):
    rng, told, read = Random(seed), set(), set()
    people = [UserFactory(login=f"t{number}") for number in range(2)]
    for round_ in range(3):
        at, on = NOW + round_ * DAY, TODAY + round_ * DAY
        time_machine.move_to(at, tick=False)
        for person in people:
            pages = ["/record/", reverse("quizzes:refresher")]
            pages += sits(bank, person, rng, on, at) + practises(person, rng, on, at)
            for reader in people:
                text, seen = all_read(client, reader, *pages)
                told |= told_in(text)
                read |= seen
            assert told <= answered(people), (round_, person.login)
    assert told
    assert any("/result/" in address for address in read)
    assert RefresherAnswer.objects.exists()


def test_the_words_that_are_looked_for_are_found_where_they_are_told(bank, client, trainee):
    """The reader sees a key where there is one: after the end, of what was answered."""
    sitting = start_sitting(quiz=bank, person=trainee, pass_percent=75, now=NOW, today=TODAY)
    for one in sitting.answers.select_related("version"):
        save_answer(sitting=sitting, place=one.place, given=given(one, Random(1)), now=NOW)
    end_sitting(sitting=sitting, now=NOW, today=TODAY)
    text, _ = all_read(client, trainee, reverse("quizzes:result", args=[sitting.pk]))
    assert told_in(text) == answered([trainee])
    assert len(told_in(text)) >= SIZE
