"""The record in the admin, for whoever runs the service: firms, members, and every row with its history."""

from django import forms
from django.contrib import admin
from django.contrib.auth.admin import UserAdmin
from django.contrib.auth.forms import AdminUserCreationForm
from django.core.exceptions import PermissionDenied
from simple_history.admin import SimpleHistoryAdmin

from inspections.enums import InspectionStatus
from inspections.models import (
    Board,
    BoardResult,
    Circuit,
    CircuitResult,
    Client,
    Firm,
    Inspection,
    Installation,
    Instrument,
    Limitation,
    Member,
    Observation,
    Upload,
    VisualOutcome,
)

admin.site.site_header = admin.site.site_title = "Stillacross admin"


@admin.register(Firm)
class FirmAdmin(SimpleHistoryAdmin):
    list_display = ("name", "phone", "email")
    search_fields = ("name", "email")


class NewMemberForm(AdminUserCreationForm):
    email = forms.EmailField(label="E-mail address")

    class Meta:
        model = Member
        fields = ("email", "name", "firm", "role")

    def clean_email(self):
        return self.cleaned_data["email"].lower()


@admin.register(Member)
class MemberAdmin(UserAdmin, SimpleHistoryAdmin):
    add_form = NewMemberForm
    list_display = ("name", "email", "firm", "role", "is_active")
    list_filter = ("role", "is_active", "firm")
    list_select_related = ("firm",)
    search_fields = ("name", "email", "firm__name")
    ordering = ("name",)
    readonly_fields = ("joined_at", "last_login")
    autocomplete_fields = ("firm",)
    fieldsets = (
        (None, {"fields": ("email", "password", "name", "firm", "role", "qualification")}),
        ("Access", {"fields": ("is_active", "is_staff", "is_superuser", "groups", "user_permissions")}),
        ("When", {"fields": ("joined_at", "last_login")}),
    )
    add_fieldsets = (
        (None, {"fields": ("email", "name", "firm", "role", "usable_password", "password1", "password2")}),
    )


@admin.register(Client)
class ClientAdmin(SimpleHistoryAdmin):
    list_display = ("name", "firm", "phone", "email")
    list_filter = ("firm",)
    list_select_related = ("firm",)
    search_fields = ("name", "address", "email")
    autocomplete_fields = ("firm",)


@admin.register(Installation)
class InstallationAdmin(SimpleHistoryAdmin):
    list_display = ("name", "client", "postcode", "earthing", "next_due_on")
    list_filter = ("client__firm", "earthing", "use")
    list_select_related = ("client",)
    search_fields = ("name", "address", "postcode", "client__name")
    autocomplete_fields = ("client",)


@admin.register(Board)
class BoardAdmin(SimpleHistoryAdmin):
    list_display = ("designation", "location", "installation", "phases", "retired_on")
    list_filter = ("installation__client__firm",)
    list_select_related = ("installation",)
    search_fields = ("designation", "location", "installation__name")
    autocomplete_fields = ("installation", "fed_from")


@admin.register(Circuit)
class CircuitAdmin(SimpleHistoryAdmin):
    list_display = ("designation", "description", "board", "installation", "retired_on")
    list_filter = ("board__installation__client__firm",)
    list_select_related = ("board__installation",)
    search_fields = ("way", "description", "board__designation", "board__installation__name")
    autocomplete_fields = ("board",)

    @admin.display(ordering="board__installation__name")
    def installation(self, circuit):
        return circuit.board.installation


@admin.register(Instrument)
class InstrumentAdmin(SimpleHistoryAdmin):
    list_display = ("serial", "measures", "group", "firm", "calibrated_until", "retired_on")
    list_filter = ("firm", "measures")
    list_select_related = ("firm",)
    search_fields = ("serial", "description", "firm__name")
    autocomplete_fields = ("firm",)


class WhileOpenAdmin(SimpleHistoryAdmin):
    """What is changed while it is open, and looked at alone from then on. Rows go one at a time."""

    still_open = {}  # lookups that only an open row meets

    def has_change_permission(self, request, obj=None):
        return super().has_change_permission(request, obj) and (obj is None or self._is_open(obj))

    def has_delete_permission(self, request, obj=None):
        return super().has_delete_permission(request, obj) and obj is not None and self._is_open(obj)

    def history_form_view(self, request, object_id, version_id, extra_context=None):
        """An earlier entry, to be put back by whoever may change the row. The library lets anyone post it."""
        row = self.get_object(request, object_id)
        if request.method == "POST" and not self.has_change_permission(request, row):
            raise PermissionDenied
        return super().history_form_view(request, object_id, version_id, extra_context)

    def _is_open(self, row):
        """As the record stands now: ``row`` may be an entry of a history."""
        return self.model.objects.filter(pk=row.pk, **self.still_open).exists()


@admin.register(Inspection)
class InspectionAdmin(WhileOpenAdmin):
    still_open = {"status": InspectionStatus.DRAFT}
    readonly_fields = ("status",)  # a visit is sent, returned and issued on its pages
    list_display = ("installation", "kind", "started_on", "inspector", "status")
    list_filter = ("installation__client__firm", "status", "kind")
    list_select_related = ("installation", "inspector")
    search_fields = ("installation__name", "inspector__name")
    autocomplete_fields = ("installation", "inspector", "based_on", "instruments")
    date_hierarchy = "started_on"


class OfAVisitAdmin(WhileOpenAdmin):
    """A row that belongs to one inspection, and is changed while that is a draft."""

    still_open = {"inspection__status": InspectionStatus.DRAFT}
    list_filter = ("inspection__installation__client__firm",)
    list_select_related = ("inspection__installation",)
    autocomplete_fields = ("inspection",)

    def formfield_for_foreignkey(self, db_field, request, **kwargs):
        if db_field.name == "inspection":
            kwargs["queryset"] = Inspection.objects.filter(status=InspectionStatus.DRAFT)
        return super().formfield_for_foreignkey(db_field, request, **kwargs)

    @admin.display(ordering="inspection__installation__name")
    def installation(self, row):
        return row.inspection.installation


@admin.register(BoardResult)
class BoardResultAdmin(OfAVisitAdmin):
    list_display = ("board", "installation", "inspection", "zdb", "ipf_ka")
    list_select_related = ("board", "inspection__installation")
    search_fields = ("board__designation", "inspection__installation__name")
    autocomplete_fields = ("inspection", "board")


@admin.register(CircuitResult)
class CircuitResultAdmin(OfAVisitAdmin):
    list_display = ("circuit", "installation", "inspection", "r1_r2", "ir_live_live", "ir_live_earth", "zs")
    list_select_related = ("circuit__board", "inspection__installation")
    search_fields = ("circuit__description", "inspection__installation__name")
    autocomplete_fields = ("inspection", "circuit")


@admin.register(Limitation)
class LimitationAdmin(OfAVisitAdmin):
    list_display = ("reason", "kind", "installation", "inspection", "is_standing")
    search_fields = ("reason", "agreed_with", "inspection__installation__name")
    autocomplete_fields = ("inspection", "boards", "circuits")


@admin.register(Observation)
class ObservationAdmin(OfAVisitAdmin):
    list_display = ("text", "code", "installation", "inspection", "put_right_on")
    search_fields = ("text", "regulation", "inspection__installation__name")
    autocomplete_fields = ("inspection", "board", "circuit")


@admin.register(Upload)
class UploadAdmin(OfAVisitAdmin):
    list_display = ("name", "installation", "inspection", "sent_by", "sent_at", "committed_at")
    list_select_related = ("inspection__installation", "sent_by")
    search_fields = ("name", "inspection__installation__name")
    autocomplete_fields = ("inspection", "sent_by")


@admin.register(VisualOutcome)
class VisualOutcomeAdmin(OfAVisitAdmin):
    list_display = ("item", "outcome", "installation", "inspection")
    search_fields = ("item", "remark", "inspection__installation__name")
