"""What only a process of its own can show."""

import os
import signal
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


def test_a_check_loads_nothing_that_it_does_not_need(root: Path) -> None:
    board = root / "fixtures" / "boards" / "greenhouse-logger-a"
    command = ["check", str(board), "--rules", "polyester-75-knife"]
    code = (
        f"import sys; from pastecheck.cli import main; main({command}); print(*sys.modules, file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    # masked arrays, which numpy loads on first use, take as long as the check of a board
    assert not {"numpy.ma", "scipy", "jsonschema", "asyncio"} & set(done.stderr.split())


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


@pytest.mark.skipif(os.name == "nt", reason="descriptors are closed otherwise there")
def test_without_standard_output_files_are_written_all_the_same(folder: Path) -> None:
    command = f"exec {sys.executable} -m pastecheck {' '.join(CHECK)} --json out.json >&- 2>&-"
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])}
    done = subprocess.run(command, shell=True, cwd=folder, env=environment, check=False)
    assert done.returncode == 1
    assert (folder / "out.json").read_bytes().startswith(b"{")


@pytest.mark.skipif(os.name == "nt", reason="there are no named pipes there")
def test_an_interrupted_check_is_not_judged(folder: Path) -> None:
    os.mkfifo(folder / "slow.gbr")
    environment = {**os.environ, "PYTHONPATH": str(Path(__file__).resolve().parents[2])}
    process = subprocess.Popen(
        [sys.executable, "-m", "pastecheck", "check", "slow.gbr", "--rules", layers.RULES, "--csv", "c.csv"],
        cwd=folder,
        env=environment,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        # a shell that runs the tests in the background may have its children ignore it
        preexec_fn=lambda: signal.signal(signal.SIGINT, signal.SIG_DFL),  # noqa: PLW1509 -- no threads here
    )
    with process:
        with (folder / "slow.gbr").open("wb"):  # opens when the other side does
            process.send_signal(signal.SIGINT)
        # closed by now: who was interrupted just before it read would else wait for what never comes
        out, err = process.communicate(timeout=60)
    assert (process.returncode, out) == (2, b"")
    assert err.startswith(b"pastecheck: error[interrupted]: ")
    assert not (folder / "c.csv").exists()


def test_labels_that_an_output_cannot_show_are_escaped(folder: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    label = "R\u00fc1"
    (folder / "paste.gbr").write_bytes(layers.layer(f"%TO.C,{label}*%", "D12*", "X0Y0D03*"))
    monkeypatch.setenv("PYTHONIOENCODING", "ascii")
    done = _run(*CHECK, folder=folder)
    assert done.returncode == 1
    assert b"R\\xfc1" in done.stdout
    assert label.encode() in _run(*CHECK, "--csv", "-", folder=folder).stdout


@pytest.mark.skipif(os.name == "nt", reason="there are no such terminals there")
@pytest.mark.parametrize(
    ("environment", "option", "is_coloured"),
    [
        ({"TERM": "xterm"}, "auto", True),
        ({"TERM": "dumb"}, "auto", False),
        ({"TERM": "xterm", "NO_COLOR": "1"}, "auto", False),
        ({"TERM": "xterm", "NO_COLOR": ""}, "auto", True),
        ({"TERM": "xterm", "NO_COLOR": "1"}, "always", True),
        ({"TERM": "xterm"}, "never", False),
    ],
)
def test_a_terminal_shows_colour_unless_told_otherwise(
    folder: Path,
    monkeypatch: pytest.MonkeyPatch,
    environment: dict[str, str],
    option: str,
    *,
    is_coloured: bool,
) -> None:
    monkeypatch.delenv("NO_COLOR", raising=False)
    for name, value in environment.items():
        monkeypatch.setenv(name, value)
    ours, theirs = os.openpty()
    _run(*CHECK, "--quiet", "--color", option, folder=folder, stdout=theirs)
    os.close(theirs)
    shown = os.read(ours, 10_000)
    os.close(ours)
    assert b"do not cut this" in shown
    assert (b"\x1b[" in shown) is is_coloured
