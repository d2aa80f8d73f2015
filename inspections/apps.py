from django.apps import AppConfig
from django.db.models.signals import post_migrate


class InspectionsConfig(AppConfig):
    name = "inspections"
    verbose_name = "The record"

    def ready(self):
        from inspections.integrity import install_after_migrate

        # Sent once for each app; the last one finds every table there.
        post_migrate.connect(install_after_migrate, dispatch_uid="integrity")
