"""Where does somebody find a drawing, add one, and get a photo?"""

from django.contrib import messages
from django.http import Http404, HttpRequest, HttpResponse
from django.shortcuts import redirect, render
from django.utils.translation import gettext
from django.views.decorators.http import require_http_methods, require_safe

from procedures.access import acts
from procedures.actions.drawings import keep_drawing
from procedures.models import Drawing, Kind
from procedures.records.files import find_kept
from procedures.records.refused import Refused
from procedures.reports.drawings import drawings_page
from procedures.views.forms.search import page_of
from procedures.views.forms.writeups import DrawingForm

LONGEST = 200
DRAWINGS_A_PAGE = 12


@require_safe
def drawings(request: HttpRequest) -> HttpResponse:
    asked = " ".join(request.GET.get("words", "").split())[:LONGEST]
    page = drawings_page(request.user, asked)
    context = {"page": page, "shown": page_of(request, page.shown, DRAWINGS_A_PAGE)}
    return render(request, "procedures/drawings.html", context)


@require_http_methods(["GET", "HEAD", "POST"])
def new(request: HttpRequest) -> HttpResponse:
    acts.WRITE.must_be_open_to(request.user)
    form = DrawingForm(request.POST or None, request.FILES or None)
    if form.is_valid():
        try:
            row = keep_drawing(**form.told_to_keep(), by=request.user)
        except Refused as refused:
            form.add_error(None, refused.message)
        else:
            messages.success(
                request,
                gettext(
                    "The {kind} is saved. In a write-up, write ![what it shows](drawing:{name})"
                ).format(kind=row.kind, name=row.name),
            )
            return redirect("procedures:drawings")
    return render(request, "procedures/drawing_new.html", {"form": form})


@require_safe
def photo(request: HttpRequest, digest: str) -> HttpResponse:
    """A photo of the shop, for anybody signed in. What an address holds never changes, so a browser
    may keep it.
    """
    data = (
        find_kept(digest)
        # A file alone is not enough: SVG lies in the same folder, and is shown only inside a page.
        if Drawing.objects.filter(digest=digest, kind=Kind.PHOTO).exists()
        else None
    )
    if data is None:
        raise Http404
    return photo_answer(data)


def photo_answer(
    data: bytes, *, keep: str = "private, max-age=31536000, immutable"
) -> HttpResponse:
    """A kept photo, as an answer that nobody but this browser keeps; `keep` says otherwise."""
    return HttpResponse(
        data,
        content_type="image/jpeg",
        headers={
            "Cache-Control": keep,
            # Bytes that came from outside must never be taken for a page.
            "X-Content-Type-Options": "nosniff",
            "Content-Disposition": 'inline; filename="photo.jpg"',
        },
    )
