from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"
    verbose_name = "What leaves the program"

    def ready(self):
        from inspections.integrity import register
        from reports.integrity import refusals

        register(refusals())
