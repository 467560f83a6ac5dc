"""For whom are the days on a page written?"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse
from django.utils.cache import patch_vary_headers
from django.utils.translation.trans_real import parse_accept_lang_header

from procedures.records.days.reader import write_days_for
from procedures.records.days.regions import find_region


class ReadersDays:
    """While a page is made, days are written in the order of the region that the browser names."""

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        # Django's parser cuts a long header and answers a broken one with nothing.
        ranges = parse_accept_lang_header(request.headers.get("Accept-Language", ""))
        with write_days_for(find_region(ranges)):
            answer = self.get_response(request)
        if answer.headers.get("Content-Type", "").startswith("text/html"):
            patch_vary_headers(answer, ["Accept-Language"])
        return answer
