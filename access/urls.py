"""Every address of the program: the API under /api/v1/, and the page for whatever else a person may open."""

from django.urls import include, path, re_path

from access.shell import page

handler400 = "access.api.problems.bad_request"
handler403 = "access.api.problems.forbidden"
handler404 = "access.api.problems.not_found"
handler500 = "access.api.problems.server_error"

urlpatterns = [
    path("api/v1/", include("access.api.urls")),
    # A file that is not there must be a 404, never the page under a script's name.
    re_path(r"^(?!api(?:/|$)|assets/)(?:[^.]*)$", page, name="page"),
]
