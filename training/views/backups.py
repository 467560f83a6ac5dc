"""How does the owner take a fresh backup along?"""

from __future__ import annotations

import shutil
import tempfile
from collections.abc import Iterator
from datetime import UTC, datetime, timedelta
from pathlib import Path

from django.conf import settings
from django.http import HttpRequest, HttpResponse, StreamingHttpResponse
from django.http.response import HttpResponseBase
from django.shortcuts import render
from django.utils import timezone
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods

from procedures.records.refused import Refused
from training.access import acts, doors
from training.actions.second_factor import has_factor
from training.actions.signing import prove
from training.exchange.backups.archive import CHUNK
from training.exchange.backups.backup import WORKPLACE, make_backup, sweep
from training.exchange.backups.last_backup import last_backup, note_backup
from training.views.forms.sign_in import PasswordAndCodeForm
from training.views.second_factor import give_code

# A file, since each worker of the server has a memory of its own.
BEGUN = "backup-begun"
PAUSE = timedelta(minutes=1)  # between two backups by this page: each reads and packs everything


@require_http_methods(["GET", "HEAD", "POST"])
def backup(request: HttpRequest) -> HttpResponseBase:
    """The page with the button; with the password, and a code where there is a second factor, the
    file itself.
    """
    user = doors.who(request)
    doors.must(user, acts.TAKE_OUT)
    form = PasswordAndCodeForm(request.POST or None, with_code=has_factor(user))
    if form.is_valid():
        try:
            prove(request, user, form.cleaned_data["password"], "a backup")
            # After the password: whoever does not have that spends no code.
            give_code(request, user, form.cleaned_data.get("code", ""))
            return _fresh(timezone.now())
        except Refused as refused:
            form.add_error(None, [refused.message, *refused.details])
    return render(request, "training/backup.html", {"form": form, "last": last_backup()})


def _fresh(now: datetime) -> HttpResponse | StreamingHttpResponse:
    """A new backup as a download. Raises Refused where one was begun within the last minute, or
    where none can be made.
    """
    home = Path(settings.HOME)
    _take_turn(home / BEGUN, now)
    sweep(home, WORKPLACE, now)
    folder = Path(tempfile.mkdtemp(prefix=WORKPLACE, dir=home))
    try:
        made, _ = make_backup(folder / "shop.zip", now=now)
        size = (folder / "shop.zip").stat().st_size
    except Refused:
        shutil.rmtree(folder, ignore_errors=True)
        raise
    name = f"benchright-{now.astimezone(UTC):%Y%m%dT%H%M%SZ}.zip"
    headers = {
        "Content-Disposition": f'attachment; filename="{name}"',
        # So that a browser can tell a download that was cut off from a whole one.
        "Content-Length": str(size),
        "Cache-Control": "no-store",
    }
    return StreamingHttpResponse(
        _sent(folder, made.made_at), content_type="application/zip", headers=headers
    )


def _sent(folder: Path, made_at: str) -> Iterator[bytes]:
    """The file in pieces. It counts as a backup when its last piece has gone out; nothing of it
    stays here.
    """
    try:
        with (folder / "shop.zip").open("rb") as file:
            while piece := file.read(CHUNK):
                yield piece
        # Only now: a download that was cut off is no backup.
        note_backup(made_at)
    finally:
        shutil.rmtree(folder, ignore_errors=True)


def _take_turn(mark: Path, now: datetime) -> None:
    try:
        begun = datetime.fromtimestamp(mark.stat().st_mtime, UTC)
    except OSError:
        begun = None
    # A mark from the future (a clock that was set back) must not lock the page for long.
    if begun is not None and timedelta() <= now - begun < PAUSE:
        raise Refused(
            gettext(
                "Another backup was started less than a minute ago. Wait a minute, then try again."
            )
        )
    try:
        mark.touch(mode=0o600)
    except OSError as error:
        raise Refused(
            gettext("The site cannot write into its folder: {error}.").format(
                error=error.strerror or error
            )
        ) from error
