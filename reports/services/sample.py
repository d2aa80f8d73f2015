"""A sample firm: made for one member to play with, and thrown away. Nothing in it is a record."""

from functools import partial

from django.core.files.storage import default_storage
from django.db import transaction
from django.db.models import Model, Q, QuerySet

from fixtures.larkfield.load import load_scenario
from inspections.models import Firm, Installation, Member
from reports.audit.tables import AuditMark
from reports.backup.files import columns_naming_files, is_named
from reports.backup.of_firm import children_first, rows_of_firm
from reports.demonstration import begin_visit, bring_in_workbook, issue_a_report
from reports.runs.tables import Run
from reports.search.tables import SearchMark
from reports.services.pdf import draw_pdf

_MARKS = (AuditMark, SearchMark)  # written by triggers as rows go, so they go last


def sample_of(member: Member) -> Firm:
    """The member's sample firm, made where there is none. Nobody signs in as its people."""
    with transaction.atomic():
        Member.objects.select_for_update().get(pk=member.pk)  # two taps make one sample
        if sample := Firm.objects.filter(sample_of=member).first():
            return sample
        sample = load_scenario(password=None, sample_of=member)
        bring_in_workbook(begin_visit(sample))
        record = issue_a_report(sample)
    draw_pdf(record)
    return sample


@transaction.atomic
def throw_away(*, sample: Firm) -> None:
    """Every row of a sample firm goes, with its histories, and the files that no other row names. Raises
    ValueError for any other firm; the database would keep its issued records in any case."""
    if not sample.is_sample:
        raise ValueError(f"{sample} is no sample.")
    Firm.objects.select_for_update().get(pk=sample.pk)
    list(Run.objects.for_firm(sample).select_for_update())  # a worker at one of them ends
    places = list(Installation.objects.for_firm(sample).values_list("pk", flat=True))
    named = set(_names_of_files(sample))
    for model in children_first():
        rows = None if model in _MARKS else _rows(model, sample)
        if rows is not None:
            rows._raw_delete(rows.db)
    AuditMark.objects.filter(Q(firm_id=sample.pk) | Q(installation_id__in=places)).delete()
    SearchMark.objects.filter(firm_id=sample.pk).delete()
    for value, name in named:
        if not is_named(value):
            transaction.on_commit(partial(default_storage.delete, name))


def _rows(model: type[Model], sample: Firm) -> QuerySet | None:
    """The firm's rows; None where the table is the service's own. The history of what was deleted below
    something that was deleted too reaches its firm by whoever wrote it alone."""
    rows = rows_of_firm(model, sample.pk)
    if hasattr(model, "history_user"):
        return rows | model._base_manager.filter(history_user__firm=sample)
    return rows


def _names_of_files(sample: Firm):
    """What the sample's rows say of files, and the names that this stands for."""
    for model, column, name_of in columns_naming_files():
        for value in _rows(model, sample).order_by().values_list(column, flat=True).distinct():
            if value:
                yield value, name_of(value)
