"""Every issued record to a folder: whole files only, stopped and begun again, drawn again and compared."""

import fcntl
import hashlib
import json
import os
import subprocess
import sys
from io import StringIO
from pathlib import Path

import pytest
from django.core.management import CommandError, call_command

from reports import bulk_export
from reports.kept_pdf import read
from reports.services.correction import revise
from reports.services.pdf import add_pdf, draw_pdf
from tests.factories import InstallationFactory
from tests.reports.ready import issued, ready_visit
from tests.reports.services.exporting import RECORDS
from tests.reports.services.test_verify import change
from tests.reports.signing import PASSPHRASE, write_certificate

ROOT = Path(__file__).parents[2]
in_database = pytest.mark.django_db


def export_to(folder, *options) -> list[str]:
    out = StringIO()
    call_command("export_records", "--to", str(folder), *options, stdout=out)
    return out.getvalue().splitlines()


def files_in(folder) -> dict[str, bytes]:
    return {path.relative_to(folder).as_posix(): path.read_bytes() for path in folder.rglob("*.*")}


@pytest.fixture
def records():
    """Three of one firm, the second corrected since."""
    first = issued()
    client = first.inspection.installation.client
    second = issued(ready_visit(InstallationFactory(client=client)))
    third = issued(ready_visit(InstallationFactory(client=client)))
    revise(inspection=second.inspection, what_changed="A name", member=second.issued_by)
    second.inspection.refresh_from_db()
    return [first, second, issued(second.inspection), third]


def names_of(records) -> list[str]:
    firm = records[0].firm
    folder = f"{firm.name.lower().replace(' ', '-')}-{firm.pk}"
    return [f"{folder}/{name}" for name in ("00001", "00002", "00002-revision-2", "00003")]


@in_database
def test_pdf_and_content_of_every_record_are_written_to_the_byte(records, tmp_path):
    said = export_to(tmp_path)

    kept = {}
    for name, record in zip(names_of(records), records, strict=True):
        record.refresh_from_db()
        kept |= {f"{name}.json": record.json, f"{name}.pdf": read(record)}
    assert files_in(tmp_path) == kept
    assert said == [
        *(f"{number}/4 {name}: written" for number, name in enumerate(names_of(records), start=1)),
        "4 written",
    ]


@in_database
def test_one_firm_alone_is_exported_by_its_name(records, tmp_path):
    other = draw_pdf(issued())
    export_to(tmp_path, "--firm", other.firm.name)
    assert [path.split("/")[1] for path in sorted(files_in(tmp_path))] == ["00001.json", "00001.pdf"]
    assert read(other) in files_in(tmp_path).values()
    with pytest.raises(CommandError, match=f"No firm is called Nobody. There are: .*{other.firm.name}"):
        export_to(tmp_path, "--firm", "Nobody")


@in_database
def test_stopped_in_the_middle_it_goes_on_where_it_was(records, tmp_path, monkeypatch):
    checked = []

    def interrupted(record):
        checked.append(record)
        if len(checked) == 3:
            raise KeyboardInterrupt
        return ""

    with monkeypatch.context() as patch:
        patch.setattr(bulk_export, "why_it_fails", interrupted)
        with pytest.raises(CommandError, match="it carries on from there") as stopped:
            export_to(tmp_path)
    assert stopped.value.returncode == 130
    assert len(files_in(tmp_path)) == 4

    said = export_to(tmp_path)

    assert said[-1] == "2 there already, 2 written"
    assert len(files_in(tmp_path)) == 8


@in_database
def test_torn_or_altered_file_is_written_again(records, tmp_path):
    export_to(tmp_path)
    whole = files_in(tmp_path)
    name = names_of(records)[1]
    (tmp_path / f"{name}.pdf").write_bytes(whole[f"{name}.pdf"][:1000])
    (tmp_path / f"{name}.pdf.unfinished").write_bytes(b"%PDF")

    assert export_to(tmp_path)[-1] == "3 there already, 1 written"

    assert files_in(tmp_path) == whole


@in_database
def test_record_that_does_not_hold_is_left_out_and_named(records, tmp_path):
    change(records[1], content=b"{}")

    with pytest.raises(CommandError, match="00002: left out: its content is not what was hashed"):
        export_to(tmp_path, "--remake")

    assert sorted({Path(name).stem for name in files_in(tmp_path)}) == [
        "00001", "00002-revision-2", "00003", "drawn-again",
    ]  # fmt: skip


@in_database
def test_two_exports_to_one_folder_do_not_mix(tmp_path):
    place = os.open(tmp_path, os.O_RDONLY)
    fcntl.flock(place, fcntl.LOCK_EX)
    try:
        with pytest.raises(CommandError, match="Another export is writing"):
            export_to(tmp_path)
    finally:
        os.close(place)
    assert export_to(tmp_path) == ["No records."]


@in_database
def test_folder_that_cannot_be_written_says_so(tmp_path):
    (tmp_path / "file").write_bytes(b"")
    with pytest.raises(CommandError, match=r"file'\. Put that right and run it again"):
        export_to(tmp_path / "file")


@in_database
def test_drawn_again_all_are_the_same_signed_or_not(records, tmp_path, settings):
    draw_pdf(records[0])
    settings.SIGNING_CERTIFICATE = str(write_certificate(tmp_path / "firm.p12"))
    settings.SIGNING_PASSPHRASE = PASSPHRASE

    said = export_to(tmp_path / "out", "--remake")

    assert said[-1] == "4 drawn again: same"
    signed = [
        b"/ByteRange" in pdf for name, pdf in sorted(files_in(tmp_path / "out").items()) if ".pdf" in name
    ]
    assert signed == [False, True, True, True]


@in_database
@pytest.mark.parametrize("kept", [b"%PDF-1.7 another", "longer"])
def test_drawn_again_it_says_which_differ_and_keeps_both(kept, records, tmp_path):
    drawn = bulk_export.drawn_again(records[1])
    add_pdf(record=records[1], pdf=drawn + b"\n% more" if kept == "longer" else kept)
    name = names_of(records)[1]

    with pytest.raises(CommandError) as told:
        export_to(tmp_path, "--remake")

    assert str(told.value) == f"{name}: drawn again: differs"
    files = files_in(tmp_path)
    records[1].refresh_from_db()
    assert files[f"{name}.pdf"] == read(records[1])
    assert files[f"{name}-drawn-again.pdf"] == drawn
    same = [f"{other}\tsame" for other in names_of(records) if other != name]
    assert sorted(files["drawn-again.txt"].decode().splitlines()) == sorted([*same, f"{name}\tdiffers"])


@in_database
def test_drawing_again_stopped_in_the_middle_goes_on_and_forgets_nothing(records, tmp_path, monkeypatch):
    add_pdf(record=records[0], pdf=b"%PDF-1.7 another")
    drawings = []

    def interrupted(record):
        if len(drawings) == 2:
            raise KeyboardInterrupt
        drawings.append(record.designation)
        return b"%PDF-1.7 drawn"

    export_to(tmp_path)
    with monkeypatch.context() as patch:
        patch.setattr(bulk_export, "drawn_again", interrupted)
        with pytest.raises(CommandError, match="Stopped"):
            export_to(tmp_path, "--remake")
    with (tmp_path / "drawn-again.txt.unfinished").open("a") as lines:
        lines.write(f"{names_of(records)[2]}\tsa")  # as a kill in the middle of a line leaves it

    out = StringIO()
    with pytest.raises(CommandError) as told:
        call_command("export_records", "--to", str(tmp_path), "--remake", stdout=out)

    assert drawings == ["1", "2"]
    assert out.getvalue().splitlines()[-1] == "2 drawn again before: differs, 2 drawn again: same"
    assert [line.partition(":")[0] for line in str(told.value).splitlines()] == names_of(records)[:2]
    assert not (tmp_path / "drawn-again.txt.unfinished").exists()
    # Begun anew after that, it draws them all.
    with pytest.raises(CommandError) as told:
        export_to(tmp_path, "--remake")
    assert str(told.value) == f"{names_of(records)[0]}: drawn again: differs"


def test_killed_export_leaves_whole_files_only_and_is_finished_by_the_next(laid_out_database, tmp_path):
    environment = laid_out_database | {"DJANGO_SETTINGS_MODULE": "tests.settings"}
    run = {"cwd": ROOT, "env": environment, "text": True}
    subprocess.run([sys.executable, "-m", "tests.reports.services.exporting"], check=True, **run)
    folder = tmp_path / "out"
    command = [sys.executable, "manage.py", "export_records", "--to", str(folder)]

    with subprocess.Popen(command, stdout=subprocess.PIPE, **run) as export:
        first = export.stdout.readline()
        export.kill()  # SIGKILL: nothing of the program is run after it
    assert first.endswith("00001: written\n")
    left = [path for path in folder.rglob("*.*") if path.suffix != ".unfinished"]
    assert 2 <= len(left) < 2 * RECORDS
    for path in left:
        assert (
            path.read_bytes().endswith(b"%%EOF\n") if path.suffix == ".pdf" else json.loads(path.read_text())
        )

    again = subprocess.run(command, capture_output=True, check=True, **run).stdout.splitlines()
    assert again[0].endswith("00001: there already")
    assert again[-1].endswith(" written")
    once_more = subprocess.run(command, capture_output=True, check=True, **run).stdout.splitlines()
    assert once_more[-1] == f"{RECORDS} there already"
    contents = [path.read_bytes() for path in sorted(folder.rglob("*.json"))]
    chain = [json.loads(content)["issue"]["previous_sha256"] for content in contents]
    assert chain == ["", *(hashlib.sha256(content).hexdigest() for content in contents[:-1])]
