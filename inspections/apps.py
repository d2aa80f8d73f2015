from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class InspectionsConfig(AppConfig):
    name = "inspections"
    verbose_name = "The record"

    def ready(self):
        from inspections.integrity import install_after_migrate, lift_before_migrate

        pre_migrate.connect(lift_before_migrate, dispatch_uid="integrity")
        post_migrate.connect(install_after_migrate, dispatch_uid="integrity")
