"""What does somebody see of a sitting that has ended: what was right, why, and where it stands in
the write-up?
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, replace
from datetime import date
from decimal import Decimal

from django.http import Http404
from django.urls import reverse
from django.utils.safestring import SafeString
from django.utils.translation import gettext

from procedures.records.texts import rules_text
from quizzes.kinds.kind import Asked, OptionTold, Told
from quizzes.kinds.rehearsed import fork_with
from quizzes.marking.marks import is_too_little
from quizzes.models import Answer, Sitting
from quizzes.models.questions import AskedOnce
from quizzes.records.album import Album
from quizzes.records.sources import BesideRevision, Source, pictures_of, pinned_sources
from quizzes.records.wording.say import say
from quizzes.reports.showing import (
    Spot,
    heading_and_rest,
    heading_html,
    option_pictures,
    render_html,
    spot_after_the_end,
)

NO_WORDS = SafeString("")
NOTHING_TOLD = Told()


@dataclass(frozen=True, slots=True)
class StepLink:
    title: str
    url: str


@dataclass(frozen=True, slots=True)
class AnswerResult:
    """One question after the end: what was given, what was right, and why."""

    place: int
    heading: SafeString
    stem: SafeString  # what is left of it under the heading
    critical: bool
    word: str
    writeup: str
    percent: str = "0"  # of the marks, whole and rounded down
    template: str = ""
    told: Told = NOTHING_TOLD
    options: tuple[tuple[OptionTold, SafeString], ...] = ()  # each with its drawing, if it has one
    spot: Spot | None = None
    why: SafeString = NO_WORDS
    steps: tuple[StepLink, ...] = ()
    second_to: int | None = None  # the place of the question to which this was the second try


@dataclass(frozen=True, slots=True)
class Result:
    """An ended sitting."""

    title: str
    person: str
    happened_on: date
    percent: Decimal
    pass_percent: int
    critical_wrong: int
    is_passed: bool
    answers: tuple[AnswerResult, ...]
    cut_short: str = ""  # how many were answered, where these were too few to show anything

    @property
    def reached(self) -> str:
        """The per cents reached, whole and rounded down: none just below the pass mark reads as if
        it had reached it.
        """
        return str(int(self.percent))

    @property
    def failed(self) -> tuple[AnswerResult, ...]:
        """Each question whose first answer was not wholly right, with its second try; the critical
        ones first.
        """
        failing = {
            one.place for one in self.answers if one.second_to is None and one.word != "right"
        }
        critical = {one.place for one in self.answers if one.critical}
        mine = [one for one in self.answers if (one.second_to or one.place) in failing]
        return tuple(sorted(mine, key=lambda one: (one.second_to or one.place) not in critical))

    @property
    def others(self) -> tuple[AnswerResult, ...]:
        """The questions that were right at once."""
        failed = self.failed
        return tuple(one for one in self.answers if one not in failed)


def result_page(sitting: Sitting) -> Result:
    """An ended sitting with every answer, the right ones only of what was answered; four queries.
    Of one that was ended before half was answered it shows nothing. Raises Http404 while it is
    open.
    """
    answers = list(sitting.answers.select_related("version__question__writeup").order_by("place"))
    sources = pinned_sources({answer.pin() for answer in answers})
    rules = rules_text()
    pictures = pictures_of([answer.version for answer in answers])
    if sitting.percent is None or sitting.happened_on is None:
        raise Http404
    firsts = [answer for answer in answers if answer.second_to is None]
    unanswered = sum(answer.given is None for answer in firsts)
    is_cut_short = is_too_little(len(firsts), unanswered)
    right = {answer.second_to for answer in answers if answer.is_right()}
    return Result(
        title=sitting.quiz.title,
        person=str(sitting.person),
        happened_on=sitting.happened_on,
        percent=sitting.percent,
        pass_percent=sitting.pass_percent,
        critical_wrong=0
        if is_cut_short
        else sum(
            answer.version.critical and not answer.is_right() and answer.place not in right
            for answer in firsts
        ),
        is_passed=sitting.is_passed(),
        answers=()
        if is_cut_short
        else tuple(
            replace(
                _left_open(answer, pictures)
                if answer.given is None
                else answer_result(answer, sources[answer.pin()], rules, pictures),
                second_to=answer.second_to,
            )
            for answer in sorted(answers, key=_in_order)
        ),
        cut_short=gettext("{answered} of {questions}").format(
            answered=len(firsts) - unanswered, questions=len(firsts)
        )
        if is_cut_short
        else "",
    )


def _in_order(answer: Answer) -> tuple[int, int]:
    """Each second try comes behind its question."""
    return answer.second_to or answer.place, answer.place


@dataclass(frozen=True, slots=True)
class MissedStep:
    """A step on which a question was not wholly right, with the title of its write-up and where it
    stands.
    """

    about: tuple[str, str]
    writeup: str
    title: str
    url: str

    @property
    def key(self) -> str:
        return "/".join(self.about)


def list_missed(sitting: Sitting) -> tuple[MissedStep, ...]:
    """The steps of every question of an ended sitting that was not wholly right, each once, in the
    order asked; two queries.

    None for a sitting that was ended before half was answered: nothing of its questions is shown.
    """
    rows = list(sitting.answers.select_related("version__question__writeup").order_by("place"))
    firsts = [answer for answer in rows if answer.second_to is None]
    if is_too_little(len(firsts), sum(answer.given is None for answer in firsts)):
        return ()
    wrong = [answer for answer in rows if not answer.is_right()]
    sources = pinned_sources({answer.pin() for answer in wrong})
    found: dict[tuple[str, str], MissedStep] = {}
    for answer in wrong:
        version, source = answer.version, sources[answer.pin()]
        links = step_links(source, version.content(), version.steps)
        for step, link in zip(version.steps, links, strict=True):
            about = (source.name, step)
            found.setdefault(
                about, MissedStep(about, version.question.writeup.title, link.title, link.url)
            )
    return tuple(found.values())


def step_links(source: Source, asked: Asked, steps: Iterable[str]) -> tuple[StepLink, ...]:
    """Where each of these steps stands in the revision, shown for a fork that has it."""
    titles, variant = source.titles(), dict(asked.fork())

    def link(step: str) -> str:
        fork = variant or fork_with(source.writeup, step)
        page = reverse("procedures:revision", args=[source.name, source.number], query=fork or None)
        return f"{page}#step-{step}"

    return tuple(StepLink(titles.get(step, step), link(step)) for step in steps)


def answer_result(answer: AskedOnce, source: Source, rules: str, pictures: Album) -> AnswerResult:
    """One answer after its end: what was given, what was right and why."""
    version, asked = answer.version, answer.version.content()
    mirrored, uid = answer.shown.get("mirrored", False), f"q{answer.place}"
    told = asked.told(
        answer.given,
        answer.shown,
        BesideRevision(source, rules, pictures),
        is_right=answer.is_right(),
    )
    return replace(
        _left_open(answer, pictures),
        percent=str(int((answer.marks or Decimal(0)) * 100)),
        template=asked.template,
        told=replace(told, says=tuple(map(say, told.says))),
        options=tuple(
            zip(told.options, option_pictures(asked, answer.shown, pictures, uid), strict=False)
        ),
        spot=spot_after_the_end(asked, pictures, mirrored=mirrored, given=answer.given, uid=uid),
        why=render_html(version.says, pictures, mirrored=mirrored, uid=f"{uid}-why"),
        steps=step_links(source, asked, version.steps),
    )


def _left_open(answer: AskedOnce, pictures: Album) -> AnswerResult:
    """A question that was not answered: its words, and nothing that tells what is right, so neither
    steps nor options.
    """
    version = answer.version
    mirrored, uid = answer.shown.get("mirrored", False), f"q{answer.place}"
    asks, rest = heading_and_rest(version.stem)
    return AnswerResult(
        place=answer.place,
        heading=heading_html(asks, pictures, uid=f"{uid}-asks"),
        stem=render_html(rest, pictures, mirrored=mirrored, uid=uid),
        critical=version.critical,
        word=_word(answer),
        writeup=version.question.writeup.title,
    )


def _word(answer: AskedOnce) -> str:
    if answer.is_right():
        return "right"
    if answer.given is None:
        return "not answered"
    return "partly right" if answer.marks else "wrong"
