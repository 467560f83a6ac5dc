"""Where does the way go on after something came in: back to Start, for whoever came from there?"""

from __future__ import annotations

from django.http import HttpRequest, HttpResponse
from django.shortcuts import redirect


def go_on(request: HttpRequest, otherwise: str) -> HttpResponse:
    """To Start for whoever came from there, which its links say in the address; else elsewhere."""
    is_from_start = request.GET.get("from") == "start"
    return redirect("training:start" if is_from_start else otherwise)
