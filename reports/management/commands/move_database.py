"""The record of another database into this one."""

import tempfile
from pathlib import Path

from django.core.files.storage import FileSystemStorage
from django.core.management import call_command
from django.core.management.base import BaseCommand, CommandError
from django.db import DatabaseError, connections
from django.db.utils import load_backend
from environ import Env

from reports.backup.archive import BackupRefused, holds_a_record, read_backup, write_backup
from reports.backup.files import copy


class Command(BaseCommand):
    help = (
        "Bring every row of another database, of either kind, into the empty one that DATABASE_URL names. "
        "The other stays as it is. Photographs and PDFs stay where they are, or are copied with --media-from."
    )

    def add_arguments(self, parser):
        parser.add_argument("--from", dest="url", required=True, help="sqlite:///… or postgres://…")
        parser.add_argument(
            "--firm", default="", help="the rows of one firm alone, by its name; samples stay"
        )
        parser.add_argument(
            "--media-from", type=Path, help="MEDIA_ROOT of the other: copy from there the files its rows name"
        )

    def handle(self, *args, url, firm, media_from, **options):
        if holds_a_record():
            raise CommandError("The database of DATABASE_URL holds a record already. Name an empty one.")
        source = _opened(url)
        try:
            with tempfile.TemporaryFile() as archive:
                named = write_backup(archive, database=source, firm=firm, with_files=False)["files"]
                if media_from:
                    self._copy(named, media_from)
                manifest = read_backup(archive)
        except (BackupRefused, DatabaseError) as error:
            raise CommandError(str(error)) from error
        finally:
            source.close()
        for table, rows in manifest["rows"].items():
            self.stdout.write(f"{rows:>10,}  {table}")
        self.stdout.write(f"{sum(manifest['rows'].values()):>10,}  rows, counted in both.")
        if firm:
            self.stdout.write("Sample firms that its members opened stayed behind.")
        call_command("verify_records", stdout=self.stdout)

    def _copy(self, names, folder):
        if not folder.is_dir():
            raise CommandError(f"There is no folder {folder}.")
        missing = copy(names, FileSystemStorage(folder))
        for name in missing:
            self.stderr.write(f"The record names the file {name}, which is missing in {folder}.")
        self.stdout.write(f"{len(names) - len(missing):>10,}  files")


def _opened(url):
    """A connection to the database of ``url``; one of SQLite only reads."""
    told = Env.db_url_config(url)
    if told["ENGINE"].endswith("sqlite3"):
        if not Path(told["NAME"]).is_file():
            raise CommandError(f"There is no file {told['NAME']}.")
        told["NAME"] = f"{Path(told['NAME']).absolute().as_uri()}?mode=ro"
    settings = connections.configure_settings({"default": {}, "source": told})["source"]
    return load_backend(told["ENGINE"]).DatabaseWrapper(settings, "source")
