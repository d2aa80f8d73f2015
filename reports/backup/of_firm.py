"""Which rows of each table belong to one firm, by the path that its model names; its history by the same."""

from collections.abc import Iterator
from graphlib import TopologicalSorter

from django.apps import apps
from django.db.backends.base.base import BaseDatabaseWrapper
from django.db.models import Model, Q, QuerySet

from inspections.models import Firm, Installation, Member
from reports.audit.tables import AuditMark
from reports.backup.tables import Condition


def firm_path(model: type[Model]) -> str | None:
    """The lookup from a row to its firm, over the first of its references that leads there; None where the
    table is the service's own, the same for every firm."""
    path = getattr(getattr(model, "instance_type", model), "FIRM_PATH", None)
    if path:
        return "id" if path == "pk" else path  # the key of a history is its own, not the firm's
    for field in model._meta.concrete_fields:
        if field.name == "firm_id":
            return field.name
        if field.related_model and (path := firm_path(field.related_model)):
            return f"{field.name}__{path}"
    return None


def rows_of_firm(model: type[Model], firm: int) -> QuerySet | None:
    """The rows that are the firm's; None where the table is the service's own."""
    if model is AuditMark:
        places = Installation.objects.filter(client__firm=firm)
        return AuditMark.objects.filter(Q(firm_id=firm) | Q(installation_id__in=places))
    path = firm_path(model)
    return model._base_manager.filter(**{path: firm}) if path else None


def chosen(database: BaseDatabaseWrapper, firm: int) -> dict[str, Condition]:
    """What each table's rows are held to where the firm goes elsewhere, by the table's name; nothing where
    all are taken. Whoever runs the service goes with each."""
    conditions = {}
    for model in apps.get_models(include_auto_created=True):
        found = rows_of_firm(model, firm)
        if model is Member:
            found = found | Member.objects.filter(firm=None)
        if found is not None:
            keys = found.order_by().values("pk").query
            sql, given = keys.get_compiler(connection=database).as_sql()
            conditions[model._meta.db_table] = (f' WHERE "{model._meta.pk.column}" IN ({sql})', given)
    return conditions


def children_first() -> Iterator[type[Model]]:
    """Every model, those that point to another before it. A firm comes last: that a sample names its member
    is passed over."""
    parents = {
        model: {field.related_model for field in model._meta.concrete_fields} - {model, None}
        for model in apps.get_models(include_auto_created=True)
    } | {Firm: set()}
    yield from reversed(list(TopologicalSorter(parents).static_order()))
