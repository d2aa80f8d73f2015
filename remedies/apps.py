from django.apps import AppConfig


class RemediesConfig(AppConfig):
    name = "remedies"
    verbose_name = "What is across the circuits"
