"""The models of the record, and the factory of each."""

from django.apps import apps

from tests import factories

APPS = ("inspections", "remedies", "reports")
# Models without a history, and why.
WITHOUT_HISTORY = {
    "IssuedRecord": "never changes",
    "LinkOpening": "is written once",
    "RecordPhoto": "never changes",
    "RecordSeries": "only goes on, and every number it gave stands in a record",
    "Reminder": "is no part of the record: what a member was mailed, and whether mail is wanted",
    "RunItem": "is filled in once, by the run whose history says in whose name",
}
# The audit's and the search's rows are made of the record by the program, and made anew.
MODELS = [
    model
    for app in APPS
    for model in apps.get_app_config(app).get_models()
    if not model.__name__.startswith(("Historical", "Search")) and "Audit" not in model.__name__
]
WITH_HISTORY = [model for model in MODELS if model.__name__ not in WITHOUT_HISTORY]
FACTORY_OF = {
    factory._meta.model: factory
    for name, factory in vars(factories).items()
    if name in factories.__all__ and name.endswith("Factory")
}
