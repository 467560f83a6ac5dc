"""How does a senior write down what was seen, and where is it read afterwards?"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from functools import partial
from typing import NamedTuple

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.urls import reverse
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from procedures.models import Revision
from procedures.records.files import find_kept
from procedures.records.refused import Refused
from procedures.views.drawings import photo_answer
from procedures.writeup.check_sheet import LineSeen
from procedures.writeup.letters import strip_hidden
from training.access import acts, doors
from training.actions.entries import record_observation, say_newer
from training.actions.observing import (
    MOST_PHOTOS,
    keep_photos,
    photos_of,
    sign_shown_again,
    ticket_for,
)
from training.actions.once import LONGEST, FormDone, new_mark, write_once
from training.actions.signing import prove
from training.models import Level, Observation, ShownAgain, User, shop_now
from training.records.seen_again import shown_again_sheet
from training.reports.agreement import FEW, SEEN, agreement_page, say_conclusion
from training.reports.levels import level_title
from training.reports.observations import seen_page
from training.reports.observing import fields_of, observing_page, read_sheet
from training.views.forms.clearing import ShownAgainForm
from training.views.forms.jobs import tool_marks

METHODS = ["GET", "HEAD", "POST"]


@require_http_methods(METHODS)
def observe(request: HttpRequest, level: str, login: str) -> HttpResponse:
    """Three pages on one address: which write-up, which fork, then the check sheet."""
    user = doors.who(request)
    person = doors.person_for(user, login, acts.OBSERVE)
    row = doors.level_named(level)
    today = user.workshop.today()
    page = observing_page(user, person, row, request.GET, today=today, now=shop_now())
    refused: Refused | None = None
    lines, photos = page.lines, list[str]()
    mark = request.POST.get("mark", "")[:LONGEST]
    if request.method == "POST" and page.revision is not None and page.is_ready:
        lines = read_sheet(page.lines, request.POST)
        photos, faults = _photos(request, user)
        is_current = request.POST.get("revision") == str(page.revision.number)
        # What was seen of an older sheet is not taken over: each line is looked at again.
        lines = lines if is_current else tuple(replace(line, seen="") for line in lines)
        seen = _Seen(user, person, row, page.revision, page.variant, lines, photos, is_current)
        try:
            done = _write_down(request, seen, faults, mark)
        except Refused as error:
            refused = error
        else:
            told = gettext("The observation of {person_name} is recorded.")
            messages.success(request, done.told(told.format(person_name=person.name)))
            return redirect(reverse("training:one", args=[level, login], query={"taken": mark}))
    context = {
        "page": page,
        "person": person,
        "level": row,
        "title": level_title(level, today),
        "lines": fields_of(lines, page.steps),
        "refused": refused,
        "note": request.POST.get("note", ""),
        "tools": request.POST.get("tools", ""),
        "mark": mark or new_mark(),
        "photos": ticket_for(photos, user),
        "photos_kept": str(len(photos)) if photos else "",
        "most_photos": str(MOST_PHOTOS),
    }
    return render(request, "training/observe.html", context)


class _Seen(NamedTuple):
    """Who saw what of whom: what a filled check sheet says."""

    observer: User
    person: User
    level: Level
    revision: Revision
    variant: Mapping[str, str]
    lines: tuple[LineSeen, ...]
    photos: list[str]
    is_current: bool
    """Whether the sheet that was filled in is of this revision."""


def _write_down(
    request: HttpRequest, seen: _Seen, faults: Sequence[str], mark: str
) -> FormDone[Observation]:
    """The observation that was sent, kept once. Raises Refused for a photo that cannot be read, and
    as record_observation does.
    """
    if faults and seen.is_current:
        raise Refused(
            gettext(
                "Nothing was recorded yet. What you typed is still here, with each photo "
                "that could be read."
            ),
            faults,
        )
    record = partial(
        record_observation,
        person=seen.person,
        level=seen.level,
        observer=seen.observer,
        revision=seen.revision,
        variant=seen.variant,
        lines=seen.lines,
        note=strip_hidden(request.POST.get("note", ""))[:2000],
        tools=tool_marks(request.POST.get("tools", "")[:200]),
        photos=seen.photos,
    )

    def write() -> Observation:
        # Inside, so that a sheet sent twice over a release is the one that was recorded.
        if not seen.is_current:
            raise Refused(say_newer(seen.revision))
        return record()

    return write_once(Observation, person=seen.observer, mark=mark, write=write)


def _photos(request: HttpRequest, user: User) -> tuple[list[str], list[str]]:
    """The photos kept with the form so far and those that came now, and a sentence for each file
    that is not kept.
    """
    try:
        earlier = photos_of(request.POST.get("photos-kept", ""), user)
    except Refused as refused:
        return [], [refused.message]
    uploads = request.FILES.getlist("photos")
    if len(earlier) + len(uploads) > MOST_PHOTOS:
        return earlier, [
            gettext("An observation takes at most {most} photos. Choose fewer.").format(
                most=MOST_PHOTOS
            )
        ]
    new, faults = keep_photos(uploads)
    return list(dict.fromkeys([*earlier, *new])), faults


@require_safe
def observation(request: HttpRequest, pk: int) -> HttpResponse:
    user = doors.who(request)
    return render(
        request,
        "training/observation.html",
        {"page": seen_page(user, doors.observation_seen_by(user, pk))},
    )


@require_safe
def photo(request: HttpRequest, pk: int, number: int) -> HttpResponse:
    """One photo of an observation, for those who may see it."""
    photos = doors.observation_seen_by(doors.who(request), pk).photos
    data = find_kept(photos[number - 1]) if 0 < number <= len(photos) else None
    if data is None:
        raise Http404
    return photo_answer(data, keep="private, no-store")  # it can show somebody at work


@require_http_methods(METHODS)
def shown_again(request: HttpRequest, pk: int) -> HttpResponse:
    """The sheet with each line that was not right, and under it the box to sign."""
    user = doors.who(request)
    doors.must(user, acts.OBSERVE)
    row, today = doors.observation_seen_by(user, pk), user.workshop.today()
    # What was right needs no showing again.
    if row.right:
        raise Http404
    sheet = shown_again_sheet(row, signer=user, on=today)
    form = ShownAgainForm(request.POST or None, lines=sheet.lines, initial={"shown": sheet.digest})
    if form.is_valid():
        given = form.cleaned_data
        try:
            proof = prove(request, user, given["password"], given["shown"])
            done = write_once(
                ShownAgain,
                person=user,
                mark=given["shown"],
                write=lambda: sign_shown_again(
                    observation=row,
                    steps=given.get("steps", []),
                    by=user,
                    shown=given["shown"],
                    proof=proof,
                    note=given["note"],
                ),
            )
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
        else:
            messages.success(
                request, done.told(gettext("Signed: {meaning}").format(meaning=sheet.meaning))
            )
            return redirect("training:observation", pk=pk)
    return render(
        request,
        "training/shown_again.html",
        {"form": form, "sheet": sheet, "page": seen_page(user, row)},
    )


@require_safe
def agreement(request: HttpRequest) -> HttpResponse:
    doors.must(doors.who(request), acts.SEE_EVERYONE)
    pairs = agreement_page()
    context = {"pairs": pairs, "seen": SEEN, "few": FEW, "heading": say_conclusion(pairs)}
    return render(request, "training/agreement.html", context)
