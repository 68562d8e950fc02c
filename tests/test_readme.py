"""
What README.md shows is what happens.

A ```console block holds commands after `$ ` and what they print, word for word. A ```sh block holds commands
without output: they have to succeed. Both run in a copy of the fixtures and the rule sets, with the
`pastecheck` of the interpreter that runs the tests. The parts of a command that set up an environment or run
these tests are left out: that the environment is there, and that this test runs, shows that they work.

A ```bash block is a job for CI, run whole. It judges the boards that BOARD names, or those it names itself.
"""

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from tests.documents import Fence, fences

README = Path(__file__).resolve().parent.parent / "README.md"
SET_UP = ("python3 -m venv ", ".venv/bin/python -m pip install ", ".venv/bin/python -m pytest")


@pytest.fixture(scope="module")
def elsewhere(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    """A folder like the checkout, where commands may write."""
    folder = tmp_path_factory.mktemp("readme")
    for name in ("fixtures", "rules"):
        shutil.copytree(root / name, folder / name)
    programs = folder / ".venv" / "bin"
    programs.mkdir(parents=True)
    program = programs / "pastecheck"
    program.write_text(f'#!/bin/sh\nexec "{sys.executable}" -m pastecheck "$@"\n', encoding="utf-8")
    program.chmod(0o755)
    return folder


def _environment(folder: Path) -> dict[str, str]:
    """A terminal that is 100 columns wide and shows no colours, with our program within reach."""
    return {
        **os.environ,
        "PATH": f"{folder / '.venv' / 'bin'}{os.pathsep}{os.environ['PATH']}",
        "PYTHONPATH": str(README.parent),
        "COLUMNS": "100",
        "NO_COLOR": "1",
    }


def _run(command: str, folder: Path) -> subprocess.CompletedProcess[str]:
    """One command, as if typed."""
    kept = [part for part in command.split(" && ") if not part.startswith(SET_UP)]
    return subprocess.run(
        " && ".join(kept) or ":",
        shell=True,
        cwd=folder,
        env=_environment(folder),
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
        text=True,
        check=False,
    )


def _line(fence: Fence) -> str:
    return f"line-{fence.line}"


@pytest.mark.parametrize("fence", fences(README, "sh"), ids=_line)
def test_a_command_of_readme_works(fence: Fence, elsewhere: Path) -> None:
    for command in fence.text.splitlines():
        done = _run(command, elsewhere)
        assert done.returncode == 0, f"README.md:{fence.line}: {command}\n{done.stdout}"


@pytest.mark.parametrize("fence", fences(README, "console"), ids=_line)
def test_a_command_of_readme_prints_what_is_shown(
    fence: Fence, elsewhere: Path, *, update_golden: bool
) -> None:
    commands = [text.removeprefix("$ ") for text in fence.text.splitlines() if text.startswith("$ ")]
    printed = "".join(f"$ {command}\n{_run(command, elsewhere).stdout}" for command in commands)
    happens = _without_trailing_spaces(printed)
    if update_golden:
        text = README.read_text(encoding="utf-8")
        README.write_text(
            text.replace(f"```console\n{fence.text}", f"```console\n{happens}"), encoding="utf-8"
        )
        return
    assert happens == fence.text, f"README.md:{fence.line}; write it anew with: pytest --update-golden"


def _without_trailing_spaces(text: str) -> str:
    return "".join(f"{line.rstrip()}\n" for line in text.splitlines())


@pytest.mark.parametrize("fence", fences(README, "python"), ids=_line)
def test_a_snippet_of_readme_runs(fence: Fence, elsewhere: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", fence.text],
        cwd=elsewhere,
        env=_environment(elsewhere),
        capture_output=True,
        text=True,
        check=False,
    )
    assert done.returncode == 0, f"README.md:{fence.line}:\n{done.stderr}"


@pytest.mark.parametrize(
    ("board", "status", "verdict"),
    [("", 0, "pass"), ("fixtures/boards/greenhouse-logger-a", 1, "fail"), ("fixtures/nowhere", 2, "")],
)
@pytest.mark.parametrize("fence", fences(README, "bash"), ids=_line)
def test_a_job_of_readme_ends_as_the_board_deserves(
    fence: Fence, board: str, status: int, verdict: str, elsewhere: Path
) -> None:
    shutil.rmtree(elsewhere / "reports", ignore_errors=True)
    job = "".join(f"{line}\n" for line in fence.text.splitlines() if not line.startswith(SET_UP))
    environment = _environment(elsewhere) | ({"BOARD": board} if board else {})
    done = subprocess.run(
        ["sh", "-c", job], cwd=elsewhere, env=environment, capture_output=True, text=True, check=False
    )
    assert done.returncode == status, f"README.md:{fence.line}:\n{done.stdout}{done.stderr}"
    reports = {path.name: path for path in (elsewhere / "reports").glob("pastecheck.*")}
    assert set(reports) == ({"pastecheck.sarif", "pastecheck.xml"} if verdict else set())
    if verdict:
        (run,) = json.loads(reports["pastecheck.sarif"].read_text(encoding="utf-8"))["runs"]
        assert run["properties"]["verdict"] == verdict
        failed = ET.parse(reports["pastecheck.xml"]).getroot().get("failures")
        assert (failed != "0") == bool(status)
