"""The load register in the admin."""

from django.contrib import admin
from simple_history.admin import SimpleHistoryAdmin

from inspections.admin import WhileOpenAdmin
from remedies.enums import GlowStatus
from remedies.models import BoardLabel, GlowWorksheet, LoadPreset, ParallelLoad


@admin.register(LoadPreset)
class LoadPresetAdmin(SimpleHistoryAdmin):
    list_display = ("name", "kind", "firm")
    list_filter = ("firm", "kind")
    list_select_related = ("firm",)
    search_fields = ("name", "firm__name")
    autocomplete_fields = ("firm",)


@admin.register(ParallelLoad)
class ParallelLoadAdmin(SimpleHistoryAdmin):
    list_display = ("describe", "circuit", "installation", "place", "state", "since")
    list_filter = ("circuit__board__installation__client__firm", "state", "kind")
    list_select_related = ("circuit__board__installation",)
    search_fields = ("place", "reason", "circuit__description", "circuit__board__installation__name")
    autocomplete_fields = ("circuit", "inspection")

    @admin.display(ordering="circuit__board__installation__name")
    def installation(self, load):
        return load.circuit.board.installation


@admin.register(BoardLabel)
class BoardLabelAdmin(SimpleHistoryAdmin):
    list_display = ("board", "installation", "printed_at", "printed_by", "stuck_on")
    list_select_related = ("board__installation", "printed_by")
    search_fields = ("board__designation", "board__installation__name", "text")
    autocomplete_fields = ("board", "printed_by", "stuck_by")

    @admin.display(ordering="board__installation__name")
    def installation(self, label):
        return label.board.installation


@admin.register(GlowWorksheet)
class GlowWorksheetAdmin(WhileOpenAdmin):
    still_open = {"status": GlowStatus.OPEN}
    readonly_fields = ("status",)  # a case is ended on its page
    list_display = ("circuit", "installation", "complaint", "status", "cause", "opened_on")
    list_filter = ("circuit__board__installation__client__firm", "status", "cause")
    list_select_related = ("circuit__board__installation",)
    search_fields = ("complaint", "conclusion", "circuit__description", "circuit__board__installation__name")
    autocomplete_fields = ("circuit", "opened_by")

    @admin.display(ordering="circuit__board__installation__name")
    def installation(self, worksheet):
        return worksheet.circuit.board.installation
