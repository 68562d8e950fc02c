"""What only a process of its own can show."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

from tests.cli import layers


def _run(*argv: str, folder: Path, stdout: int = subprocess.PIPE) -> subprocess.CompletedProcess[bytes]:
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])}
    return subprocess.run(
        [sys.executable, "-m", "pastecheck", *argv],
        cwd=folder,
        env=environment,
        stdout=stdout,
        stderr=subprocess.PIPE,
        check=False,
    )


@pytest.fixture
def folder(tmp_path: Path) -> Path:
    (tmp_path / "paste.gbr").write_bytes(layers.BAD)
    return tmp_path


CHECK = ("check", "paste.gbr", "--rules", layers.RULES)


@pytest.mark.parametrize("command", [["--help"], ["--version"]])
def test_help_and_version_load_nothing_heavy(command: list[str]) -> None:
    code = (
        f"import sys; from pastecheck.cli import main; main({command}); print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert not {"numpy", "shapely", "rich", "yaml"} & set(done.stderr.split())


def test_the_module_runs_as_a_program(folder: Path) -> None:
    done = _run(*CHECK, "--quiet", folder=folder)
    assert done.returncode == 1
    assert done.stdout.startswith(b"do not cut this")
    assert not done.stderr


@pytest.mark.skipif(os.name == "nt", reason="pipes end otherwise there")
def test_a_reader_that_has_gone_changes_nothing(folder: Path) -> None:
    read, write = os.pipe()
    os.close(read)
    done = _run(*CHECK, "--csv", "out.csv", folder=folder, stdout=write)
    os.close(write)
    assert (done.returncode, done.stderr) == (1, b"")
    assert (folder / "out.csv").exists()


@pytest.mark.skipif(not Path("/dev/full").exists(), reason="there is no device that is always full")
def test_a_full_disk_is_told_and_nothing_is_written(folder: Path) -> None:
    with Path("/dev/full").open("wb") as full:
        done = _run(*CHECK, "--csv", "out.csv", folder=folder, stdout=full.fileno())
    assert done.returncode == 2
    assert done.stderr.startswith(b"standard output: error[output]: cannot be written: ")
    assert [path.name for path in folder.iterdir()] == ["paste.gbr"]
