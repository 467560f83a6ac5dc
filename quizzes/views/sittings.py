"""What does each page of a sitting answer, and what does each of its buttons do?"""

from __future__ import annotations

from datetime import date

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.html import format_html
from django.utils.translation import ngettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.records.above import shop_now
from procedures.records.refused import Refused
from quizzes.access import doors
from quizzes.actions import sittings as actions
from quizzes.actions.again import take_more_time
from quizzes.actions.second_tries import open_second_tries
from quizzes.models import Sitting
from quizzes.records.retry import hindrance
from quizzes.reports import sittings as reports
from quizzes.reports.results import result_page
from quizzes.views.forms.questions import AnswerForm, ArrangedForm, answer_form


def _today(request: HttpRequest) -> date:
    return doors.day_for(request.user, shop_now())


@never_cache
@require_safe
def overview(request: HttpRequest, pk: int) -> HttpResponse:
    sitting = doors.sitting_of(request.user, pk)
    if not sitting.is_open():
        return redirect("quizzes:result", pk=pk)
    page = reports.overview_page(sitting, today=_today(request))
    return render(request, "quizzes/overview.html", {"page": page})


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def question(request: HttpRequest, pk: int, place: int) -> HttpResponse:
    sitting = doors.sitting_of(request.user, pk)
    if not sitting.is_open():
        if request.method == "POST":
            messages.error(request, actions.ENDED)
        return redirect("quizzes:result", pk=pk)
    page = reports.question_page(sitting, place)
    form = answer_form(
        page,
        with_pictures(page),
        given=page.given,
        data=request.POST if request.method == "POST" else None,
    )
    leaves = request.POST.get("go", "") if request.POST.get("go") in LEAVES else ""
    # Before the form is checked: leaving an empty question must not end in “choose one”.
    if leaves and form.is_untouched:
        return _left(page, leaves)
    if form.is_valid():
        try:
            if "chosen" in request.POST:
                return _kept(request, sitting, page, form)
            return _answered(request, sitting, page, form, leaves)
        except (actions.OutOfTime, actions.Meanwhile) as late:
            # What was typed stays in the form, to be saved with more time, or once more.
            messages.error(request, late.message)
        except actions.NoUnit as bare:
            form.add_error("answer", bare.message)
    elif "chosen" in request.POST:
        return HttpResponse("")  # not whole yet, such as pairs of which one is chosen
    rows = rows_to_arrange(request, page)
    context = {"page": page, "form": form, "rows": rows, "leaves": leaves}
    return render(request, "quizzes/question.html", context)


LEAVES = ("back", "all")


def _left(page: reports.QuestionAsked, leaves: str) -> HttpResponse:
    """The page to which somebody goes who leaves a question by another button than Next."""
    if leaves == "back" and page.previous:
        return redirect("quizzes:question", pk=page.pk, place=page.previous)
    return redirect("quizzes:sitting", pk=page.pk)


def _answered(
    request: HttpRequest,
    sitting: Sitting,
    page: reports.QuestionAsked,
    form: AnswerForm,
    leaves: str,
) -> HttpResponse:
    """Saves the answer and goes on; where a step was moved up or down, or somebody leaves the
    question, it saves without handing in.
    """
    is_moved = isinstance(form, ArrangedForm) and "move" in request.POST
    moved = form.moved(request.POST["move"]) if isinstance(form, ArrangedForm) and is_moved else []
    try:
        actions.save_answer(
            sitting=sitting,
            place=page.place,
            given=[form.at(place) for place in moved] if is_moved else form.given,
            now=timezone.now(),
            is_handed_in=not is_moved and not leaves,
            seen=request.POST.get("seen"),
        )
    except actions.NoUnit:
        raise
    except (actions.OutOfTime, actions.Meanwhile) as refused:
        if not is_moved:
            raise
        messages.error(request, refused.message)  # the steps stay as they were moved
    except Refused as refused:
        messages.error(request, refused.message)
        return redirect("quizzes:sitting", pk=page.pk)
    if is_moved:
        here = reverse("quizzes:question", args=[page.pk, page.place], query={"to": moved})
        return redirect(f"{here}#order")
    if leaves:
        return _left(page, leaves)
    after = reports.find_next_unanswered(sitting, page.place)
    if after is None:
        return redirect("quizzes:sitting", pk=page.pk)
    return redirect("quizzes:question", pk=page.pk, place=after)


def _kept(
    request: HttpRequest, sitting: Sitting, page: reports.QuestionAsked, form: AnswerForm
) -> HttpResponse:
    """Keeps what was just chosen, without handing it in: answers 204; a refusal is told as text."""
    try:
        answer = actions.save_answer(
            sitting=sitting,
            place=page.place,
            given=form.given,
            now=timezone.now(),
            is_handed_in=False,
            seen=request.POST.get("seen"),
        )
    except Refused as refused:
        # Who was told of another answer may keep this one with the next press.
        told = {"X-Kept-At": page.kept_at} if isinstance(refused, actions.Meanwhile) else {}
        # As plain text: the script on the page can only show it, never lay it out.
        return HttpResponse(refused.message, content_type="text/plain; charset=utf-8", headers=told)
    # Without a body: the script on the page has nothing to show, and the moment goes in a header.
    return HttpResponse(status=204, headers={"X-Kept-At": answer.kept_at()})


def with_pictures(page: reports.QuestionAsked) -> list[str]:
    """The words of each option, with its drawing above them where it has one."""
    if not any(page.pictures):
        return list(page.labels)
    return [
        format_html("{}<span>{}</span>", picture, label) if picture else label
        for picture, label in zip(page.pictures, page.labels, strict=True)
    ]


def rows_to_arrange(request: HttpRequest, page: reports.QuestionAsked) -> list[tuple[str, str]]:
    """The rows of an answer that is arranged, as the request moved them; empty for any other."""
    if not page.field.is_arranged:
        return []
    return rows_of(page, request.POST.getlist("answer") or request.GET.getlist("to"))


def rows_of(page: reports.QuestionAsked, moved: list[str]) -> list[tuple[str, str]]:
    """Place and title of each step of an order, as it was moved to, else as it was answered, else
    as it was drawn.
    """
    titles = {str(place): label for place, label in enumerate(page.labels, start=1)}
    if sorted(moved) == sorted(titles):
        return [(place, titles[place]) for place in moved]
    if page.given is None:
        return list(titles.items())
    places = {step: str(place) for place, step in enumerate(page.order, start=1)}
    return [(places[step], titles[places[step]]) for step in page.given]


@require_POST
def more_time(request: HttpRequest, pk: int) -> HttpResponse:
    """Takes more time and goes back to the question it was asked from."""
    sitting = doors.sitting_of(request.user, pk)
    try:
        more = take_more_time(sitting=sitting, now=timezone.now())
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(
            request,
            ngettext(
                "You have {minutes} minute more. You can take more again.",
                "You have {minutes} minutes more. You can take more again.",
                more.minutes,
            ).format(minutes=more.minutes),
        )
    place = request.POST.get("place", "")
    # Nine digits stay below a database's integer.
    if place.isdecimal() and sitting.answers.filter(place=int(place[:9])).exists():
        return redirect("quizzes:question", pk=pk, place=int(place[:9]))
    return redirect("quizzes:sitting", pk=pk)


@require_POST
def end(request: HttpRequest, pk: int) -> HttpResponse:
    sitting = doors.sitting_of(request.user, pk)
    sure = request.POST.get("sure") == "yes"
    # Answers kept by the script were never handed in, so their second tries are opened here.
    opened = open_second_tries(sitting=sitting, now=timezone.now())
    if opened:
        messages.error(request, _second_tries_first(len(opened)))
        return redirect("quizzes:question", pk=pk, place=opened[0].place)
    try:
        actions.end_sitting(sitting=sitting, even_if_unanswered=sure)
    except Refused as refused:
        sitting.refresh_from_db()
        if not sitting.is_open():
            messages.error(request, refused.message)
            return redirect("quizzes:result", pk=pk)
        page = reports.overview_page(sitting, today=_today(request))
        return render(request, "quizzes/overview.html", {"page": page, "asks": refused.message})
    return redirect("quizzes:result", pk=pk)


def _second_tries_first(many: int) -> str:
    return ngettext(
        "One answer about a critical step is wrong, but you get a second try. Answer "
        "it, then end the sitting.",
        "{many} answers about critical steps are wrong, but you get a second try for "
        "each. Answer them, then end the sitting.",
        many,
    ).format(many=many)


@never_cache
@require_safe
def result(request: HttpRequest, pk: int) -> HttpResponse:
    sitting = doors.result_for(request.user, pk)
    if sitting.is_open():
        return redirect("quizzes:sitting", pk=pk)
    page, is_own = result_page(sitting), sitting.person_id == request.user.pk
    waits = is_own and not page.is_passed
    before = hindrance(sitting.quiz, request.user, _today(request)) if waits else None
    context = {"page": page, "is_own": is_own, "before": before}
    return render(request, "quizzes/result.html", context)
