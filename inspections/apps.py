from django.apps import AppConfig
from django.db.models.signals import post_migrate, pre_migrate


class InspectionsConfig(AppConfig):
    name = "inspections"
    verbose_name = "The record"

    def ready(self):
        from allauth.mfa.signals import authenticator_added

        from inspections import sign_in_log
        from inspections.integrity import install_after_migrate, lift_before_migrate
        from inspections.sign_in import note_factor_set_up

        pre_migrate.connect(lift_before_migrate, dispatch_uid="integrity")
        post_migrate.connect(install_after_migrate, dispatch_uid="integrity")
        authenticator_added.connect(note_factor_set_up, dispatch_uid="second factor")
        sign_in_log.connect()
