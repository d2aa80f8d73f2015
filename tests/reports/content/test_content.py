"""The content of an inspection, against the record and against its published schema."""

import json
from datetime import date

import jsonschema
import pytest
from django.core.files.base import ContentFile

from fixtures.larkfield.load import load_scenario
from inspections.enums import Code, LimitationKind, StandingAnswer
from inspections.models import Inspection
from remedies.enums import LoadKind
from reports.content import canonical_json, content_of, gather, schema, sha256_of
from reports.content.answers import finding_key
from reports.examination import Examination
from reports.models import PointAnswer
from tests.factories import (
    BoardFactory,
    BoardResultFactory,
    CircuitFactory,
    CircuitResultFactory,
    InspectionFactory,
    LimitationFactory,
    ObservationFactory,
    ParallelLoadFactory,
)
from tests.reports.ready import LIGHTS, issued, ready_inspection, ready_visit, supervisor_of

pytestmark = pytest.mark.django_db


def problems(content) -> list[str]:
    """What of the content the published schema does not allow."""
    validator = jsonschema.Draft202012Validator(schema(), format_checker=jsonschema.FormatChecker())
    read_back = json.loads(canonical_json(content))
    return [f"{list(error.absolute_path)}: {error.message}" for error in validator.iter_errors(read_back)]


def test_published_schema_is_a_schema():
    jsonschema.Draft202012Validator.check_schema(schema())


def test_schema_lets_nothing_more_and_nothing_less_through():
    content = content_of(InspectionFactory())
    assert problems(content) == []
    assert len(problems(content | {"more": 1})) == 1
    assert len(problems({name: content[name] for name in content if name != "boards"})) == 1


def test_every_inspection_of_the_scenario_is_as_the_schema_says():
    load_scenario(password="a plain long password")
    inspections = list(Inspection.objects.select_related("installation__client__firm", "inspector"))
    assert len(inspections) > 3
    assert [problems(content_of(inspection)) for inspection in inspections] == [[]] * len(inspections)


def test_an_issued_record_is_as_the_schema_says():
    assert problems(issued().read()) == []


def test_an_inspection_with_nothing_in_it_has_content():
    content = content_of(InspectionFactory())
    assert (content["boards"], content["findings"], content["issue"]) == ([], [], None)


def test_same_record_gives_the_same_bytes():
    inspection = ready_visit()
    again = Inspection.objects.get(pk=inspection.pk)
    assert canonical_json(content_of(inspection)) == canonical_json(content_of(again))


def test_readings_stand_as_they_were_written():
    inspection = ready_visit()
    result = inspection.results.get()
    result.zs, result.ir_live_live = "0.80", ">200"
    result.save()
    (circuit,) = content_of(inspection)["boards"][0]["circuits"]
    assert (circuit["result"]["zs"], circuit["result"]["ir_live_live"]) == ("0.80", ">200")
    assert (circuit["details"]["live_csa_mm2"], circuit["result"]["ir_voltage_v"]) == ("1.5", "500")


def test_circuit_without_a_result_says_so():
    circuit = CircuitFactory()
    inspection = InspectionFactory(installation=circuit.board.installation)
    assert content_of(inspection)["boards"][0]["circuits"][0]["result"] is None


@pytest.mark.parametrize(
    ("typed", "holds", "by_hand"),
    # BS 7671 Table 41.3: a 32 A type B breaker, 1.37 Ω.
    [(None, "1.37", False), ("1.10", "1.1", True)],
)
def test_limit_of_zs_is_told_apart_from_one_set_by_hand(typed, holds, by_hand):
    circuit = CircuitFactory(**LIGHTS | {"device_rating_a": "32"}, max_zs_ohm=typed)
    inspection = InspectionFactory(installation=circuit.board.installation)
    (told,) = content_of(inspection)["boards"][0]["circuits"]
    limit = told["max_zs"]
    assert (limit["ohm"], limit["by_hand"], limit["worked_out_ohm"]) == (holds, by_hand, "1.37")
    assert "230 × 0.95 ÷ (5 × 32)" in limit["working"]


def test_boards_stand_after_the_one_that_feeds_them():
    main = BoardFactory(designation="Z")
    place = main.installation
    last = BoardFactory(installation=place, designation="A", fed_from=main, fed_from_way="4")
    BoardFactory(installation=place, designation="B", fed_from=last)
    BoardFactory(installation=place, designation="C")
    boards = content_of(InspectionFactory(installation=place))["boards"]
    assert [(board["designation"], board["depth"], board["fed_from"]) for board in boards] == [
        ("C", 0, None), ("Z", 0, None), ("A", 1, 2), ("B", 2, 3),
    ]  # fmt: skip
    assert boards[2]["fed_from_words"] == "Z way 4"


def test_board_fed_from_one_out_of_use_still_says_so():
    old = BoardFactory(designation="OLD", retired_on=date(2025, 1, 1))
    BoardFactory(installation=old.installation, designation="DB1", fed_from=old)
    (board,) = content_of(InspectionFactory(installation=old.installation))["boards"]
    assert (board["fed_from"], board["fed_from_words"], board["depth"]) == (None, "OLD", 0)


def test_standing_limitation_says_since_when_and_over_how_many_visits():
    first = LimitationFactory(is_standing=True, inspection__started_on=date(2016, 5, 1))
    place, carried = first.inspection.installation, first
    for year in (2021, 2026):
        inspection = InspectionFactory(installation=place, started_on=date(year, 5, 1))
        carried = LimitationFactory(
            inspection=inspection, is_standing=True, carried_from=carried, standing_answer=StandingAnswer.KEPT
        )
    (told,) = content_of(carried.inspection)["limitations"]
    assert (told["since"], told["visits"], told["standing_answer"]["key"]) == ("2016-05-01", 3, "kept")


def test_agreed_limitation_says_with_whom_when_and_how_and_where():
    circuit = CircuitFactory(board__designation="DB1", way="3")
    inspection = InspectionFactory(installation=circuit.board.installation)
    LimitationFactory(
        inspection=inspection, circuits=[circuit], kind=LimitationKind.AGREED, agreed_with="The manager",
        agreed_on=date(2026, 11, 1), agreed_how="In writing", tests=["zs"],
    )  # fmt: skip
    (told,) = content_of(inspection)["limitations"]
    said = [
        told[name] for name in ("where", "agreed_with", "agreed_on", "agreed_how", "circuits", "tests_words")
    ]
    assert said == ["DB1/3", "The manager", "2026-11-01", "In writing", [1], ["Zs"]]


def test_observations_stand_by_urgency_with_their_place():
    circuit = CircuitFactory(board__designation="DB1", way="3")
    inspection = InspectionFactory(installation=circuit.board.installation)
    for code in (Code.C3, Code.FI, Code.C2):
        ObservationFactory(
            inspection=inspection, circuit=circuit, board=circuit.board, code=code, place="Hall"
        )
    told = content_of(inspection)["observations"]
    assert [(one["number"], one["code"]["key"]) for one in told] == [(1, "C2"), (2, "FI"), (3, "C3")]
    assert (told[0]["where"], told[0]["place"]) == ("DB1/3, Hall", {"board": 1, "circuit": 1})


def test_photograph_stands_by_name_and_hash_and_its_bytes_are_kept():
    observation = ObservationFactory(photo=ContentFile(b"as taken", name="board.jpg"))
    gathered = gather(observation.inspection)
    (told,) = gathered.content["observations"]
    digest = sha256_of(b"as taken")
    assert told["photo"]["sha256"] == digest
    assert told["photo"]["name"].endswith(".jpg")
    assert gathered.photos == {digest: b"as taken"}


def test_photograph_whose_file_is_gone_has_no_hash():
    observation = ObservationFactory(photo=ContentFile(b"as taken", name="board.jpg"))
    observation.photo.storage.delete(observation.photo.name)
    (told,) = content_of(observation.inspection)["observations"]
    assert told["photo"]["sha256"] == ""


def test_registered_load_says_what_it_makes_the_test_read():
    inspection = ready_visit()
    circuit = inspection.results.get().circuit
    ParallelLoadFactory(
        circuit=circuit, kind=LoadKind.RESISTOR, resistance_ohm=1_000_000, tolerance_percent=5, place="Rose"
    )
    content = content_of(inspection)
    (told,) = content["boards"][0]["circuits"]
    at_500 = told["expected"][0]
    # Parallel resistances: 1 MΩ ± 5 % across sound cable reads about 1 MΩ, and no more than the resistor.
    assert at_500["test_v"] == 500
    assert float(at_500["low_mohm"]) < 1 < float(at_500["high_mohm"]) <= 1.06
    assert [one["test_v"] for one in told["expected"]] == [500, 250]
    (load,) = content["load_register"]
    assert (load["circuit"], load["resistance_ohm"], load["place"]) == (1, "1000000", "Rose")
    assert told["explained"]["verdict"] != "explained"  # >200 MΩ was read, so it cannot have been in circuit


def test_answer_of_the_reviewer_stands_with_its_finding():
    inspection = ready_visit()
    result = inspection.results.get()
    result.zs = "9.00"
    result.save()
    found = next(item for item in Examination(inspection).located if item.finding.code == "zs-over-limit")
    PointAnswer.objects.create(
        inspection=inspection, key=finding_key(found), said=found.finding.summary, text="Measured again",
        answered_by=supervisor_of(inspection), answered_on=date(2026, 11, 9),
    )  # fmt: skip
    told = {one["code"]: one["answer"] for one in content_of(inspection)["findings"]}
    assert told["zs-over-limit"]["text"] == "Measured again"
    assert told["zs-over-limit"]["on"] == "2026-11-09"
    assert told["zs-above-sum"] is None


def test_next_due_stands_beside_the_published_interval():
    # IET Guidance Note 3, Table 3.2: a dwelling of its owner, 10 years.
    due = content_of(ready_visit())["next_due"]
    assert (due["on"], due["published"]["months"], due["published"]["at_latest"]) == (
        "2030-11-03", 120, "2036-11-03",
    )  # fmt: skip


def test_visual_items_stand_with_their_wording_and_regulation():
    (area, *_) = content_of(ready_visit())["visual"]
    assert area["items"][0]["outcome"] == "✓"
    assert area["items"][0]["text"]
    assert area["items"][0]["regulation"]


@pytest.mark.parametrize("boards", [1, 3])
def test_number_of_queries_does_not_grow(boards, django_assert_num_queries):
    inspection = ready_inspection(BoardFactory().installation)
    place = inspection.installation
    for _ in range(boards):
        board = BoardFactory(installation=place, fed_from=place.boards.first())
        BoardResultFactory(inspection=inspection, board=board)
        for _ in range(boards):
            circuit = CircuitFactory(board=board)
            CircuitResultFactory(inspection=inspection, circuit=circuit, ir_live_live="0.35")
            LimitationFactory(inspection=inspection, circuits=[circuit])
            LimitationFactory(inspection=inspection, boards=[board])
            ObservationFactory(inspection=inspection, circuit=circuit)
            ParallelLoadFactory(circuit=circuit)
    inspection = Inspection.objects.select_related("installation__client__firm", "inspector").get(
        pk=inspection.pk
    )
    with django_assert_num_queries(35):
        content_of(inspection)
