"""The files that rows name: photographs by their names, the PDFs of issued records by their hashes."""

from collections.abc import Callable, Iterable, Iterator, Sequence
from typing import Any

from django.apps import apps
from django.core.files.storage import Storage, default_storage
from django.db.models import FileField, Model

from reports import kept_pdf
from reports.backup.tables import Condition
from reports.models import IssuedRecord

Naming = dict[str, Callable[[str], str]]  # by column, the name of the file that a value of it stands for


def _naming(table: str) -> Naming:
    if table == IssuedRecord._meta.db_table:
        return {"pdf_sha256": kept_pdf.name_of}
    fields = (
        field
        for model in apps.get_models()
        if model._meta.db_table == table
        for field in model._meta.concrete_fields
    )
    return {field.column: str for field in fields if isinstance(field, FileField)}


def named(cursor: Any, table: str, columns: Sequence[str], only: Condition) -> list[str]:
    """The files that the rows of a table name."""
    condition, given = only
    names = []
    for column, name_of in _naming(table).items():
        if column in columns:
            cursor.execute(f'SELECT DISTINCT "{column}" FROM "{table}"{condition}', given)
            names += [name_of(value) for (value,) in cursor if value]
    return sorted(names)


def copy(names: Iterable[str], source: Storage) -> list[str]:
    """Copy to the site's storage those of the files that it does not have. Those that ``source`` has not."""
    missing = []
    for name in names:
        if default_storage.exists(name):
            continue
        try:
            with source.open(name, "rb") as file:
                default_storage.save(name, file)
        except FileNotFoundError:
            missing.append(name)
    return missing


def columns_naming_files() -> Iterator[tuple[type[Model], str, Callable[[str], str]]]:
    """Every column that names files, in histories too, where a photograph may stand that was replaced: its
    model, its name, and the file that a value of it stands for."""
    yield IssuedRecord, "pdf_sha256", kept_pdf.name_of
    for model in apps.get_models():
        for field in getattr(model, "instance_type", model)._meta.concrete_fields:
            if isinstance(field, FileField):
                yield model, field.name, str


def is_named(value: str) -> bool:
    """Whether any row says this of a file."""
    return any(
        model._base_manager.filter(**{column: value}).exists() for model, column, _ in columns_naming_files()
    )
