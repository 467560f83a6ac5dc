"""What does the page of one question answer, when it is written as a form?"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.models import WriteUp
from procedures.records.refused import Refused
from procedures.views.forms.rules import changed, rows_typed
from quizzes.access import doors
from quizzes.actions import questions as actions
from quizzes.kinds.kind import QuestionText
from quizzes.kinds.registry import KINDS
from quizzes.marking.advice import advise
from quizzes.marking.texts import BadQuestions, read_questions
from quizzes.marking.writing import make_entry, write_entries
from quizzes.models import Question
from quizzes.records.offered import offered_drafts
from quizzes.records.sources import newest_source
from quizzes.records.wording.say import say, say_advice, say_fault
from quizzes.reports import preview as reports
from quizzes.views.forms.questions import OneAsText, answer_form
from quizzes.views.forms.written.common import Offers, Written, WrittenForm
from quizzes.views.forms.written.registry import WRITTEN
from quizzes.views.sittings import rows_of, with_pictures

METHODS = ["GET", "HEAD", "POST"]


@dataclass(slots=True)
class _Page:
    """One question being written: on which write-up, what it was, and under which version."""

    writeup: WriteUp
    entry: Written
    version: int
    question: Question | None = None

    @property
    def kind(self) -> str:
        return str(self.entry["kind"])


@require_http_methods(METHODS)
def new(request: HttpRequest, writeup: str) -> HttpResponse:
    """A new question: first its kind is chosen. A draft opens with what it says."""
    row = doors.writeup_to_ask_about(request.user, writeup)
    draft, kind = request.GET.get("draft", ""), request.GET.get("kind", "")
    named = next((one for one in offered_drafts(row) if one.name == draft), None) if draft else None
    if named is not None:
        # Its name is kept, so that the draft is known to be taken.
        return _written(request, _Page(row, make_entry(named), 0))
    if kind not in KINDS:
        context = {"writeup": row, "kinds": list(KINDS)}
        return render(request, "quizzes/new.html", context)
    return _written(request, _Page(row, {"kind": kind}, 0))


@require_http_methods(METHODS)
def change(request: HttpRequest, writeup: str, name: str) -> HttpResponse:
    """The newest version of a question, to be changed."""
    question = doors.question_to_see(request.user, writeup, name)
    newest = reports.newest_text(question)
    if newest is None:
        return redirect("quizzes:edit", writeup=writeup)
    text, version = newest
    return _written(request, _Page(question.writeup, make_entry(text), version, question))


def _written(request: HttpRequest, page: _Page) -> HttpResponse:
    if "text" in request.POST:
        return _as_text(request, page)
    made = WRITTEN.get(page.kind)
    if made is None:  # a kind without a form is written as text
        return _shown(request, page, None)
    if request.method != "POST":
        offers = _offers(page.writeup, str(page.entry.get("drawing", "")))
        start: dict[str, Any] = {"version": page.version}
        form = made(offers=offers, entry=page.entry, initial=made.initial_from(page.entry) | start)
        return _shown(request, page, form)
    offers = _offers(page.writeup, request.POST.get("drawing", ""))
    form = made(request.POST, offers=offers, entry=page.entry)
    if {"add", "remove"} & request.POST.keys():
        post = request.POST
        typed = {prefix: list(rows_typed(post, prefix)) for prefix in made.row_kinds}
        typed = changed(typed, add=post.get("add", ""), remove=post.get("remove", ""))
        initial = {one.name: one.data for one in form}
        again = made(offers=offers, entry=page.entry, rows=typed, initial=initial)
        return _shown(request, page, again)
    if not form.is_valid():
        return _shown(request, page, form)
    entry = form.entry(reports.list_names(page.writeup))
    found, faults = _read(page, write_entries(page.writeup.name, [entry]), with_lines=False)
    if found is None or faults or "preview" in request.POST:
        shown = form if faults else _taken_up(form, offers, page, entry)
        return _shown(request, page, shown, found=found, faults=faults)
    seen = form.cleaned_data.get("version")
    return _kept(request, page, form, found, seen=seen)


def _taken_up(form: WrittenForm, offers: Offers, page: _Page, entry: Written) -> WrittenForm:
    """The form after what was picked for the text has been put into it."""
    was = page.entry if page.entry.get("name") else page.entry | {"steps": entry["steps"]}
    start = {"version": form.cleaned_data.get("version"), "name": form.cleaned_data.get("name")}
    said = type(form).initial_from(entry)
    chosen = {name: form.cleaned_data[name] for name in form.own_fields() if name != "cells"}
    return type(form)(
        offers=offers, entry=was, rows=type(form).rows_from(entry), initial=chosen | said | start
    )


def _read(
    page: _Page, text: str, *, with_lines: bool
) -> tuple[QuestionText | None, tuple[str, ...]]:
    """The one question of the text, or why it cannot be one. Of what the form wrote nobody knows
    the lines.
    """
    try:
        found = read_questions(text)
    except BadQuestions as bad:
        said = say_fault if with_lines else _say_alone
        return None, tuple(dict.fromkeys(map(said, bad.faults)))
    if len(found) != 1:
        return None, (gettext("Write one question here. Several go under “All as text”."),)
    wanted = page.question.name if page.question else ""
    if wanted and found[0].name != wanted:
        return None, (gettext("A question keeps its name: {name}.").format(name=wanted),)
    return found[0], actions.question_faults(writeup=page.writeup, questions=found)


def _say_alone(fault: Any) -> str:
    return say(fault.remark)


def _kept(
    request: HttpRequest,
    page: _Page,
    form: WrittenForm | OneAsText,
    found: QuestionText,
    *,
    seen: int | None,
) -> HttpResponse:
    """The question as a new version, or why not, with everything that was typed."""
    shown = form if isinstance(form, WrittenForm) else None
    text_form = form if isinstance(form, OneAsText) else None
    taken = {name.lower() for name in reports.list_names(page.writeup)}
    why = ""
    if page.question is None and found.name.lower() in taken:
        why = gettext("There is a question of this name already. Type another short name.")
    elif page.question is not None and seen != page.version:
        why = gettext(
            "Somebody wrote a new version of this question after you opened it. Compare the two, "
            "and save again if yours is right."
        )
    if why:
        return _shown(request, page, shown, faults=(why,), found=found, text_form=text_form)
    try:
        written = actions.bring_questions(
            writeup=page.writeup, questions=[found], now=timezone.now(), author=request.user
        )
    except Refused as refused:
        faults = refused.details or (refused.message,)
        return _shown(request, page, shown, faults=faults, found=found, text_form=text_form)
    messages.success(
        request,
        gettext("The question is saved. It is asked when someone else has approved it.")
        if written
        else gettext("Nothing has changed, so nothing was saved."),
    )
    return redirect("quizzes:asked", writeup=page.writeup.name, name=found.name)


def _as_text(request: HttpRequest, page: _Page) -> HttpResponse:
    """The question, typed as YAML."""
    form = OneAsText(request.POST, auto_id="id_as_%s")
    if not form.is_valid():
        return _shown(request, page, None, text_form=form)
    found, faults = _read(page, form.cleaned_data["text"], with_lines=True)
    if found is None or faults:
        return _shown(request, page, None, text_form=form, found=found, faults=faults)
    return _kept(request, page, form, found, seen=form.cleaned_data["version"])


def _shown(
    request: HttpRequest,
    page: _Page,
    form: WrittenForm | None,
    *,
    found: QuestionText | None = None,
    faults: tuple[str, ...] = (),
    text_form: OneAsText | None = None,
) -> HttpResponse:
    made = WRITTEN.get(page.kind)
    if form is None and made is not None:
        offers = _offers(page.writeup, str(page.entry.get("drawing", "")))
        start: dict[str, Any] = {"version": page.version}
        form = made(offers=offers, entry=page.entry, initial=made.initial_from(page.entry) | start)
    if text_form is None:
        entry = make_entry(found) if found else _started(page.entry)
        initial = {"text": write_entries(page.writeup.name, [entry]), "version": page.version}
        text_form = OneAsText(initial=initial, auto_id="id_as_%s")
    asked = found or _as_it_was(page)
    context = {
        "writeup": page.writeup,
        "question": page.question,
        "kind": page.kind,
        "form": form,
        "faults": faults,
        "text_form": text_form,
        "advice": [say_advice(one) for one in advise(found)] if found else [],
        "spot": _spot(form, asked),
        "is_new_preview": found is not None,
    }
    return render(request, "quizzes/written.html", context | _preview(page, asked))


def _as_it_was(page: _Page) -> QuestionText | None:
    try:
        return read_questions(write_entries(page.writeup.name, [page.entry]))[0]
    except BadQuestions:
        return None


def _started(entry: Written) -> Written:
    """What a text of this kind begins with."""
    return {"name": "", "kind": "", "steps": [], "stem": ""} | entry


def _preview(page: _Page, asked: QuestionText | None) -> dict[str, Any]:
    """The question as its sitter sees it."""
    shown = None if asked is None else reports.preview_question(asked, page.writeup)
    if shown is None:
        return {"preview": None}
    sitter = answer_form(shown, with_pictures(shown), given=None)
    rows = rows_of(shown, []) if shown.field.is_arranged else []
    return {"preview": shown, "sitter_form": sitter, "sitter_rows": rows}


def _spot(form: WrittenForm | None, asked: QuestionText | None) -> Any:
    """The drawing on which the author ticks cells, with the regions that are right so far."""
    if form is None or "cells" not in form.fields:
        return None
    drawing = str(form["drawing"].value() or "")
    spot = reports.spot_to_mark(asked)
    is_same = asked is not None and asked.asked.drawing_to_point_at() == drawing
    return spot if spot is not None and is_same else reports.plain_spot(drawing)


def _offers(writeup: WriteUp, drawing: str) -> Offers:
    """What there is to choose from on this write-up."""
    source = newest_source(writeup)
    read = source.writeup if source else None
    return Offers(
        steps=tuple((step.id, f"{step.number}. {step.title}") for step in read.steps)
        if read
        else (),
        drawings=reports.list_drawings(),
        forks=tuple((one.name, one.options) for one in read.variants) if read else (),
        box=reports.box_of(drawing),
    )
