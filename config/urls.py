"""Every address of the site."""

from allauth.account.decorators import secure_admin_login
from django.contrib import admin
from django.urls import include, path

from config import guard, health, look, offline, parts

admin.site.login = secure_admin_login(admin.site.login)  # one way in, with all it asks

urlpatterns = [
    path("", include("inspections.sign_in_urls")),
    path("", include("inspections.urls")),
    path("", include("remedies.urls")),
    path("", include("reports.urls")),
    path("who-may/", guard.who_may_do_what, name="who_may"),
    path("look/", look.choose_look, name="choose_look"),
    path("service-worker.js", offline.service_worker, name="service_worker"),
    path("at-hand/", offline.at_hand, name="at_hand"),
    path("parts/", parts.parts, name="parts"),
    path("healthz", health.healthz, name="healthz"),
    path("admin/", admin.site.urls),
]

handler500 = "config.errors.server_error"
