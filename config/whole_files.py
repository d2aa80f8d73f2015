"""Files on a disk of this machine, each there whole or not at all."""

import os
from pathlib import Path
from uuid import uuid4

from django.core.files.storage import FileSystemStorage

UNFINISHED = ".unfinished"


class WholeFiles(FileSystemStorage):
    """A file has its name once all of it is on the disk: killed or cut off from its power at any moment, the
    program leaves none cut short. A file that is there is not written over."""

    def _save(self, name, content):
        unfinished = Path(self.path(super()._save(f"{name}.{uuid4().hex}{UNFINISHED}", content)))
        try:
            _onto_the_disk(unfinished)
            name = self._linked(unfinished, name)
        finally:
            unfinished.unlink()
        _onto_the_disk(unfinished.parent)
        return name

    def _linked(self, unfinished, name):
        """The name it was given: another than ``name`` where a file has come by that one meanwhile."""
        while True:
            try:
                os.link(unfinished, self.path(name))
                return name
            except FileExistsError:
                name = self.get_available_name(name)

    def listdir(self, path):
        folders, files = super().listdir(path)
        return folders, [name for name in files if not name.endswith(UNFINISHED)]


def _onto_the_disk(path):
    place = os.open(path, os.O_RDONLY)
    try:
        os.fsync(place)
    finally:
        os.close(place)
