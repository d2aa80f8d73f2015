"""The models of the record, and the factory of each."""

from django.apps import apps

from tests import factories

APPS = ("inspections", "remedies")
MODELS = [
    model
    for app in APPS
    for model in apps.get_app_config(app).get_models()
    if not model.__name__.startswith("Historical")
]
FACTORY_OF = {
    factory._meta.model: factory
    for name, factory in vars(factories).items()
    if name in factories.__all__ and name.endswith("Factory")
}
