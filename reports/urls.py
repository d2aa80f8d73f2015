"""Addresses of what leaves the program."""

from django.urls import include, path, re_path

from reports.search.views import find
from reports.views import (
    corrections,
    glow,
    intake,
    labels,
    links,
    records,
    reports,
    review,
    runs,
    sample,
    sheets,
)

urlpatterns = [
    re_path(
        r"^boards/(?P<pk>\d+)/label/(?P<stock>[a-z0-9-]+)\.pdf$",
        labels.board_label_pdf,
        name="board_label_pdf",
    ),
    path("boards/<int:pk>/before-you-test.pdf", labels.before_you_test_pdf, name="before_you_test_pdf"),
    re_path(
        r"^inspections/(?P<inspection_pk>\d+)/sheets/(?P<kind>[a-z-]+)\.(?P<ext>pdf|xlsx)$",
        sheets.sheet_download,
        name="sheet_download",
    ),
    path("audit/", include("reports.audit.urls")),
    path("find/", find, name="find"),
    path("inspections/<int:pk>/review/", review.review, name="review"),
    path("inspections/<int:pk>/correct/", corrections.correction, name="correction"),
    path("inspections/<int:pk>/correct/drop/", corrections.correction_drop, name="correction_drop"),
    path("installations/<int:pk>/records/", records.installation_records, name="installation_records"),
    path("records/", records.records, name="records"),
    path("records/issue/", runs.issue_many, name="issue_many"),
    path("records/export/", runs.export_many, name="export_many"),
    path("records/runs/<int:pk>/", runs.run, name="run"),
    path("records/runs/<int:pk>/stop/", runs.run_stop, name="run_stop"),
    path("records/runs/<int:pk>/go-on/", runs.run_resume, name="run_resume"),
    path("records/runs/<int:pk>/records.zip", runs.run_archive, name="run_archive"),
    path("records/<int:pk>/", records.record, name="record"),
    path("records/<int:pk>/record.json", records.record_json, name="record_json"),
    path("records/<int:pk>/record.pdf", records.record_pdf, name="record_pdf"),
    path("records/<int:pk>/client-link/", links.client_link_give, name="client_link_give"),
    path("client-links/<int:pk>/end/", links.client_link_end, name="client_link_end"),
    path("report/<str:token>/", links.client_report, name="client_report"),
    path("report/<str:token>/report.pdf", links.client_report_pdf, name="client_report_pdf"),
    path("glow/<int:pk>/worksheet.pdf", glow.glow_pdf, name="glow_pdf"),
    path("inspections/<int:pk>/report.pdf", reports.report_preview, name="report_preview"),
    path("inspections/<int:pk>/visit-pack.pdf", reports.visit_pack, name="visit_pack"),
    path("inspections/<int:pk>/remedial-report.pdf", reports.remedial_report, name="remedial_report"),
    path("sample/", sample.sample_enter, name="sample_enter"),
    path("sample/leave/", sample.sample_leave, name="sample_leave"),
    path("sample/throw-away/", sample.sample_throw_away, name="sample_throw_away"),
    path("records/bring-in/", intake.record_intake, name="record_intake"),
    path("records/bring-in/<int:pk>/", intake.record_intake_preview, name="record_intake_preview"),
    path("records/bring-in/<int:pk>/drop/", intake.record_intake_drop, name="record_intake_drop"),
]
