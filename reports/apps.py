from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"
    verbose_name = "What leaves the program"

    def ready(self):
        from django.db.models.signals import post_migrate

        from inspections.integrity import register
        from reports.audit import marks as audit_marks
        from reports.integrity import refusals
        from reports.search import marks as search_marks

        register(refusals())
        post_migrate.connect(audit_marks.install_after_migrate, dispatch_uid="audit_marks")
        post_migrate.connect(search_marks.install_after_migrate, dispatch_uid="search_marks")
