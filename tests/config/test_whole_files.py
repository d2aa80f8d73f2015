"""A file on a disk is there whole or not at all, and nothing is written over."""

import os

import pytest
from django.core.files.base import ContentFile

from config.whole_files import WholeFiles


@pytest.fixture
def storage(tmp_path):
    return WholeFiles(tmp_path)


class Interrupted(ContentFile):
    """A file whose second piece never comes."""

    def chunks(self, chunk_size=None):
        yield self.read(4)
        raise KeyboardInterrupt


def test_what_is_saved_is_read_back_and_nothing_else_is_left(storage, tmp_path):
    assert storage.save("records/a.pdf", ContentFile(b"as drawn")) == "records/a.pdf"
    assert (tmp_path / "records/a.pdf").read_bytes() == b"as drawn"
    assert [path.name for path in (tmp_path / "records").iterdir()] == ["a.pdf"]


def test_a_file_that_was_cut_off_has_no_name_and_is_not_listed(storage, tmp_path):
    with pytest.raises(KeyboardInterrupt):
        storage.save("records/a.pdf", Interrupted(b"as drawn"))
    assert [path.suffix for path in (tmp_path / "records").iterdir()] == [".unfinished"]
    assert not storage.exists("records/a.pdf")
    assert storage.listdir("records") == ([], [])
    assert storage.save("records/a.pdf", ContentFile(b"as drawn")) == "records/a.pdf"


def test_it_is_on_the_disk_before_it_has_its_name(storage, tmp_path, monkeypatch):
    done = []
    sync, link = os.fsync, os.link
    monkeypatch.setattr(os, "fsync", lambda place: (done.append("on the disk"), sync(place)))
    monkeypatch.setattr(os, "link", lambda *paths: (done.append("named"), link(*paths)))
    storage.save("a.pdf", ContentFile(b"as drawn"))
    assert done == ["on the disk", "named", "on the disk"]


def test_one_that_came_by_the_name_meanwhile_is_not_written_over(storage, tmp_path, monkeypatch):
    link = os.link

    def after_another(source, target):
        monkeypatch.setattr(os, "link", link)
        storage.save("photo.jpg", ContentFile(b"another"))
        link(source, target)

    monkeypatch.setattr(os, "link", after_another)
    name = storage.save("photo.jpg", ContentFile(b"as taken"))
    assert (tmp_path / "photo.jpg").read_bytes() == b"another"
    assert (tmp_path / name).read_bytes() == b"as taken"
