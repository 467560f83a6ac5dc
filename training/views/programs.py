"""How does an owner let other programs ask this site, and stop them?"""

from __future__ import annotations

from django.contrib import messages
from django.http import HttpRequest, HttpResponse
from django.shortcuts import get_object_or_404, redirect, render
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_POST

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.programs import end_token, make_token
from training.actions.second_factor import has_factor
from training.actions.signing import prove
from training.models import User, shop_now
from training.models.programs import ProgramToken
from training.reports.programs import programs_by_end
from training.views.forms.programs import ProgramForm
from training.views.second_factor import give_code


@never_cache
@require_http_methods(["GET", "HEAD", "POST"])
def programs(request: HttpRequest) -> HttpResponse:
    """The programs that may ask, and the form for one more; its token is shown this once."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    form = ProgramForm(
        request.POST or None, with_code=has_factor(user), today=user.workshop.today()
    )
    if form.is_valid():
        try:
            return _made(request, user, form)
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
    context = {"form": form, "programs": programs_by_end(user.workshop.today())}
    return render(request, "training/programs.html", context)


def _made(request: HttpRequest, user: User, form: ProgramForm) -> HttpResponse:
    """The page with the new token. Raises Refused."""
    given = form.cleaned_data
    # A token asks and writes without a password from then on, so one is asked for here.
    prove(request, user, given["password"], "a program's token")
    give_code(request, user, given.get("code", ""))
    row, secret = make_token(
        name=given["name"],
        scopes=given["scopes"],
        until=given["until"],
        by=user,
        today=user.workshop.today(),
        now=shop_now(),
    )
    context = {"program": row, "token": secret, "address": request.build_absolute_uri("/api/")}
    return render(request, "training/program_token.html", context)


@require_POST
def end(request: HttpRequest, pk: int) -> HttpResponse:
    """The program asks in vain from now on."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    row = get_object_or_404(ProgramToken, pk=pk)
    end_token(row=row, by=user, now=shop_now())
    messages.success(
        request, gettext("The token of {name} is ended. It no longer works.").format(name=row.name)
    )
    return redirect("training:programs")
