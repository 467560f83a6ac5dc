"""What does every page of the site need?"""

from typing import Any

from django.http import HttpRequest
from django.urls import reverse
from django.utils import timezone

from quizzes.access import acts as quiz_acts
from training.access import acts
from training.access.sessions import IDLE
from training.models import User, Workshop
from training.records.keeping import head
from training.reports.front import front_shown
from training.views.way_on import mark_of_start

# label, route, what somebody must be allowed to do to be shown it
PLACES = (
    ("My bench", "training:home", None),
    ("Write-ups", "procedures:list", None),
    ("Who may", "training:who-may", acts.SEE_EVERYONE),
    ("Cover", "training:cover", acts.SEE_EVERYONE),
    ("Questions", "quizzes:questions", quiz_acts.WRITE),
    ("People", "training:people", acts.KEEP_PEOPLE),
    ("Levels", "training:levels", acts.KEEP_LEVELS),
    ("Record book", "training:book", acts.SEE_BOOK),
)


def site(request: HttpRequest) -> dict[str, Any]:
    """The places this person may go to, whether the shop is made up, and the head of the record
    book.
    """
    user, front, from_start = request.user, front_shown(), mark_of_start(request)
    if not isinstance(user, User):
        return {
            "nav": (),
            "demo_shop": Workshop.objects.filter(is_demo=True).exists(),
            "book_head": "",
            "shop_front": front,
            "from_start": from_start,
            "may_look": False,
            "keeps_levels": False,
        }
    number, digest = head()
    return {
        "nav": tuple(
            _place(request, label, reverse(route))
            for label, route, act in PLACES
            if act is None or act.is_open_to(user)
        ),
        "demo_shop": user.workshop.is_demo,
        # On every page, so that a printout shows a book that was cut off at its end.
        "book_head": digest[:12] if number else "",
        "shop_front": front,
        "from_start": from_start,
        "sign_in_lasts": _seconds_left(request),
        # Seniors and owners have the whole table, with the reasons.
        "may_look": front.all_may_look and not acts.SEE_EVERYONE.is_open_to(user),
        "keeps_levels": acts.KEEP_LEVELS.is_open_to(user),
    }


def _seconds_left(request: HttpRequest) -> int:
    """How long this session lasts from now on if nobody uses it: a page that a device keeps shows
    no name after that.
    """
    if not hasattr(request, "session"):  # a page that was made without the site's own gate
        return 0
    now, row = timezone.now(), getattr(request.session, "row", None)
    used = row.seen_at if row and row.seen_at else now
    ends = min(used + IDLE, request.session.get_expiry_date())
    return max(0, int((ends - now).total_seconds()))


def _place(request: HttpRequest, label: str, url: str) -> tuple[str, str, bool]:
    here = request.path == url or (url != "/" and request.path.startswith(url))
    return label, url, here
