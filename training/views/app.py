"""How does the site stand on a device like a program of its own, and what is seen of it without
network?
"""

from __future__ import annotations

from django.contrib.auth.decorators import login_not_required
from django.http import HttpRequest, HttpResponse, JsonResponse
from django.shortcuts import render
from django.templatetags.static import static
from django.utils.translation import gettext
from django.views.decorators.http import require_safe

# The sheet and the ink of look.css by day; a manifest knows one scheme, the pages tell both.
SHEET = "#fdfcf8"
ICONS = (
    ("mark.svg", "any", "image/svg+xml", "any"),
    ("icon-192.png", "192x192", "image/png", "any"),
    ("icon-512.png", "512x512", "image/png", "any"),
    ("icon-maskable-512.png", "512x512", "image/png", "maskable"),
)


@login_not_required
@require_safe
def manifest(request: HttpRequest) -> JsonResponse:
    """The application manifest (W3C, Web Application Manifest), by which a browser installs it."""
    icons = [
        {"src": static(f"benchright/{name}"), "sizes": sizes, "type": kind, "purpose": purpose}
        for name, sizes, kind, purpose in ICONS
    ]
    said = {
        "id": "/",
        "name": gettext("Benchright"),
        "short_name": gettext("Benchright"),
        "description": gettext("Write-ups, and who may do which service."),
        "lang": "en-GB",
        "start_url": "/",
        "scope": "/",
        "display": "standalone",
        "background_color": SHEET,
        "theme_color": SHEET,
        "icons": icons,
    }
    return JsonResponse(said, content_type="application/manifest+json")


@login_not_required
@require_safe
def offline(request: HttpRequest) -> HttpResponse:
    """The page that stands for the site while there is no network. It names nobody: the bench's
    worker asks for it without saying who it is, and shows it to whoever holds the device.
    """
    return render(request, "training/offline.html")
