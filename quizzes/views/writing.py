"""What does each page on questions answer, for those who write them?"""

from __future__ import annotations

from collections.abc import Callable, Sequence

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext, ngettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.models import WriteUp
from procedures.records.above import shop_now
from procedures.records.refused import Refused
from procedures.views.forms.search import page_of
from procedures.writeup.letters import strip_hidden
from quizzes.access import acts, closing, doors
from quizzes.actions import questions as actions
from quizzes.actions import reviews as reviewing
from quizzes.kinds.kind import QuestionText
from quizzes.marking.advice import advise
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.marking.writing import write_questions
from quizzes.models import Question, Quiz
from quizzes.records.offered import offered_drafts
from quizzes.records.wording.say import say_advice, say_fault
from quizzes.reports import bank as reports
from quizzes.views.forms.lists import QuestionSearch
from quizzes.views.forms.questions import QuestionsForm
from quizzes.views.forms.quizzes import WithdrawForm

QUESTIONS_A_PAGE = 15


@require_safe
def questions(request: HttpRequest) -> HttpResponse:
    acts.WRITE.must_be_open_to(request.user)
    closed = closing.closed_writeups(request.user.pk)
    banks = reports.banks(today=doors.day_for(request.user, shop_now()), without=closed)
    search = QuestionSearch(request.GET or None, [(bank.name, bank.title) for bank in banks])
    rows = [(bank, one) for bank in banks for one in bank.questions if search.finds(bank, one)]
    context = {
        "banks": banks,
        "search": search,
        "found": page_of(request, rows, QUESTIONS_A_PAGE),
        "quizzes": Quiz.objects.all(),
        "open_sitting": next(iter(closed.values()), None),
    }
    return render(request, "quizzes/questions.html", context)


@require_safe
def asked(request: HttpRequest, writeup: str, name: str) -> HttpResponse:
    question = doors.question_to_see(request.user, writeup, name)
    today = doors.day_for(request.user, shop_now())
    page = reports.question_page(question, today=today, reader=request.user)
    return render(request, "quizzes/asked.html", {"page": page, "form": WithdrawForm()})


@require_POST
def confirm(request: HttpRequest, writeup: str, name: str) -> HttpResponse:
    question = doors.question_to_see(request.user, writeup, name)

    def act() -> object:
        number = _number(request)
        return reviewing.confirm_question(question=question, number=number, by=request.user)

    return _reviewed(
        request, question, act, gettext("Saved: the question agrees with the write-up.")
    )


@require_POST
def withdraw(request: HttpRequest, writeup: str, name: str) -> HttpResponse:
    question = doors.question_to_see(request.user, writeup, name)

    def act() -> object:
        number, reason = _number(request), strip_hidden(request.POST.get("reason", ""))
        return reviewing.withdraw_question(
            question=question, number=number, reason=reason, by=request.user
        )

    return _reviewed(
        request,
        question,
        act,
        gettext("The question is withdrawn. To bring it back, write a new version."),
    )


def _number(request: HttpRequest) -> int:
    """The version that was read; 0 where the page did not say."""
    said = request.POST.get("version", "")
    # No version has the number 0, so the action refuses it as an old page.
    return int(said[:9]) if said.isdecimal() else 0


def _reviewed(
    request: HttpRequest, question: Question, act: Callable[[], object], done: str
) -> HttpResponse:
    try:
        act()
    except Refused as refused:
        messages.error(request, " ".join((refused.message, *refused.details)))
    else:
        messages.success(request, done)
    return redirect("quizzes:asked", writeup=question.writeup.name, name=question.name)


@require_http_methods(["GET", "HEAD", "POST"])
def edit(request: HttpRequest, writeup: str) -> HttpResponse:
    row = doors.writeup_to_ask_about(request.user, writeup)
    if request.method != "POST":
        return _editor(
            request,
            row,
            QuestionsForm(initial={"text": _to_write(row, request.GET.get("draft", ""))}),
        )
    form = QuestionsForm(request.POST, request.FILES)
    if not form.is_valid():
        return _editor(request, row, form)
    text = form.cleaned_data["text"]
    shown = QuestionsForm(initial={"text": text})
    found, faults = _read(text)
    faults = faults or actions.question_faults(writeup=row, questions=found)
    # The advice is shown on a check alone: it must not stand between a good text and its saving.
    if faults or "check" in request.POST:
        return _editor(request, row, shown, faults=faults, found=found)
    try:
        written = actions.bring_questions(
            writeup=row, questions=found, now=timezone.now(), author=request.user
        )
    except Refused as refused:
        return _editor(request, row, shown, faults=refused.details or (refused.message,))
    messages.success(request, _told(len(written), len(found)))
    return redirect("quizzes:questions")


def _to_write(row: WriteUp, draft: str) -> str:
    """The questions of the write-up to go on writing; where a draft is named, that one alone."""
    named = [one for one in offered_drafts(row) if one.name == draft] if draft else []
    return write_questions(row.name, named) if named else reports.questions_text(row)


def _read(text: str) -> tuple[tuple[QuestionText, ...], tuple[str, ...]]:
    """The questions in the text, or why it can't be read."""
    try:
        return read_questions(text), ()
    except BadQuestions as bad:
        return (), tuple(map(say_fault, bad.faults))


def _editor(
    request: HttpRequest,
    row: WriteUp,
    form: QuestionsForm,
    *,
    faults: tuple[str, ...] = (),
    found: Sequence[QuestionText] | None = None,
) -> HttpResponse:
    advice = [say_advice(one) for question in found or () for one in advise(question)]
    context = {
        "writeup": row,
        "form": form,
        "faults": faults,
        "count": None if found is None else len(found),
        "advice": advice,
    }
    return render(request, "quizzes/edit.html", context)


def _told(written: int, read: int) -> str:
    if not written:
        return gettext("Nothing has changed, so nothing was saved.")
    return ngettext(
        "{written} of {read} question is saved as a new version. It goes live when someone else "
        "approves it.",
        "{written} of {read} questions are saved as new versions. Each goes live when someone else "
        "approves it.",
        read,
    ).format(written=written, read=read)
