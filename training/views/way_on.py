"""Where does the way go on: back to Start, for whoever came from there?"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect


def go_on(request: HttpRequest, otherwise: str) -> HttpResponse:
    """To Start for whoever came from there, which its links say in the address; else elsewhere."""
    return redirect("training:start" if mark_of_start(request) else otherwise)


def go_further(request: HttpRequest, address: str) -> HttpResponse:
    """To the next page, which shows the way back for whoever came from Start."""
    return redirect(address + mark_of_start(request))


def mark_of_start(request: HttpRequest) -> str:
    """What an address carries on for whoever came from Start; else nothing."""
    return "?from=start" if request.GET.get("from") == "start" else ""
