"""The results grid through the web: what is shown, what is saved, what is never lost."""

import pytest
from django.db import connection
from django.test.utils import CaptureQueriesContext
from django.urls import reverse
from django.utils.html import escape

from inspections.enums import InspectionStatus
from inspections.models import CircuitResult
from tests.factories import (
    BoardFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    MemberFactory,
    ParallelLoadFactory,
)

pytestmark = pytest.mark.django_db


@pytest.fixture
def inspection():
    return InspectionFactory()


@pytest.fixture
def board(inspection):
    return BoardFactory(installation=inspection.installation, designation="DB1")


@pytest.fixture
def circuit(board):
    return CircuitFactory(board=board, way="1", description="Hall lights")


@pytest.fixture
def address(inspection, board):
    return reverse("results_grid", args=[inspection.pk, board.pk])


@pytest.fixture
def signed_in(client, inspection):
    client.force_login(inspection.inspector)
    return client


def post(client, address, circuit, version=0, fragment=False, **cells):
    data = {f"{circuit.pk}.{name}": text for name, text in cells.items()} | {f"{circuit.pk}.version": version}
    headers = {"X-Fragment": "rows"} if fragment else {}
    return client.post(address, data, headers=headers)


def test_anonymous_is_sent_to_sign_in(client, address):
    assert client.get(address).url.startswith(reverse("account_login"))


def test_member_of_another_firm_finds_nothing(client, address, circuit):
    client.force_login(MemberFactory())
    assert client.get(address).status_code == 404
    assert post(client, address, circuit, zs="0.5").status_code == 404
    assert not CircuitResult.objects.exists()


def test_board_of_another_installation_is_not_found(signed_in, inspection):
    other = BoardFactory(installation__client=inspection.installation.client)
    assert signed_in.get(reverse("results_grid", args=[inspection.pk, other.pk])).status_code == 404


def test_plain_form_saves_and_returns_to_the_grid(signed_in, address, circuit):
    response = post(signed_in, address, circuit, zs="0.50", polarity="y")
    assert response.status_code == 302
    result = CircuitResult.objects.get(circuit=circuit)
    assert (result.zs.text, result.polarity.text) == ("0.50", "✓")
    assert b'value="0.50"' in signed_in.get(address).content


def test_bad_cell_keeps_its_text_and_the_good_ones_are_saved(signed_in, address, circuit):
    response = post(signed_in, address, circuit, zs="0,5", r1_r2="0.31")
    page = response.content.decode()
    assert response.status_code == 200
    assert CircuitResult.objects.get(circuit=circuit).r1_r2.text == "0.31"
    assert 'value="0,5"' in page
    assert "Type a point: 0.5" in page
    assert "needs attention" in page


def test_fragment_answers_with_the_posted_rows_alone(signed_in, address, circuit, board):
    CircuitFactory(board=board, way="2", description="Never sent")
    page = post(signed_in, address, circuit, fragment=True, zs="0.50").content.decode()
    assert page.count("data-row=") == 1
    assert "Never sent" not in page
    assert f'name="{circuit.pk}.version" value="1"' in page


def test_row_saved_by_another_meanwhile_shows_both_values_and_overwrites_nothing(
    signed_in, address, circuit, inspection
):
    CircuitResultFactory(inspection=inspection, circuit=circuit, version=1, zs="0.60")
    page = post(signed_in, address, circuit, version=0, fragment=True, zs="0.70").content.decode()
    assert CircuitResult.objects.get(circuit=circuit).zs.text == "0.60"
    assert "someone else saved 0.60 meanwhile. Yours, not saved, is 0.70." in page
    post(signed_in, address, circuit, version=1, fragment=True, zs="0.70")
    assert CircuitResult.objects.get(circuit=circuit).zs.text == "0.70"


def test_inspection_in_review_takes_nothing(signed_in, address, circuit, inspection):
    inspection.status = InspectionStatus.IN_REVIEW
    inspection.save()
    response = post(signed_in, address, circuit, fragment=True, zs="0.70")
    assert response.status_code == 409
    assert not CircuitResult.objects.exists()
    assert b"<fieldset" in signed_in.get(address).content


def test_reading_out_of_limit_is_said_in_words(signed_in, address, circuit, inspection):
    CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="0.19", ir_voltage_v=500)
    page = signed_in.get(address).content.decode()
    assert "Live-live 0.19 MΩ is below 1 MΩ." in page


def test_lim_without_limitation_offers_to_record_one(signed_in, address, circuit, inspection):
    CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="LIM")
    page = signed_in.get(address).content.decode()
    offered = f"{reverse('limitation_add', args=[inspection.pk])}?circuits={circuit.pk}&tests=ir_live_live"
    assert escape(offered) in page


def test_loads_left_across_stand_in_the_live_live_cell(signed_in, address, circuit):
    load = ParallelLoadFactory(circuit=circuit)
    page = signed_in.get(address).content.decode()
    cell = page.split(f'name="{circuit.pk}.ir_live_live"')[1].split("</td>")[0]
    assert "1 load across" in cell
    assert f"Across: {load.in_brief()}, {load.place}" in page


def test_the_largest_permitted_zs_stands_in_the_empty_cell(signed_in, address, board):
    # BS 7671 Table 41.3, type B, 20 A: 2.19 Ω (230 × 0.95 ÷ 100 = 2.185, rounded as printed)
    CircuitFactory(board=board, device_standard="BS EN 60898", device_type="B", device_rating_a=20)
    assert 'placeholder="≤2.19"' in signed_in.get(address).content.decode()


def test_user_text_is_escaped(signed_in, address, circuit, inspection):
    CircuitResultFactory(inspection=inspection, circuit=circuit, remarks='"><script>alert(1)</script>')
    assert "<script>alert(1)" not in signed_in.get(address).content.decode()


def test_queries_do_not_grow_with_the_circuits(signed_in, address, board, inspection):
    def queries():
        with CaptureQueriesContext(connection) as captured:
            signed_in.get(address)
        return len(captured)

    counts = []
    for way in range(3):
        row = CircuitFactory(board=board, way=str(way + 1))
        CircuitResultFactory(inspection=inspection, circuit=row, zs="0.50")
        ParallelLoadFactory(circuit=row)
        counts.append(queries())
    assert counts[0] == counts[1] == counts[2]
    assert counts[0] <= 20


def test_a_form_sent_twice_is_saved_once(signed_in, address, circuit):
    for _ in range(2):
        assert post(signed_in, address, circuit, zs="0.50").status_code == 302
    assert CircuitResult.history.filter(circuit=circuit).count() == 1


def test_readings_typed_under_another_sign_in_are_not_saved_under_this_one(signed_in, address, circuit):
    other = MemberFactory()
    response = signed_in.post(address, {f"{circuit.pk}.zs": "0.50", "typed_by": other.pk})
    assert response.status_code == 403
    assert "typed under another sign-in" in response.text
    assert not CircuitResult.objects.exists()


def test_a_cell_may_say_which_version_of_its_row_it_was_typed_at(signed_in, address, circuit, inspection):
    CircuitResultFactory(inspection=inspection, circuit=circuit, version=1, zs="0.60")
    cells = {"zs": "0.70", "zs.seen": 0, "remarks": "ring", "remarks.seen": 1}
    page = post(signed_in, address, circuit, version=1, fragment=True, **cells).content.decode()
    assert "someone else saved 0.60 meanwhile" in page
    result = CircuitResult.objects.get(circuit=circuit)
    assert (result.zs.text, result.remarks) == ("0.60", "ring")


def test_a_row_at_rest_says_only_what_it_lacks(signed_in, address, circuit, inspection):
    CircuitFactory(board=circuit.board, way="2")
    saved = post(signed_in, address, circuit, zs="0.60", fragment=True)
    [row] = saved.context["rows"]
    assert row.state.startswith("saved, ")

    begun, untouched = signed_in.get(address).context["rows"]
    assert (begun.state, untouched.state) == (row.state.removeprefix("saved, "), "")


def test_the_grid_leads_on_to_the_next_board_and_from_the_last_to_what_was_found(
    signed_in, address, circuit, board, inspection
):
    last = BoardFactory(installation=inspection.installation, designation="DB2")
    CircuitFactory(board=last)
    assert signed_in.get(address).context["next_board"] == last

    page = signed_in.get(reverse("results_grid", args=[inspection.pk, last.pk]))
    assert page.context["next_board"] is None
    assert "What was found" in page.content.decode()
