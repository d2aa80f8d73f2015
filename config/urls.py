"""Every address of the site."""

from django.contrib import admin
from django.urls import include, path

urlpatterns = [
    path("", include("inspections.urls")),
    path("", include("remedies.urls")),
    path("", include("reports.urls")),
    path("admin/", admin.site.urls),
]
