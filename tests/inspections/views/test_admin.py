"""The admin: every model of ours is there, searchable, and its list asks no more for three rows than one."""

import pytest
from django.apps import apps
from django.contrib import admin
from django.urls import reverse

from tests import factories
from tests.factories import PASSWORD, MemberFactory

OURS = [
    model
    for app in ("inspections", "remedies")
    for model in apps.get_app_config(app).get_models()
    if not model.__name__.startswith("Historical")
]
WITH_FACTORY = [model for model in OURS if hasattr(factories, f"{model.__name__}Factory")]


@pytest.fixture
def service(db, browser_of):
    return browser_of(MemberFactory(firm=None, is_superuser=True, is_staff=True))


def address(model, page):
    return reverse(f"admin:{model._meta.app_label}_{model._meta.model_name}_{page}")


@pytest.mark.parametrize("model", OURS, ids=lambda model: model.__name__)
def test_model_is_registered_and_searchable(service, model):
    assert admin.site._registry[model].search_fields

    assert service.get(address(model, "changelist"), {"q": "larkfield"}).status_code == 200
    assert service.get(address(model, "add")).status_code == 200


@pytest.mark.parametrize("model", WITH_FACTORY, ids=lambda model: model.__name__)
def test_list_asks_no_more_for_three_rows_than_for_one(service, model, django_assert_max_num_queries):
    make = getattr(factories, f"{model.__name__}Factory")
    make()
    service.get(address(model, "changelist"))
    with django_assert_max_num_queries(30) as one:
        service.get(address(model, "changelist"))
    make.create_batch(2)

    with django_assert_max_num_queries(len(one)):
        service.get(address(model, "changelist"))


def test_member_added_in_the_admin_can_sign_in(service, client):
    firm = factories.FirmFactory()
    typed = {
        "email": "Rowan@Example.com",
        "name": "Rowan Pell",
        "firm": firm.pk,
        "role": "inspector",
        "usable_password": "true",
        "password1": PASSWORD,
        "password2": PASSWORD,
    }

    service.post(reverse("admin:inspections_member_add"), typed)

    assert client.login(username="rowan@example.com", password=PASSWORD)
