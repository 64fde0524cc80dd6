"""Files in a backup: each as it was put there, held once on the disk by all backups that have it."""

import dataclasses
import hashlib
import os

import pytest

from kits.config.backup import files
from kits.config.backup.label import NotRestored
from kits.files.store import path_of, put
from tests.kits.config.backup.test_label import LABEL


@pytest.fixture
def source(tmp_path):
    folder = tmp_path / "source"
    folder.mkdir()
    return folder


@pytest.fixture
def take(tmp_path, source):
    """Take what is in the folder into a backup of this name."""

    def run(name, older=None, named=()):
        (tmp_path / name).mkdir()
        return files.take(source, tmp_path / name, older and tmp_path / older, named)

    return run


def in_backup(tmp_path, name, sha256):
    return path_of(tmp_path / name / "files", sha256)


def test_all_come_along_and_are_counted(take, source, tmp_path):
    first, second = put(source, b"first"), put(source, b"the second")
    taken = take("one", named={first, second})
    assert (taken.count, taken.size_bytes, taken.lost) == (2, 15, ())
    assert (tmp_path / "one" / "files.txt").read_text().split() == sorted([first, second])
    assert in_backup(tmp_path, "one", first).read_bytes() == b"first"


def test_what_an_older_backup_holds_is_held_once_and_outlives_it(take, source, tmp_path):
    old = put(source, b"old")
    take("one")
    new = put(source, b"new")
    assert take("two", older="one").count == 2
    inodes = {name: in_backup(tmp_path, name, old).stat().st_ino for name in ("one", "two")}
    assert inodes["one"] == inodes["two"]
    assert in_backup(tmp_path, "two", new).stat().st_nlink == 1
    assert path_of(source, old).stat().st_nlink == 1, "the site's own is another one"
    in_backup(tmp_path, "one", old).unlink()
    assert in_backup(tmp_path, "two", old).read_bytes() == b"old"


def test_where_no_link_can_be_made_it_is_copied(take, source, tmp_path, monkeypatch):
    old = put(source, b"old")
    take("one")

    def refuse(*_):
        raise OSError(18, "Invalid cross-device link")

    monkeypatch.setattr(files.os, "link", refuse)
    assert take("two", older="one").count == 1
    assert in_backup(tmp_path, "two", old).read_bytes() == b"old"


def test_what_rows_name_and_is_missing_or_damaged_is_told(take, source):
    whole, damaged, missing = put(source, b"whole"), put(source, b"damaged"), hashlib.sha256(b"x").hexdigest()
    path_of(source, damaged).write_bytes(b"DAMAGED")
    taken = take("one", named={whole, damaged, missing})
    assert taken.count == 1
    assert taken.lost == tuple(sorted([damaged, missing]))


def test_a_folder_that_is_missing_has_no_files(take, source):
    source.rmdir()
    assert take("one").count == 0


@pytest.mark.parametrize("change", ["unlink", "write"])
def test_a_file_of_a_backup_that_is_not_as_it_was_is_found(take, source, tmp_path, change):
    sha256 = put(source, b"whole")
    take("one")
    files.check(tmp_path / "one", [sha256])
    path = in_backup(tmp_path, "one", sha256)
    if change == "write":
        path.write_bytes(b"changed")
    else:
        path.unlink()
    with pytest.raises(NotRestored, match=f"missing or damaged in .*{sha256}"):
        files.check(tmp_path / "one", [sha256])


def test_only_what_is_missing_or_damaged_is_put_back(take, source, tmp_path):
    sha256s = [put(source, content) for content in (b"whole", b"damaged", b"missing")]
    take("one")
    path_of(source, sha256s[1]).write_bytes(b"DAMAGED")
    path_of(source, sha256s[2]).unlink()
    stray = put(source, b"of later")
    assert files.put_back(tmp_path / "one", sha256s, source) == 2
    files.check(tmp_path / "one", sha256s)
    assert [path_of(source, sha256).read_bytes() for sha256 in sha256s] == [b"whole", b"damaged", b"missing"]
    assert path_of(source, stray).exists()


def listing(place, lines):
    """A list of files with this content, and a label that agrees with it."""
    place.mkdir()
    content = "".join(f"{line}\n" for line in lines).encode()
    (place / "files.txt").write_bytes(content)
    sha256 = hashlib.sha256(content).hexdigest()
    return dataclasses.replace(LABEL, files_count=len(lines), list_sha256=sha256)


def test_a_list_names_files_and_nothing_else(tmp_path):
    label = listing(tmp_path / "whole", ["a" * 64, "b" * 64])
    assert files.listed(tmp_path / "whole", label) == ["a" * 64, "b" * 64]
    for number, line in enumerate(
        ["../" * 20 + "passwd"[:4], "A" * 64, "é" * 32, "/etc/passwd".rjust(64, "/")]
    ):
        place = tmp_path / str(number)
        label = listing(place, [line])
        with pytest.raises(NotRestored, match="names what is no file of a backup"):
            files.listed(place, label)


def test_a_list_that_is_a_pipe_or_too_long_is_not_read(tmp_path):
    label = listing(tmp_path / "long", ["/etc/passwd"])
    with pytest.raises(NotRestored, match="was changed"):
        files.listed(tmp_path / "long", label)
    (tmp_path / "pipe").mkdir()
    os.mkfifo(tmp_path / "pipe" / "files.txt")
    with pytest.raises(NotRestored, match="it is no ordinary file"):
        files.listed(tmp_path / "pipe", label)


def test_a_pipe_in_the_place_of_a_file_is_not_waited_for(take, source, tmp_path):
    sha256 = put(source, b"whole")
    take("one")
    path = in_backup(tmp_path, "one", sha256)
    path.unlink()
    os.mkfifo(path)
    with pytest.raises(NotRestored, match=f"{sha256} can't be read: it is no ordinary file"):
        files.check(tmp_path / "one", [sha256])
