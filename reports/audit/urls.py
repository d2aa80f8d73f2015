"""Addresses of the audit."""

from django.urls import path, re_path

from reports.audit import views

urlpatterns = [
    path("", views.audit, name="audit"),
    path("saved/<int:pk>/remove/", views.audit_forget, name="audit_forget"),
    path("reminders/", views.audit_reminders, name="audit_reminders"),
    path("<slug:key>/", views.audit_question, name="audit_question"),
    path("<slug:key>/save/", views.audit_save, name="audit_save"),
    re_path(r"^(?P<key>[a-z-]+)\.(?P<ext>csv|xlsx|pdf)$", views.audit_file, name="audit_file"),
]
