"""How does a senior clear the way to the next sitting?"""

from __future__ import annotations

from collections.abc import Callable

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from quizzes.access.doors import result_for
from quizzes.models import GoneThrough, Sitting, Talk
from training.access import acts, doors
from training.actions.clearing import sign_gone_through, sign_talk
from training.actions.once import write_once
from training.actions.signing import PasswordProof, prove
from training.models import Level, User
from training.records.clearing import ClearingSheet, clearing_sheet
from training.views.forms.clearing import GoneThroughForm, TalkForm

METHODS = ["GET", "HEAD", "POST"]
ClearingAct = Callable[[PasswordProof], GoneThrough | Talk]


@require_http_methods(METHODS)
def gone_through(request: HttpRequest, pk: int) -> HttpResponse:
    user, sitting = _asked(request, pk)
    # It shows nothing of its questions, so there is nothing to go through.
    if sitting.is_cut_short():
        raise Http404
    sheet = clearing_sheet(GoneThrough.KIND, sitting=sitting, signer=user, on=user.workshop.today())
    form = GoneThroughForm(request.POST or None, steps=sheet.steps, initial={"shown": sheet.digest})

    def act(proof: PasswordProof) -> GoneThrough:
        given = form.cleaned_data
        return sign_gone_through(
            sitting=sitting, steps=given["steps"], by=user, shown=given["shown"], proof=proof
        )

    return _signed(request, GoneThrough, user, sitting, sheet, form, act)


@require_http_methods(METHODS)
def talk(request: HttpRequest, pk: int) -> HttpResponse:
    user, sitting = _asked(request, pk)
    sheet = clearing_sheet(Talk.KIND, sitting=sitting, signer=user, on=user.workshop.today())
    form = TalkForm(request.POST or None, initial={"shown": sheet.digest})

    def act(proof: PasswordProof) -> Talk:
        given = form.cleaned_data
        return sign_talk(
            sitting=sitting, note=given["note"], by=user, shown=given["shown"], proof=proof
        )

    return _signed(request, Talk, user, sitting, sheet, form, act)


def _asked(request: HttpRequest, pk: int) -> tuple[User, Sitting]:
    """The senior and the sitting. Raises PermissionDenied for others, Http404 for one that was
    passed or is open.
    """
    user = doors.who(request)
    doors.must(user, acts.CLEAR)
    # By the door of results: a senior in the middle of the same quiz would see its questions here.
    sitting = result_for(user, pk)
    if sitting.is_open() or sitting.is_passed():
        raise Http404
    return user, sitting


def _signed(
    request: HttpRequest,
    kind: type[GoneThrough | Talk],
    user: User,
    sitting: Sitting,
    sheet: ClearingSheet,
    form: GoneThroughForm | TalkForm,
    act: ClearingAct,
) -> HttpResponse:
    if form.is_valid():
        try:
            shown = form.cleaned_data["shown"]
            proof = prove(request, user, form.cleaned_data["password"], shown)
            done = write_once(kind, person=user, mark=shown, write=lambda: act(proof))
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            messages.success(
                request, done.told(gettext("Signed: {meaning}").format(meaning=sheet.meaning))
            )
            level = Level.objects.filter(quiz=sitting.quiz).first()
            if level is None:
                return redirect("quizzes:result", pk=sitting.pk)
            return redirect("training:one", level=level.name, login=sitting.person.get_username())
    return render(
        request, "training/clearing.html", {"form": form, "sheet": sheet, "sitting": sitting}
    )
