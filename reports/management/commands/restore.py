"""A backup into an empty installation."""

import tempfile
from pathlib import Path

from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError

from reports.backup.archive import BackupRefused, read_backup
from reports.management.commands.backup import read_passphrase


class Command(BaseCommand):
    help = "Restore a backup into an empty installation, then verify its issued records."

    def add_arguments(self, parser):
        parser.add_argument("file", type=Path)
        parser.add_argument("--passphrase-file", type=Path, help="the passphrase is its first line")

    def handle(self, *args, file, passphrase_file, **options):
        try:
            manifest = _restore(file, passphrase_file)
        except (BackupRefused, OSError) as error:
            raise CommandError(str(error)) from error
        rows = sum(manifest["rows"].values())
        self.stdout.write(f"Restored as of {manifest['made_at']}: {rows} rows.")
        call_command("verify_records", stdout=self.stdout)


def _restore(file, passphrase_file):
    from reports.backup.sealed import SealBroken, is_sealed, unseal  # cryptography stays out of start-up

    with file.open("rb") as source, tempfile.TemporaryFile() as plain:
        sealed = is_sealed(source)
        source.seek(0)
        if not sealed:
            return read_backup(source)
        try:
            unseal(source, plain, read_passphrase(passphrase_file, ask=True))
        except SealBroken as error:
            raise BackupRefused(str(error)) from error
        return read_backup(plain)
