"""The one writer: whole files or none, nothing over what a person made or what is read."""

import errno
import os
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from catalog.outputs import Output, replace_file, write_outputs


def write(folder: Path, *files: tuple[str, bytes], inputs: tuple[Path, ...] = (), overwrite: bool = False) -> list[str]:
    """What stands in the way of writing files of these names, in words."""
    outputs = [Output(f"--{name.rpartition('.')[2]}", folder / name, content) for name, content in files]
    memory = folder / "memory"
    memory.mkdir(exist_ok=True)
    return [f"{m.field}: {m.read}; {m.allowed}" for m in write_outputs(outputs, inputs, memory, overwrite)]


def left_behind(folder: Path) -> list[str]:
    return [path.name for path in folder.iterdir() if path.name.endswith(".part")]


def test_a_new_file_is_written_and_its_own_again(tmp_path: Path) -> None:
    assert write(tmp_path, ("a.txt", b"1")) == []
    assert write(tmp_path, ("a.txt", b"2")) == []
    assert (tmp_path / "a.txt").read_bytes() == b"2"
    assert left_behind(tmp_path) == []


def test_what_a_person_made_or_changed_is_kept(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"mine")
    assert 'a.txt", which exists' in write(tmp_path, ("a.txt", b"1"))[0]
    assert (tmp_path / "a.txt").read_bytes() == b"mine"
    assert write(tmp_path, ("a.txt", b"1"), overwrite=True) == []
    (tmp_path / "a.txt").write_bytes(b"1, and a tick of mine")
    assert len(write(tmp_path, ("a.txt", b"2"))) == 1


def test_one_that_cannot_be_written_keeps_the_others_from_it(tmp_path: Path) -> None:
    (tmp_path / "b.txt").write_bytes(b"mine")
    assert len(write(tmp_path, ("a.md", b"1"), ("b.txt", b"2"), ("no/c.csv", b"3"))) == 2
    assert not (tmp_path / "a.md").exists()


@pytest.mark.parametrize("name", ["in.txt", "linked.txt", "hard.txt"])
def test_what_is_read_is_never_written_over(tmp_path: Path, name: str) -> None:
    (tmp_path / "in.txt").write_bytes(b"read")
    (tmp_path / "linked.txt").symlink_to(tmp_path / "in.txt")
    (tmp_path / "hard.txt").hardlink_to(tmp_path / "in.txt")
    told = write(tmp_path, (name, b"1"), inputs=(tmp_path / "in.txt",), overwrite=True)
    assert "which is read here" in told[0]
    assert (tmp_path / "in.txt").read_bytes() == b"read"


def test_two_outputs_never_share_a_file(tmp_path: Path) -> None:
    (tmp_path / "link").symlink_to(tmp_path)
    assert "a file of its own" in write(tmp_path, ("a.txt", b"1"), ("A.txt", b"2"))[0]
    assert "a file of its own" in write(tmp_path, ("a.txt", b"1"), ("link/a.txt", b"2"))[0]
    assert not (tmp_path / "a.txt").exists()


def test_a_link_stays_and_what_it_points_to_is_replaced(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_bytes(b"old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    replace_file(tmp_path / "link.txt", b"new")
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_bytes() == b"new"


def test_who_may_read_a_file_stays_as_it_was(tmp_path: Path) -> None:
    (tmp_path / "a.txt").write_bytes(b"old")
    (tmp_path / "a.txt").chmod(0o600)
    replace_file(tmp_path / "a.txt", b"new")
    assert (tmp_path / "a.txt").stat().st_mode & 0o777 == 0o600


def test_a_full_disk_leaves_all_as_it_was(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    assert write(tmp_path, ("a.txt", b"1"), ("b.md", b"1")) == []
    synced: list[int] = []

    def full(handle: int) -> None:
        synced.append(handle)
        if len(synced) == 2:
            raise OSError(errno.ENOSPC, "No space left on device")

    monkeypatch.setattr(os, "fsync", full)
    assert "No space left on device" in write(tmp_path, ("a.txt", b"2"), ("b.md", b"2"))[0]
    assert ((tmp_path / "a.txt").read_bytes(), (tmp_path / "b.md").read_bytes()) == (b"1", b"1")
    assert left_behind(tmp_path) == []


WRITER = """
import sys
from pathlib import Path
from catalog.outputs import replace_file
n = 0
while True:
    n += 1
    replace_file(Path(sys.argv[1]), bytes([65 + n % 26]) * 300_000)
"""


def test_a_killed_writer_leaves_the_old_file_or_the_new_one(tmp_path: Path) -> None:
    """Whatever moment it is killed at: never half a file."""
    target = tmp_path / "a.txt"
    for number in range(12):
        writer = subprocess.Popen([sys.executable, "-c", WRITER, str(target)], cwd=Path(__file__).parents[2])
        until = time.monotonic() + 10
        while not target.exists() and time.monotonic() < until:
            time.sleep(0.01)
        time.sleep(0.013 * number)
        writer.send_signal(signal.SIGKILL)
        writer.wait()
        content = target.read_bytes()
        assert len(content) == 300_000
        assert len(set(content)) == 1
