"""The whole record in one file."""

import os
import tempfile
from getpass import getpass
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError
from django.utils import timezone

from reports.backup.archive import holds_a_record, lost_files, write_backup
from reports.backup.tables import migrations_wait

BY_DATE = "stillacross-"


class Command(BaseCommand):
    help = "Write the whole record to one file, with the SHA-256 of all that is in it, while people go on."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path, help="a file, or a folder that it is put in by its date")
        parser.add_argument("--keep", type=int, help="leave only so many, the latest, in the folder")
        parser.add_argument(
            "--before-migrating", action="store_true", help="only where migrations wait and there is a record"
        )
        parser.add_argument("--encrypt", action="store_true", help="under a passphrase, which is asked for")
        parser.add_argument("--passphrase-file", type=Path, help="encrypt; the passphrase is its first line")

    def handle(self, *args, file, keep, before_migrating, encrypt, passphrase_file, **options):
        if keep is not None and (keep < 1 or not file.is_dir()):
            raise CommandError("--keep takes at least 1, and a folder to keep so many in.")
        if before_migrating and not (holds_a_record() and migrations_wait()):
            self.stdout.write("Nothing to be backed up before migrating.")
            return
        folder = file
        if file.is_dir():
            file = folder / f"{BY_DATE}{timezone.localtime():%Y-%m-%dT%H%M%S}.backup"
        if file.exists():
            raise CommandError(f"{file} already exists. Name another file, or move that one away.")
        passphrase = read_passphrase(passphrase_file, ask=encrypt, twice=True)
        unfinished = file.with_name(f"{file.name}.unfinished")
        try:
            with open(unfinished, "w+b", opener=_private) as target:
                manifest = _write(target, passphrase)
                target.flush()
                os.fsync(target.fileno())
            unfinished.replace(file)
        finally:
            unfinished.unlink(missing_ok=True)
        for lost in lost_files(manifest):
            self.stderr.write(lost)
        rows, files = sum(manifest["rows"].values()), len(manifest["sha256"])
        self.stdout.write(f"{file}: {rows} rows and {files} files, {file.stat().st_size / 1e6:.1f} MB.")
        if keep is not None:
            for old in sorted(folder.glob(f"{BY_DATE}*.backup"))[:-keep]:
                old.unlink()


def _private(path, flags):
    return os.open(path, flags, 0o600)


def _write(target, passphrase):
    if not passphrase:
        return write_backup(target)
    from reports.backup.sealed import seal  # cryptography stays out of start-up

    with tempfile.TemporaryFile() as plain:
        manifest = write_backup(plain)
        plain.seek(0)
        seal(plain, target, passphrase)
    return manifest


def read_passphrase(file: Path | None, *, ask: bool, twice: bool = False) -> str:
    """The passphrase: the first line of ``file``, or as typed. Empty where none is wanted."""
    if file:
        passphrase = file.read_text(encoding="utf-8").partition("\n")[0]
    elif ask:
        passphrase = getpass("Passphrase: ")
        if twice and getpass("Again: ") != passphrase:
            raise CommandError("The two are not the same.")
    else:
        return ""
    if not passphrase:
        raise CommandError("The passphrase is empty.")
    return passphrase
