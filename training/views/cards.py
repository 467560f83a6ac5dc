"""Where does somebody get a card, and where does its code lead?"""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.cards import make_card, withdraw_card
from training.models import Card, User, shop_now
from training.reports.cards import address_of, card_at, code_of, may_now

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def own(request: HttpRequest) -> HttpResponse:
    user = doors.who(request)
    return _page(request, user, user)


@require_http_methods(METHODS)
def of_person(request: HttpRequest, login: str) -> HttpResponse:
    user = doors.who(request)
    return _page(request, user, doors.person_for(user, login, acts.KEEP_PEOPLE))


def _page(request: HttpRequest, user: User, person: User) -> HttpResponse:
    if request.method == "POST":
        act, said = (
            (withdraw_card, gettext("The card is withdrawn. Its code no longer works."))
            if request.POST.get("do") == "withdraw"
            else (
                make_card,
                gettext("The card is made. Print it and cut it out. Older cards no longer work."),
            )
        )
        try:
            act(person=person, by=user, now=timezone.now())
        except Refused as refused:
            messages.error(request, refused.message)
        else:
            messages.success(request, said)
        return redirect(request.path)
    card = Card.objects.filter(person=person, ended_at__isnull=True).first()
    address = request.build_absolute_uri(address_of(card)) if card else ""
    code = (
        code_of(
            address,
            gettext("What {person_name} may do at this moment").format(person_name=person.name),
        )
        if card
        else ""
    )
    context = {
        "person": person,
        "card": card,
        "address": address,
        "code": code,
        "is_own": person == user,
        "body": "own-sheet cut-out",
    }
    return render(request, "training/card.html", context)


@login_not_required
@never_cache
@require_safe
def answer(request: HttpRequest, number: int, seal: str) -> HttpResponse:
    """What the person with this card may do at this moment, for anybody who has the card; for one
    that is withdrawn only that.
    """
    card = card_at(number, seal)
    if card is None:
        raise Http404
    now = shop_now()
    # As of now, whatever is asked: a card must not answer for a better day.
    levels = () if card.ended_at else may_now(card.person, card.person.workshop.today(), now)
    context = {"card": card, "person": card.person, "levels": levels, "now": now}
    # Gone: a withdrawn card is no unknown one, and whoever checks it must learn that.
    # Whoever asks, from wherever: the clock is the one on this workshop's wall.
    with timezone.override(card.person.workshop.time_zone):
        page = render(
            request, "training/card_answer.html", context, status=410 if card.ended_at else 200
        )
    # The address is open to whoever has it, and names a person.
    page["X-Robots-Tag"] = "noindex, nofollow"
    return page
