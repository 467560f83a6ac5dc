"""Which pages only report, so that a replica may be read for them?"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from django.db import DatabaseError
from django.http import HttpRequest, HttpResponse

from training.records.replica import read_on_replica

SAFE = frozenset({"GET", "HEAD"})
API = "api:"
# Each takes no form and begins nothing: what leads to a signature is read where it is written.
REPORTS = frozenset(
    {
        "quizzes:odds",
        "quizzes:recall",
        "quizzes:statistics",
        "training:agreement",
        "training:book",
        "training:changed",
        "training:codes",
        "training:cover",
        "training:impact",
        "training:line",
        "training:one",
        "training:other-rules",
        "training:own-record",
        "training:person-record",
        "training:recall",
        "training:signers",
        "training:today",
        "training:wall",
        "training:who-may",
    }
)


class ReportsOnReplica:
    """A report is read on the replica, where that has caught up; where it fails in the middle, the
    page is made once more, on the primary.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        return self.get_response(request)

    def process_view(
        self, request: HttpRequest, view: Callable[..., HttpResponse], args: Any, kwargs: Any
    ) -> HttpResponse | None:
        if not is_report(request):
            return None
        try:
            with read_on_replica() as reading:
                # None hands the page on to Django, which makes it as every other one.
                answer = view(request, *args, **kwargs) if reading.on_replica else None
        except DatabaseError:
            # On the primary it is tried once more, and what fails there too is told there.
            return None
        if answer is None or reading.has_failed:
            return None
        if reading.on_replica:
            # For whoever watches (W3C, Server Timing); it says nothing about the shop.
            answer.headers["Server-Timing"] = "replica"
        return answer


def is_report(request: HttpRequest) -> bool:
    """Whether this request only asks, for a report."""
    route = request.resolver_match.view_name if request.resolver_match else ""
    return request.method in SAFE and (route in REPORTS or route.startswith(API))
