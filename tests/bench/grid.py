"""The results grid: a board of 60 circuits rendered, loaded and saved."""

import gzip
from collections.abc import Iterator

from django import forms
from django.db import connection
from django.template import engines
from django.test import RequestFactory
from django.test.utils import CaptureQueriesContext

from inspections.grid import rows_for
from inspections.models import CircuitResult
from inspections.selectors import board_record
from inspections.services.results import NAMES, TypedRow, record_results
from inspections.views.results_grid import results_grid
from tests.bench.timing import best_of, line
from tests.factories import BoardFactory, CircuitFactory, InspectionFactory, InstallationFactory

CIRCUITS = 60
READINGS = dict.fromkeys(NAMES, "") | {
    "r1": "0.45", "rn": "0.46", "r2": "0.75", "r1_r2": "0.30", "ir_voltage_v": "500", "ir_live_live": ">200",
    "ir_live_earth": ">200", "polarity": "✓", "zs": "0.71", "rcd_trip_ms": "28", "rcd_button": "✓",
    "afdd_button": "N/A", "instrument_group": "A",
}  # fmt: skip


def report() -> Iterator[str]:
    installation = InstallationFactory()
    inspection = InspectionFactory(installation=installation)
    board = BoardFactory(installation=installation)
    circuits = [
        CircuitFactory(
            board=board, way=str(way), description=f"Sockets, room {way}", arrangement="ring",
            device_standard="BS EN 61009", device_type="B", device_rating_a=32, live_csa_mm2="2.5",
            cpc_csa_mm2="1.5",
        )
        for way in range(1, CIRCUITS + 1)
    ]  # fmt: skip
    member = inspection.inspector
    typed = [TypedRow(circuit.pk, 0, READINGS) for circuit in circuits]
    record_results(inspection=inspection, rows=typed, member=member)
    yield from _rendering(inspection, board)
    yield from _page(inspection, board, member)
    yield from _saving(inspection, circuits, member)
    yield _one_save(inspection, board, circuits[0], member)


class _RowForm(forms.ModelForm):
    class Meta:
        model = CircuitResult
        fields = NAMES


def _rendering(inspection, board):
    record = board_record(inspection, board)
    ours = engines["django"].get_template("inspections/_results_rows.html")
    context = {"inspection": inspection, "rows": rows_for(record), "loads": {}, "explained": {}}
    ours.render(context)
    form_set_class = forms.modelformset_factory(CircuitResult, form=_RowForm, extra=0)
    results = CircuitResult.objects.filter(inspection=inspection)
    reference = engines["django"].from_string(
        "{% for form in forms %}<tr>{% for field in form %}<td>{{ field }}</td>{% endfor %}</tr>{% endfor %}"
    )

    def render_form_set():
        return reference.render({"forms": form_set_class(queryset=results)})

    render_form_set()
    yield line(
        "rendering 60 × 15 cells, against a form set's {{ field }}",
        best_of(7, lambda: ours.render(context)),
        best_of(3, render_form_set),
        0.15,
    )
    checks = best_of(5, record.findings)
    yield f"{'all checks of a board of 60 circuits':58} {checks * 1000:8.1f} ms  target 10 ms"


def _page(inspection, board, member):
    request = RequestFactory().get("/")
    request.user = member
    with CaptureQueriesContext(
        connection,
    ) as queries:
        page = results_grid(request, inspection.pk, board.pk).content
    yield (
        f"the whole page: {len(page) / 1000:.0f} kB, {len(gzip.compress(page)) / 1000:.1f} kB compressed "
        f"(targets 200 and 20), {len(queries)} queries however many circuits"
    )


def _saving(inspection, circuits, member):
    """Change one cell of every row, by our service and by a model form set."""
    turn = iter(range(1000))

    def save_ours():
        text = f"0.{70 + next(turn) % 20}"
        rows = CircuitResult.objects.filter(inspection=inspection).values_list("circuit", "version")
        typed = [TypedRow(circuit, version, {**READINGS, "zs": text}) for circuit, version in rows]
        record_results(inspection=inspection, rows=typed, member=member)

    form_set_class = forms.modelformset_factory(CircuitResult, form=_RowForm, extra=0)

    def save_form_set():
        text = f"0.{70 + next(turn) % 20}"
        results = CircuitResult.objects.filter(inspection=inspection).order_by("pk")
        posted = {"form-TOTAL_FORMS": CIRCUITS, "form-INITIAL_FORMS": CIRCUITS}
        for index, result in enumerate(results):
            posted[f"form-{index}-id"] = result.pk
            posted |= {f"form-{index}-{name}": value for name, value in {**READINGS, "zs": text}.items()}
        form_set = form_set_class(posted, queryset=results)
        assert form_set.is_valid(), form_set.errors
        form_set.save()

    yield line(
        "saving 60 changed rows with their history, against a form set's",
        best_of(7, save_ours),
        best_of(3, save_form_set),
        0.25,
    )


def _one_save(inspection, board, circuit, member):
    """One row as it is left in the browser: posted, kept, checked and drawn again."""
    turn = iter(range(1000))

    def save():
        version = CircuitResult.objects.values_list("version", flat=True).get(circuit=circuit)
        posted = {f"{circuit.pk}.{name}": value for name, value in READINGS.items()}
        posted |= {f"{circuit.pk}.version": version, f"{circuit.pk}.zs": f"0.{70 + next(turn) % 20}"}
        request = RequestFactory().post("/", posted, headers={"x-fragment": "rows"})
        request.user = member
        assert results_grid(request, inspection.pk, board.pk).status_code == 200

    return f"{'one row left, at the server':58} {best_of(7, save) * 1000:8.1f} ms  target 100 ms"
