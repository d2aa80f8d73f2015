"""Every row of the record, to compare what it was with what it is."""

from django.apps import apps

COUNTS_ON = "version"  # of a row's saves: it never goes back


def whole_record():
    """The values of every row that has a history, with what it holds several of, by model and key."""
    kept = [model for model in apps.get_models() if hasattr(model._meta, "simple_history_manager_attribute")]
    return {(model.__name__, row.pk): _values(row) for model in kept for row in model._base_manager.all()}


def _values(row):
    values = {field.name: field.value_from_object(row) for field in row._meta.concrete_fields}
    values.pop(COUNTS_ON, None)
    several = [field.name for field in row.history.model._history_m2m_fields]
    return values | {name: {one.pk for one in getattr(row, name).all()} for name in several}
