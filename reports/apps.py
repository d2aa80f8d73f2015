from django.apps import AppConfig


class ReportsConfig(AppConfig):
    name = "reports"
    verbose_name = "What leaves the program"

    def ready(self):
        from django.db.models.signals import post_migrate

        from inspections.integrity import register
        from reports.audit.marks import install_after_migrate
        from reports.integrity import refusals

        register(refusals())
        post_migrate.connect(install_after_migrate, dispatch_uid="audit_marks")
