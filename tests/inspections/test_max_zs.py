"""The maximum permitted Zs on the screens and sheets: worked out, and beside it what was set by hand.

Figures: BS 7671:2018+A2:2022 Table 41.3, type B: 32 A 1.37 Ω.
"""

from decimal import Decimal
from io import BytesIO

import openpyxl
import pdfplumber
import pytest
from django.urls import reverse

from inspections.max_zs import permitted
from tests.factories import CircuitFactory, InspectionFactory

pytestmark = pytest.mark.django_db

B32 = {"device_standard": "BS EN 60898", "device_type": "B", "device_rating_a": Decimal(32)}


def page_of(client, circuit, name="circuit"):
    inspector = InspectionFactory(installation=circuit.board.installation).inspector
    client.force_login(inspector)
    return client.get(reverse(name, args=[circuit.pk]))


def test_circuit_page_shows_it_with_working_and_source(client):
    page = page_of(client, CircuitFactory(**B32)).content.decode()

    assert "1.37 Ω, calculated" in page
    assert "230 × 0.95 ÷ (5 × 32) = 1.37 Ω" in page
    assert "411.4.4" in page or "Table 41.3" in page
    assert "cable cold: 1.09 Ω" in page  # 0.8 × 1.365625 = 1.0925, cut


def test_figure_set_by_hand_stands_beside_the_one_worked_out(client):
    page = page_of(client, CircuitFactory(**B32, max_zs_ohm=Decimal("1.20"))).content.decode()

    assert "Set by hand to 1.20 Ω; calculated 1.37 Ω" in page


def test_figure_set_by_hand_that_agrees_is_not_called_different():
    zs = permitted(CircuitFactory(**B32, max_zs_ohm=Decimal("1.37")))

    assert (zs.differs, zs.words) == (False, "1.37 Ω, set by hand; calculated the same")


def test_without_a_device_it_says_what_to_give():
    zs = permitted(CircuitFactory())

    assert zs.shown == ""
    assert zs.words == "not calculated: the standard of the protective device is not given"


def test_figure_set_by_hand_stands_alone_where_none_can_be_worked_out(client):
    circuit = CircuitFactory(max_zs_ohm=Decimal("1.20"))
    circuit.refresh_from_db()

    assert permitted(circuit).words.startswith("set by hand to 1.20 Ω; it cannot be calculated: ")


def test_form_shows_what_leaving_it_empty_uses(client):
    form = page_of(client, CircuitFactory(**B32), "circuit_change").context["form"]

    assert form.fields["max_zs_ohm"].widget.attrs["placeholder"] == "1.37"
    assert form.fields["max_zs_ohm"].help_text == (
        "Empty: 1.37 Ω is used, calculated from the device (230 × 0.95 ÷ (5 × 32) = 1.37 Ω)."
    )


def test_form_of_a_circuit_without_a_device_says_what_is_lacking(client):
    form = page_of(client, CircuitFactory(), "circuit_change").context["form"]

    assert "placeholder" not in form.fields["max_zs_ohm"].widget.attrs
    assert "the standard of the protective device is not given" in form.fields["max_zs_ohm"].help_text


def test_results_grid_hints_at_it_in_the_empty_cell(client):
    circuit = CircuitFactory(**B32)
    inspection = InspectionFactory(installation=circuit.board.installation)
    client.force_login(inspection.inspector)

    page = client.get(reverse("results_grid", args=[inspection.pk, circuit.board_id])).content.decode()

    assert 'placeholder="≤1.37"' in page


def download(client, inspection, ext):
    client.force_login(inspection.inspector)
    response = client.get(reverse("sheet_download", args=[inspection.pk, "circuit-details", ext]))
    return BytesIO(b"".join(response.streaming_content) if response.streaming else response.content)


@pytest.mark.parametrize(("typed", "printed"), [(None, "1.37"), (Decimal("1.20"), "1.2")])
def test_schedule_of_circuit_details_prints_it(client, typed, printed):
    circuit = CircuitFactory(way="1", **B32, max_zs_ohm=typed)
    inspection = InspectionFactory(installation=circuit.board.installation)

    with pdfplumber.open(download(client, inspection, "pdf")) as pdf:
        words = " ".join(page.extract_text() for page in pdf.pages).split()
    book = openpyxl.load_workbook(download(client, inspection, "xlsx"))
    cells = [cell.value for sheet in book for row in sheet.iter_rows() for cell in row]

    assert printed in words
    assert float(printed) in cells
    said = any("set by hand to 1.2 Ω" in cell for cell in cells if isinstance(cell, str))
    assert said is (typed is not None)
