"""Answers the built page for every address that is the page's own: the page itself decides what to show there.

The files beside it (scripts, styles, worker, manifest) are served by WhiteNoise before a request gets here.
It answers the same to whoever is signed in or not, so it holds nothing about anybody.
"""

from django.conf import settings
from django.http import HttpRequest, HttpResponse
from django.views.decorators.http import require_safe

NOT_BUILT = "The page is not built yet: run  python3 manage.py demo  once.\n"


@require_safe
def page(request: HttpRequest) -> HttpResponse:
    """The shell of the page, or in words that it is not built."""
    built = settings.PAGE / "index.html"
    if not built.is_file():
        return HttpResponse(NOT_BUILT, status=503, content_type="text/plain; charset=utf-8")
    return HttpResponse(built.read_bytes(), content_type="text/html; charset=utf-8")
