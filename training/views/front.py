"""How does the shop show itself, who may look at today, and who has a photo?"""

from __future__ import annotations

from django.contrib import messages
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_POST, require_safe

from procedures.records.refused import Refused
from procedures.views.drawings import photo_answer
from training.access import acts, doors
from training.actions.front import drop_photo, keep_photo, set_front
from training.models import PersonPhoto, ShopFront, shop_now
from training.reports.front import front_shown, has_photo, today_table
from training.views.forms.front import PhotoForm, ShopForm

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def shop(request: HttpRequest) -> HttpResponse:
    """The owner's page: name, logo, and who may look."""
    user = doors.who(request)
    doors.must(user, acts.KEEP_PEOPLE)
    front = front_shown()
    initial = {"name": front.name, "all_may_look": front.all_may_look}
    form = ShopForm(request.POST or None, request.FILES or None, initial=initial)
    if form.is_valid():
        try:
            set_front(by=user, now=timezone.now(), **form.cleaned_data)
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            messages.success(request, gettext("Saved."))
            return redirect("training:shop")
    return render(request, "training/shop.html", {"form": form})


@login_not_required
@require_safe
def logo(request: HttpRequest, digest: str) -> HttpResponse:
    """The logo, for the sign-in page too. What an address holds never changes."""
    front = ShopFront.objects.filter(pk=ShopFront.ONLY, digest=digest).first()
    if front is None or not digest:
        raise Http404
    return photo_answer(bytes(front.logo))


@require_safe
def today(request: HttpRequest) -> HttpResponse:
    """Who may do what today, for everybody where the owner switched it on; for the head of a page
    only its table.
    """
    user = doors.who(request)
    if not front_shown().all_may_look:
        doors.must(user, acts.SEE_EVERYONE)
    now = shop_now()
    on = user.workshop.day_of(now)
    table = today_table(user.workshop.name, on, now)
    is_piece = request.headers.get("HX-Request") == "true"
    name = "training/_today_table.html" if is_piece else "training/today.html"
    return render(request, name, {"table": table, "on": on, "workshop": user.workshop})


@require_http_methods(METHODS)
def photo(request: HttpRequest) -> HttpResponse:
    """One's own photo: shown, put in, taken out."""
    user = doors.who(request)
    form = PhotoForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and request.POST.get("do") == "remove":
        return _removed(request, user.login, "training:photo")
    if request.method == "POST" and form.is_valid():
        try:
            keep_photo(person=user, photo=form.cleaned_data["photo"], now=timezone.now())
        except Refused as refused:
            form.add_error("photo", refused.message)
        else:
            messages.success(request, gettext("Your photo is saved."))
            return redirect("training:photo")
    return render(request, "training/photo.html", {"form": form, "has_photo": has_photo(user)})


@require_safe
def photo_of(request: HttpRequest, login: str) -> HttpResponse:
    """Somebody's photo, for themselves and for those who see everyone."""
    person = doors.person_seen_by(doors.who(request), login)
    row = PersonPhoto.objects.filter(person=person).first()
    if row is None:
        raise Http404
    return photo_answer(bytes(row.data), keep="private, no-store")


@require_POST
def remove_photo(request: HttpRequest, login: str) -> HttpResponse:
    """The owner takes somebody's photo out."""
    doors.person_for(doors.who(request), login, acts.KEEP_PEOPLE)
    return _removed(request, login, "training:person", login)


def _removed(request: HttpRequest, login: str, back: str, *args: str) -> HttpResponse:
    user = doors.who(request)
    try:
        drop_photo(person=doors.person_seen_by(user, login), by=user)
    except Refused as refused:
        messages.error(request, refused.message)
    else:
        messages.success(request, gettext("The photo is removed."))
    return redirect(back, *args)
