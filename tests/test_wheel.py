"""What people install: a wheel with the rule sets in it, and a checkout that is worked on."""

import json
import os
import subprocess
import sys
import zipfile
from pathlib import Path

import pytest

pytestmark = pytest.mark.slow

BOARD = Path("boards/greenhouse-logger-a/greenhouse-logger-paste-top.gbr")


def _run(*command: str | Path, cwd: Path) -> str:
    """Standard output of a command that has to succeed, run as a user would: without our paths."""
    clean = {name: value for name, value in os.environ.items() if not name.startswith(("PYTHON", "COV"))}
    done = subprocess.run(
        [str(part) for part in command], cwd=cwd, env=clean, capture_output=True, text=True, check=False
    )
    if done.returncode:
        pytest.fail(f"{command} ended with {done.returncode}:\n{done.stdout}{done.stderr}", pytrace=False)
    return done.stdout


@pytest.fixture(scope="module")
def wheel(root: Path, tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("wheel")
    pip = (sys.executable, "-m", "pip", "wheel", "-q", "--no-deps", "--no-build-isolation")
    _run(*pip, "--wheel-dir", folder, root, cwd=folder)
    return next(folder.glob("*.whl"))


@pytest.fixture(scope="module")
def empty_environment(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The interpreter of a new environment, which has nothing but pip."""
    folder = tmp_path_factory.mktemp("empty") / "venv"
    _run(sys.executable, "-m", "venv", folder, cwd=folder.parent)
    return folder / ("Scripts" if os.name == "nt" else "bin") / "python"


def _verdict(python: Path, layer: Path, cwd: Path) -> str:
    """The verdict on a layer by a shipped rule set, from a folder that has nothing of ours."""
    check = ("check", layer, "--rules", "polyester-75-knife", "--fail-on", "never", "--json", "-")
    verdict = json.loads(_run(python.with_name("pastecheck"), *check, cwd=cwd))["verdict"]
    assert isinstance(verdict, str)
    return verdict


def test_the_wheel_holds_every_rule_set_and_what_readers_of_reports_need(root: Path, wheel: Path) -> None:
    names = set(zipfile.ZipFile(wheel).namelist())
    files = [path.relative_to(root / "rules") for path in (root / "rules").rglob("*.yaml")]
    rule_sets = {f"pastecheck/_rules/{path.as_posix()}" for path in files}
    assert rule_sets
    assert rule_sets <= names
    assert "pastecheck/py.typed" in names
    schemas = {path.relative_to(root).as_posix() for path in (root / "pastecheck").rglob("*.schema.json")}
    assert schemas
    assert schemas <= names
    assert any(name.endswith("licenses/LICENSE") for name in names)


def test_a_wheel_in_an_empty_environment_and_a_worked_on_checkout_judge_a_layer_alike(
    root: Path, wheel: Path, empty_environment: Path, fixtures: Path, tmp_path: Path
) -> None:
    install = (empty_environment, "-m", "pip", "install", "-q", "--disable-pip-version-check")
    _run(*install, wheel, cwd=tmp_path)
    from_wheel = _verdict(empty_environment, fixtures / BOARD, tmp_path)
    _run(*install, "--no-deps", "--editable", root, cwd=tmp_path)
    from_checkout = _verdict(empty_environment, fixtures / BOARD, tmp_path)
    assert from_wheel == from_checkout == "fail"  # revision A carries faults on purpose
