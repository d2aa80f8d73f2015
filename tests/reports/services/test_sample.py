"""A sample firm: what is in it, that nothing of it is left once it is thrown away, and nothing else goes."""

from datetime import date

import pytest
from django.apps import apps
from django.contrib.sessions.models import Session
from django.core.files.base import ContentFile
from django.core.files.storage import default_storage
from django.db import IntegrityError, transaction
from django.test import TestCase

from inspections.enums import InspectionStatus, Role
from inspections.models import CircuitResult, Firm, Inspection, Installation, Observation
from inspections.services.circuits import retire_circuit
from remedies.enums import LoadState
from remedies.models import ParallelLoad
from remedies.services import dismiss_suspicion, record_load
from reports import kept_pdf
from reports.audit import work_out as audit
from reports.backup.of_firm import children_first
from reports.models import IssuedRecord, RecordPhoto
from reports.search import work_out as search
from reports.services.pdf import draw_pdf
from reports.services.sample import sample_of, throw_away
from reports.verify import verify_chain
from tests.config.addresses import rows_of
from tests.factories import CircuitFactory, FirmFactory, MemberFactory, ParallelLoadFactory
from tests.factories.sample import small_sample

pytestmark = pytest.mark.django_db


def every_row():
    """The keys of every table but that of sessions, which belong to no firm."""
    models = (model for model in apps.get_models(include_auto_created=True) if model is not Session)
    return {model: set(model._base_manager.values_list("pk", flat=True)) for model in models}


def differing(before):
    return {model.__name__ for model, keys in every_row().items() if keys != before[model]}


def work_out(firm):
    audit.bring_up_to_date(firm, date(2026, 11, 25))
    search.bring_up_to_date(firm)


def test_a_sample_holds_the_demonstration_beside_any_other_and_goes_without_a_trace():
    member, other = MemberFactory(), MemberFactory()
    another = sample_of(other)
    before = every_row()

    with TestCase.captureOnCommitCallbacks(execute=True):
        sample = sample_of(member)

    assert sample_of(member) == sample != another
    assert {one.role for one in sample.members.all()} == set(Role.values)
    assert not any(one.has_usable_password() for one in sample.members.all())
    assert all(one.email.endswith(f"+{member.pk}@example.com") for one in sample.members.all())
    assert Installation.objects.for_firm(sample).count() == 6
    visit = Inspection.objects.for_firm(sample).get(status=InspectionStatus.DRAFT)
    assert CircuitResult.objects.filter(inspection=visit).count() > 50
    record = IssuedRecord.objects.for_firm(sample).get()
    assert record.read()["sample"] is True
    assert verify_chain(sample) is None
    assert kept_pdf.read(record).startswith(b"%PDF")

    with TestCase.captureOnCommitCallbacks(execute=True):
        throw_away(sample=sample)

    assert differing(before) == set()
    assert not default_storage.exists(kept_pdf.name_of(record.pdf_sha256))
    assert default_storage.exists(kept_pdf.name_of(another.issued_records.get().pdf_sha256))


def test_a_row_of_every_kind_goes_and_none_of_a_firm_beside_it(kept_files):
    member = MemberFactory()
    own = rows_of(member)
    draw_pdf(own["record"])
    own["observation"].photo.save("own.jpg", ContentFile(b"own"))
    work_out(member.firm)
    before, files = every_row(), set(kept_files.rglob("*.*"))
    sample = small_sample(member)
    playing = sample.members.get(role=Role.SUPERVISOR)
    rows = rows_of(playing)
    work_out(sample)
    draw_pdf(rows["record"])
    rows["observation"].photo.save("first.jpg", ContentFile(b"first"))
    rows["observation"].photo.save("second.jpg", ContentFile(b"second"))
    RecordPhoto.objects.create(record=rows["record"], sha256="0" * 64, content=b"as taken")
    circuit = CircuitFactory(board=rows["board"])
    load = ParallelLoadFactory.build(circuit=circuit, state=LoadState.SUSPECTED)
    record_load(load=load, member=playing)
    dismiss_suspicion(load=load, member=playing, reason="Looked")
    retire_circuit(circuit=circuit, on=date(2026, 11, 20), member=playing)  # takes its load's way to the firm
    assert differing(before) > {"IssuedRecord", "ClientLink", "AuditMark", "HistoricalParallelLoad"}

    with TestCase.captureOnCommitCallbacks(execute=True):
        throw_away(sample=sample)

    assert differing(before) == set()
    assert set(kept_files.rglob("*.*")) == files


def test_a_file_that_another_row_names_stays(kept_files):
    member = MemberFactory()
    own, sample = rows_of(member), small_sample(member)
    rows = rows_of(sample.members.get(role=Role.SUPERVISOR))
    rows["observation"].photo.save("shared.jpg", ContentFile(b"shared"))
    shared = rows["observation"].photo.name
    Observation.objects.filter(pk=own["observation"].pk).update(photo=shared)

    with TestCase.captureOnCommitCallbacks(execute=True):
        throw_away(sample=sample)

    assert default_storage.exists(shared)


def test_beside_a_sample_a_record_is_kept_as_ever():
    member = MemberFactory()
    record = rows_of(member)["record"]
    small_sample(member)
    with pytest.raises(ValueError, match="no sample"):
        throw_away(sample=member.firm)
    photo = RecordPhoto.objects.create(record=record, sha256="0" * 64, content=b"as taken")
    visit = record.inspection
    instruments = Inspection.instruments.through.objects.filter(inspection=visit)
    kept = (photo, record, member.firm.record_series, visit, *visit.results.all(), *instruments)
    assert len(kept) == 6
    for row in kept:
        with pytest.raises(IntegrityError, match=r"never|no longer"), transaction.atomic():
            type(row).objects.filter(pk=row.pk)._raw_delete("default")


def test_a_record_does_not_become_a_sample_nor_a_sample_a_record():
    member = MemberFactory()
    sample = small_sample(member)
    for firm, whose in ((member.firm, MemberFactory()), (sample, None), (sample, MemberFactory())):
        with transaction.atomic(), pytest.raises(IntegrityError, match="settled when it is made"):
            Firm.objects.filter(pk=firm.pk).update(sample_of=whose)
    FirmFactory().save()  # any other change passes
    assert Firm.objects.get(sample_of=member) == sample


def test_a_member_has_one_sample():
    member = MemberFactory()
    small_sample(member)
    with pytest.raises(IntegrityError):
        FirmFactory(sample_of=member)


def test_rows_go_before_what_they_point_to():
    order = list(children_first())
    for model in order:
        for field in model._meta.concrete_fields:
            if field.related_model not in (None, model) and field.name != "sample_of":
                assert order.index(model) < order.index(field.related_model), (model, field)
    assert ParallelLoad in order
