"""The whole record in one file."""

import os
import tempfile
from getpass import getpass
from pathlib import Path

from django.core.management.base import BaseCommand, CommandError

from reports.backup.archive import write_backup


class Command(BaseCommand):
    help = "Write database and photographs to one file, with the SHA-256 of each, while people go on working."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument("--encrypt", action="store_true", help="under a passphrase, which is asked for")
        parser.add_argument("--passphrase-file", type=Path, help="encrypt; the passphrase is its first line")

    def handle(self, *args, file, encrypt, passphrase_file, **options):
        if file.exists():
            raise CommandError(f"{file} is there already. Name another file, or move that one away.")
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
        rows, files = sum(manifest["rows"].values()), len(manifest["sha256"])
        self.stdout.write(f"{file}: {rows} rows and {files} files, {file.stat().st_size / 1e6:.1f} MB.")


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
