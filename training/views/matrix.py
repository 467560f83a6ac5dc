"""How does an owner bring in the shop's own list of names and services?"""

from __future__ import annotations

import tempfile
from collections.abc import Sequence
from pathlib import Path, PurePath
from typing import Any

from django.contrib import messages
from django.core import signing
from django.core.files.uploadedfile import UploadedFile
from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.signing import prove
from training.exchange.folder.bring import Faulty
from training.exchange.matrix.bringing import Outcome, bring_matrix, read_shop_so_far, sheets_of
from training.exchange.matrix.meaning import Answers, Sheet, Understood
from training.exchange.matrix.sheets import make_plain, read_plain
from training.exchange.matrix.understood import understand
from training.exchange.matrix.wording import say, say_follows
from training.models import User, shop_now
from training.views.forms.matrix import ListForm, MatrixForm
from training.views.way_on import go_on

SALT = "training.matrix"
# What was left out and could be somebody, or somebody's days: it is shown at once.
COULD_COUNT = {
    "column-of-days",
    "column-without-head",
    "column-without-marks",
    "no-person",
    "row-without-name",
}
LONGEST = 2_000_000  # letters of the list as it is handed on by the page


@require_http_methods(["GET", "HEAD", "POST"])
def matrix(request: HttpRequest) -> HttpResponse:
    """The file first; then what it means, what it leaves open, and the button that brings it in."""
    user = doors.who(request)
    doors.must(user, acts.FOUND)
    if "list" in request.POST:
        return _shown_list(request, user)
    form = ListForm(request.POST or None, request.FILES or None)
    if request.method == "POST" and form.is_valid():
        sheets, faults = _sheets_in(form.cleaned_data["file"])
        # The page carries the list: on the server it would outlive whoever gives up half way.
        handed_on = signing.dumps(make_plain(sheets), salt=SALT, compress=True)
        for fault in faults:
            form.add_error("file", say(fault))
        if len(handed_on) > LONGEST:
            form.add_error(
                "file",
                gettext(
                    "This list is too large for a page. Ask whoever runs the site to bring it in."
                ),
            )
        elif sheets:
            return _page(request, user, sheets, handed_on)
    return render(request, "training/matrix_file.html", {"form": form})


def _sheets_in(given: UploadedFile[bytes]) -> tuple[list[Sheet], Sequence[Any]]:
    suffix = PurePath(given.name or "").suffix.lower()
    with tempfile.TemporaryDirectory() as folder:
        # Under a name of ours: that of the upload could point elsewhere.
        path = Path(folder) / f"list{suffix}"
        with path.open("wb") as written:
            for chunk in given.chunks():
                written.write(chunk)
        return sheets_of(path)


def _shown_list(request: HttpRequest, user: User) -> HttpResponse:
    """The list that a page of ours handed on. Only what this site has signed is read."""
    handed_on = request.POST["list"]
    try:
        # Without the seal a browser could send rows that no file ever held.
        sheets = read_plain(signing.loads(handed_on, salt=SALT, max_age=86_400))
    except signing.BadSignature:
        messages.error(request, gettext("This page is out of date. Choose the file again."))
        return redirect(request.get_full_path())
    return _page(request, user, sheets, handed_on)


def _page(request: HttpRequest, user: User, sheets: list[Sheet], handed_on: str) -> HttpResponse:
    known = read_shop_so_far(user.workshop, shop_now())
    is_sent = "list" in request.POST
    lie = request.POST.get("names", "")
    told = Answers(names=lie if lie in {"down", "across"} else "")
    asked = understand(sheets, known, told)
    # Asked without the answer, so that the field stays on the page once it was filled in.
    asks_names = any(
        one.code == "which-are-names" for one in understand(sheets, known, Answers()).questions
    )
    # Where it has only now been told which are the names, the other fields come for the first time.
    data = request.POST if is_sent and "level-0" in request.POST else None
    form = MatrixForm(
        asked, dict(known.levels), user, data, asks_names=asks_names, initial={"names": lie}
    )
    outcome = Outcome(asked)
    if is_sent and form.is_valid():
        outcome = _outcome(request, user, sheets, form)
        if outcome.is_in:
            return go_on(request, "training:who-may")
    # Not before: the answers can be checked without it.
    form.fields["password"].required = is_ready = outcome.follows is not None
    context = {
        "form": form,
        "list": handed_on,
        "is_sent": is_sent,
        "ready": is_ready,
        "follows": say_follows(outcome.follows) if outcome.follows else [],
        **_told(outcome.understood),
    }
    return render(request, "training/matrix.html", context)


def _outcome(request: HttpRequest, user: User, sheets: list[Sheet], form: MatrixForm) -> Outcome:
    wants_in = "bring" in request.POST and _is_signed(request, user, form)
    try:
        outcome = bring_matrix(
            sheets, by=user, given=form.answers(user.workshop.today()), only_check=not wants_in
        )
    except Faulty as faulty:
        for fault in faulty.faults:
            form.add_error(None, str(fault))
        return Outcome(Understood())
    except Refused as refused:
        form.add_error(None, refused.message)
        return Outcome(Understood())
    if outcome.is_in:
        messages.success(request, " ".join(say_follows(outcome.follows)) if outcome.follows else "")
    return outcome


def _is_signed(request: HttpRequest, user: User, form: MatrixForm) -> bool:
    """Whether the password was given; if not, the form says so. First sign-offs of a list are
    signed as each of them would be by itself.
    """
    try:
        prove(request, user, form.cleaned_data["password"], "first sign-offs of a list")
    except Refused as refused:
        form.add_error("password", refused.message)
        return False
    return True


def _told(found: Understood) -> dict[str, Any]:
    """What was understood, as rows for the page: for each person and column the day that counts,
    and what stands in the list.
    """
    levels = {one.head: one for one in found.levels}
    days = {(one.login, one.level): one.on for one in found.sign_offs}
    heads = [(head, levels.get(head)) for head in found.heads]
    rows = [
        (
            person,
            [
                (head, days.get((person.login, level.level)) if level else None, text)
                for (head, level), text in zip(heads, texts, strict=True)
            ],
        )
        for person, texts in zip(found.people, found.cells, strict=True)
    ]
    return {
        "heads": heads,
        "people": rows,
        "questions": [say(one) for one in found.questions],
        "faults": [say(one) for one in found.faults],
        "left_out": [say(one) for one in found.left_out],
        "left_out_opens": any(one.code in COULD_COUNT for one in found.left_out),
    }
