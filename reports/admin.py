"""Reviews and issued records in the admin: to look at, never to change."""

from django.contrib import admin

from reports.models import Correction, IssuedRecord, PointAnswer, Review


class ToLookAt(admin.ModelAdmin):
    def has_add_permission(self, request):
        return False

    def has_change_permission(self, request, obj=None):
        return False

    def has_delete_permission(self, request, obj=None):
        return False


@admin.register(IssuedRecord)
class IssuedRecordAdmin(ToLookAt):
    list_display = ("designation", "firm", "inspection", "issued_at", "issued_by", "sha256")
    list_filter = ("firm",)
    list_select_related = ("firm", "inspection", "issued_by")
    search_fields = ("sha256", "inspection__installation__name")

    def get_queryset(self, request):
        return super().get_queryset(request).defer("content")


@admin.register(Review)
class ReviewAdmin(ToLookAt):
    list_display = ("inspection", "sent_by", "sent_at", "outcome", "closed_by")
    list_filter = ("inspection__installation__client__firm", "outcome")
    list_select_related = ("inspection", "sent_by", "closed_by")


@admin.register(PointAnswer)
class PointAnswerAdmin(ToLookAt):
    list_display = ("said", "text", "inspection", "answered_by", "answered_on")
    list_filter = ("inspection__installation__client__firm",)
    list_select_related = ("inspection", "answered_by")


@admin.register(Correction)
class CorrectionAdmin(ToLookAt):
    list_display = ("corrects", "what_changed", "opened_by", "opened_at", "issued_as")
    list_filter = ("inspection__installation__client__firm",)
    list_select_related = ("corrects", "opened_by", "issued_as")
