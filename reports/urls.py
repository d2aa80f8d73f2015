"""Addresses of what leaves the program."""

from django.urls import include, path, re_path

from reports import views

urlpatterns = [
    re_path(
        r"^inspections/(?P<inspection_pk>\d+)/sheets/(?P<kind>[a-z-]+)\.(?P<ext>pdf|xlsx)$",
        views.sheet_download,
        name="sheet_download",
    ),
    path("audit/", include("reports.audit.urls")),
]
