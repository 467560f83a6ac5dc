"""Where does somebody get the address of a calendar, and what does a calendar program get there?"""

from __future__ import annotations

import hashlib

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils import timezone
from django.utils.cache import get_conditional_response
from django.utils.translation import gettext
from django.views.decorators.cache import never_cache
from django.views.decorators.http import require_http_methods, require_safe

from procedures.records.days.reader import write_days_for
from procedures.records.days.writing import PLAIN
from procedures.records.refused import Refused
from training.access import calendars, doors
from training.access.calendars import calendar_at, is_open
from training.access.counted import TooMany
from training.actions.asked import count_question
from training.actions.calendars import end_address, make_address, tell_calendar
from training.models import CalendarAddress, User, shop_now
from training.reports.calendars import addresses_of, own_occasions, shop_occasions, told_events
from training.reports.cards import code_of

METHODS = ["GET", "HEAD", "POST"]
KIND = "text/calendar; charset=utf-8"


@never_cache
@require_http_methods(METHODS)
def own(request: HttpRequest) -> HttpResponse:
    """Makes, renews and ends addresses; a new one is shown this once."""
    user = doors.who(request)
    is_shop = request.POST.get("of") == "shop"
    if request.method == "POST":
        try:
            if request.POST.get("do") == "end":
                end_address(person=user, is_shop=is_shop, now=timezone.now())
                messages.success(request, gettext("The address no longer works."))
                return redirect("training:calendar")
            secret = make_address(person=user, is_shop=is_shop, now=timezone.now())
        except Refused as refused:
            messages.error(request, refused.message)
            return redirect("training:calendar")
        return _shown_once(request, secret, is_shop=is_shop)
    return render(request, "training/calendar.html", {"addresses": addresses_of(user)})


def _shown_once(request: HttpRequest, secret: str, *, is_shop: bool) -> HttpResponse:
    address = request.build_absolute_uri(reverse("training:calendar-feed", args=[secret]))
    context = {
        "address": address,
        "subscribe": "webcal" + address.removeprefix("https").removeprefix("http"),
        "picture": code_of(address, gettext("Code that leads to the calendar")),
        "is_shop": is_shop,
    }
    return render(request, "training/calendar_address.html", context)


@login_not_required
@require_safe
def feed(request: HttpRequest, secret: str) -> HttpResponse:
    """The calendar at a secret address; 410 where the address has ended, so that programs stop
    asking.
    """
    row = calendar_at(secret)
    if row is None:
        raise Http404
    try:
        count_question(
            asker=f"calendar {row.digest}", most=calendars.MOST_A_MINUTE, now=timezone.now()
        )
    except TooMany as many:
        answer = _say(gettext("Too many requests. Try again in a minute."), 429)
        answer["Retry-After"] = str(many.seconds)
        return answer
    if not is_open(row):
        return _say(gettext("This address no longer works. Make a new one on the site."), 410)
    return _calendar(request, row)


@write_days_for(PLAIN)  # an event is told once, to programs of many languages
def _calendar(request: HttpRequest, row: CalendarAddress) -> HttpResponse:
    now, today = shop_now(), row.person.workshop.today()
    of: User | None = None if row.is_shop else row.person
    occasions = shop_occasions(today, now) if of is None else own_occasions(of, today, now)
    tell_calendar(person=of, occasions=occasions, today=today, now=now)
    name = (
        row.person.workshop.name
        if of is None
        else gettext("{name} at the bench").format(name=of.name)
    )
    # Not with the site: its library is slow to load, and only calendar programs ask.
    from training.exchange.sending.calendars import write_calendar

    body = write_calendar(name, told_events(of))
    # A weak one: a proxy may compress the file.
    etag = f'W/"{hashlib.sha256(body).hexdigest()}"'
    answer = _sealed(HttpResponse(body, content_type=KIND))
    answer["ETag"] = etag
    answer["Content-Disposition"] = 'inline; filename="calendar.ics"'
    found: HttpResponse = get_conditional_response(request, etag=etag, response=answer) or answer
    return _sealed(found)


def _say(text: str, status: int) -> HttpResponse:
    answer = HttpResponse(text, content_type="text/plain; charset=utf-8", status=status)
    # Django would write the address, which is a secret, beside a refusal into the log.
    answer._has_been_logged = True  # type: ignore[attr-defined]
    return _sealed(answer)


def _sealed(answer: HttpResponse) -> HttpResponse:
    """Kept by nobody on the way, found by no search engine, and its address handed on to nobody."""
    answer["Cache-Control"] = "private, no-cache"
    answer["X-Robots-Tag"] = "noindex, nofollow"
    answer["Referrer-Policy"] = "no-referrer"
    return answer
