"""What every model of the record has: an owner, a history and a factory."""

import pytest
from django.core.exceptions import FieldDoesNotExist

from inspections.models import Firm
from tests.architecture.models import FACTORY_OF, MODELS, WITH_HISTORY, WITHOUT_HISTORY
from tests.factories import FirmFactory

every_model = pytest.mark.parametrize("model", MODELS, ids=lambda model: model.__name__)


@every_model
def test_has_a_factory(model):
    assert model in FACTORY_OF


@every_model
@pytest.mark.django_db
def test_its_factory_makes_a_row_that_every_check_accepts(model):
    FACTORY_OF[model]().full_clean()


@pytest.mark.parametrize("model", WITH_HISTORY, ids=lambda model: model.__name__)
def test_keeps_a_history(model):
    try:
        user = model.history.model._meta.get_field("history_user")
    except (AttributeError, FieldDoesNotExist):
        pytest.fail(f"{model.__name__} keeps no history of who changed it: add HistoricalRecords()")
    assert user.related_model._meta.label == "inspections.Member"


def test_models_said_to_keep_none_are_there_and_keep_none():
    without = {model.__name__ for model in MODELS if not hasattr(model, "history")}
    assert without == set(WITHOUT_HISTORY)


@pytest.mark.django_db
@pytest.mark.parametrize("model", [m for m in MODELS if m is not Firm], ids=lambda model: model.__name__)
def test_belongs_to_one_firm_and_no_other_firm_finds_it(model):
    row = owner = FACTORY_OF[model]()
    for step in model.FIRM_PATH.split("__"):
        owner = getattr(owner, step)
    assert isinstance(owner, Firm)
    assert row in model.objects.for_firm(owner)
    assert row not in model.objects.for_firm(FirmFactory())


@pytest.mark.django_db
def test_a_firm_finds_itself_alone():
    firm, _ = FirmFactory(), FirmFactory()
    assert Firm.objects.for_firm(firm).get() == firm


@every_model
@pytest.mark.django_db
def test_says_what_it_is(model):
    assert str(FACTORY_OF[model]())
    assert " object (" not in str(FACTORY_OF[model]())


@every_model
def test_rows_are_never_deleted_because_another_was(model):
    """Nothing of the record goes without being asked for by name."""
    cascading = [
        field.name
        for field in model._meta.concrete_fields
        if field.is_relation and field.remote_field.on_delete.__name__ == "CASCADE"
    ]
    assert cascading == []
