"""Who may keep a copy of a page?"""

from collections.abc import Callable

from django.http import HttpRequest, HttpResponse

NOBODY = "private, no-store"


class KeptByNobody:
    """No page is kept by a browser or a proxy, unless its view says otherwise: nearly every page
    names people.

    Static files are answered before this. The bench's own copies are put aside by its script, with
    the person's knowledge.
    """

    def __init__(self, get_response: Callable[[HttpRequest], HttpResponse]) -> None:
        self.get_response = get_response

    def __call__(self, request: HttpRequest) -> HttpResponse:
        answer = self.get_response(request)
        # After the view, so that one which says otherwise (a photo, a public list) keeps its word.
        answer.headers.setdefault("Cache-Control", NOBODY)
        return answer
