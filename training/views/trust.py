"""How does a phone come to trust the certificate of this machine?"""

from __future__ import annotations

from pathlib import Path

from django.conf import settings
from django.contrib.auth.decorators import login_not_required
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import render
from django.views.decorators.http import require_safe

from training.exchange.machine.authority import as_der, authority_file, fingerprint_of

LINE = len("AB:") * 8


def _authority() -> Path:
    """Where the certificate lies. Raises Http404 where the site has none of its own."""
    found = authority_file(settings.HOME)
    if not settings.OWN_CERTIFICATE or not found.exists():
        raise Http404
    return found


@login_not_required
@require_safe
def trust(request: HttpRequest) -> HttpResponse:
    """What to press on each kind of phone, with the fingerprint to compare."""
    whole = fingerprint_of(_authority())
    # A line ends between two pairs only, so that it can be compared by eye.
    fingerprint = [whole[start : start + LINE] for start in range(0, len(whole), LINE)]
    return render(request, "training/trust.html", {"fingerprint": fingerprint})


@login_not_required
@require_safe
def certificate(request: HttpRequest) -> HttpResponse:
    """The authority's certificate, which is no secret; its key stays in the folder of the shop."""
    answer = HttpResponse(as_der(_authority()), content_type="application/x-x509-ca-cert")
    answer["Content-Disposition"] = 'attachment; filename="benchright.crt"'
    return answer


@login_not_required
@require_safe
def worker(request: HttpRequest) -> HttpResponse:
    """A script that does nothing: whether a browser takes it tells whether it trusts this site."""
    _authority()
    answer = HttpResponse("// It does nothing.\n", content_type="text/javascript")
    answer["Cache-Control"] = "no-store"
    return answer
