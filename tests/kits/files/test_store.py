"""Bytes are kept whole under their own name, or not at all."""

import os
from pathlib import Path

import pytest

from kits.files import store
from kits.files.store import Lost, NotKept, drop, get, names, path_of, put, unfinished

CONTENT = b"a paper"


def test_what_was_put_is_got_again_under_its_sha256(tmp_path):
    name = put(tmp_path / "not there yet", CONTENT)
    assert name == "5d05adf8844983aef7150eb52e2317a8e13dcf86f7cb1131022f9bb38533436c"  # sha256sum says so
    assert get(tmp_path / "not there yet", name) == CONTENT
    assert [found for found, _ in names(tmp_path / "not there yet")] == [name]


def test_the_same_bytes_are_one_file_and_stay_as_they_were(tmp_path):
    name = put(tmp_path, CONTENT)
    before = path_of(tmp_path, name).stat()
    assert put(tmp_path, CONTENT) == name
    assert path_of(tmp_path, name).stat().st_mtime_ns == before.st_mtime_ns
    assert put(tmp_path, b"") != name


def test_what_broke_off_is_written_anew(tmp_path):
    name = put(tmp_path, CONTENT)
    path_of(tmp_path, name).write_bytes(b"a p")
    assert put(tmp_path, CONTENT) == name
    assert get(tmp_path, name) == CONTENT


@pytest.mark.parametrize("fails", ["fsync", "replace"])
def test_a_disk_that_is_full_leaves_nothing_under_the_name(tmp_path, monkeypatch, fails):
    def full(*_):
        raise OSError(28, "No space left on device")

    monkeypatch.setattr(*{"fsync": (os, "fsync"), "replace": (Path, "replace")}[fails], full)
    with pytest.raises(NotKept, match="no room for files"):
        put(tmp_path, CONTENT)
    assert list(names(tmp_path)) == []
    assert list(unfinished(tmp_path)) == []


def test_bytes_that_are_missing_or_other_ones_are_told(tmp_path):
    name = put(tmp_path, CONTENT)
    path_of(tmp_path, name).write_bytes(b"another")
    with pytest.raises(Lost, match="other bytes"):
        get(tmp_path, name)
    drop(tmp_path, name)
    drop(tmp_path, name)
    with pytest.raises(Lost, match="can't be read"):
        get(tmp_path, name)


@pytest.mark.parametrize("name", ["", "../../etc/passwd", "A" * 64, "a" * 63, "a" * 64 + "\n", "a/" * 32])
def test_no_other_name_leads_into_the_folder_or_out_of_it(tmp_path, name):
    with pytest.raises(ValueError, match="sha256"):
        store.path_of(tmp_path, name)
