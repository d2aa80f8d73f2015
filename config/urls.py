"""Every address of the site."""

from django.contrib import admin
from django.urls import include, path

from config import guard, look

urlpatterns = [
    path("", include("inspections.urls")),
    path("", include("remedies.urls")),
    path("", include("reports.urls")),
    path("who-may/", guard.who_may_do_what, name="who_may"),
    path("look/", look.choose_look, name="choose_look"),
    path("admin/", admin.site.urls),
]
