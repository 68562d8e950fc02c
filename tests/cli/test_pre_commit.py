"""The hook that other projects run before a commit, by the words of that manual (from memory)."""

import re
import shlex
import shutil
import tomllib
from pathlib import Path
from typing import Any

import pytest
import yaml

from tests.cli import layers
from tests.cli.conftest import Run

KEYS = {"id", "name", "description", "entry", "language", "files", "require_serial"}


@pytest.fixture(scope="module")
def hook(root: Path) -> dict[str, Any]:
    (only,) = yaml.safe_load((root / ".pre-commit-hooks.yaml").read_text(encoding="utf-8"))
    assert isinstance(only, dict)
    return only


def _takes(hook: dict[str, Any], path: str) -> bool:
    """Whether the hook is given a file; the framework searches paths from the top of the project."""
    return re.search(hook["files"], path) is not None


def test_the_hook_is_one_command_of_ours(hook: dict[str, Any], root: Path) -> None:
    assert set(hook) == KEYS
    assert (hook["id"], hook["language"], hook["require_serial"]) == ("pastecheck", "python", True)
    scripts = tomllib.loads((root / "pyproject.toml").read_text(encoding="utf-8"))["project"]["scripts"]
    assert shlex.split(hook["entry"])[0] in scripts


def test_it_is_given_the_paste_layers_of_a_board_and_no_others(hook: dict[str, Any], fixtures: Path) -> None:
    every = [
        path.relative_to(fixtures).as_posix() for path in (fixtures / "boards").rglob("*") if path.is_file()
    ]
    taken = {path for path in every if _takes(hook, path)}
    assert taken == {path for path in every if path.endswith(("-paste-top.gbr", "-paste-bottom.gbr"))}
    assert taken


def test_it_takes_every_extension_of_paste_layers_that_we_know(hook: dict[str, Any], root: Path) -> None:
    known = yaml.safe_load((root / "pastecheck" / "layer_names.yaml").read_text(encoding="utf-8"))
    extensions = [one for side in known["paste"]["extensions"].values() for one in side]
    names = [f"gerbers/Board 1.{one}" for one in (*extensions, *map(str.upper, extensions))]
    words = [f"board-F_{word.title()}.{one}" for word in known["paste"]["words"] for one in known["gerber"]]
    assert all(_takes(hook, name) for name in (*names, *words))
    others = [
        one for kind in known["others"].values() for side in kind["extensions"].values() for one in side
    ]
    assert not any(_takes(hook, f"paste/board.{one}") for one in others)


@pytest.mark.parametrize(("board", "status"), [("greenhouse-logger-a", 1), ("greenhouse-logger-b", 0)])
def test_a_commit_of_a_board_fails_if_it_would_not_cut(
    run: Run, hook: dict[str, Any], fixtures: Path, board: str, status: int
) -> None:
    shutil.copytree(fixtures / "boards" / board, board)
    files = sorted(path.as_posix() for path in Path(board).iterdir() if _takes(hook, path.as_posix()))
    _, *command = shlex.split(hook["entry"])
    said = run(*command, "--rules", layers.RULES, *files)
    assert said.status == status
    assert not said.err
    assert all(f": {file}\n" in said.out for file in files)


def test_without_a_rule_set_no_commit_passes(run: Run, hook: dict[str, Any]) -> None:
    Path("paste.gbr").write_bytes(layers.GOOD)
    _, *command = shlex.split(hook["entry"])
    said = run(*command, "paste.gbr")
    assert said.status == 2
    assert "no rule set was named" in said.err
