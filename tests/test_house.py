"""The rules of the house that a program can hold: what CI runs is one command, and this is the part of it."""

import ast
import re
import subprocess
import sys
import tomllib
from pathlib import Path
from typing import Any

import pytest

import pastecheck
from tests.documents import fences, hold

ROOT = Path(__file__).resolve().parent.parent
MODULES = sorted((ROOT / "pastecheck").rglob("*.py"))
SOURCES = [*MODULES, *sorted((ROOT / "tests").rglob("*.py"))]
TOP_LEVEL = {
    "CHANGELOG.md",
    "DEVELOPERS.md",
    "LICENSE",
    "README.md",
    "fixtures",
    "pastecheck",
    "pyproject.toml",
    "rules",
    "tests",
}


@pytest.fixture(scope="module")
def settings() -> dict[str, Any]:
    return tomllib.loads((ROOT / "pyproject.toml").read_text(encoding="utf-8"))


@pytest.mark.slow
@pytest.mark.parametrize(
    "command",
    [
        pytest.param(["-m", "ruff", "check", "--output-format=concise"], id="lint"),
        pytest.param(["-m", "ruff", "format", "--check"], id="format"),
        pytest.param(["-m", "mypy", "--no-error-summary"], id="types"),
        pytest.param(["-c", "from importlinter.cli import lint_imports_command as c; c()"], id="floors"),
    ],
)
def test_the_house_is_in_order(command: list[str]) -> None:
    done = subprocess.run([sys.executable, *command], cwd=ROOT, capture_output=True, text=True, check=False)
    if done.returncode:
        pytest.fail(f"{done.stdout}{done.stderr}", pytrace=False)


def test_ci_runs_the_test_command_of_readme() -> None:
    last = (ROOT / ".ci" / "run").read_text(encoding="utf-8").splitlines()[-1]
    assert last in [fence.text.strip() for fence in fences(ROOT / "README.md", "sh")]


def test_the_top_level_holds_nothing_else() -> None:
    ignored = {line.rstrip("/") for line in (ROOT / ".gitignore").read_text(encoding="utf-8").splitlines()}
    names = {path.name for path in ROOT.iterdir() if not path.name.startswith(".")}
    assert names - ignored <= TOP_LEVEL


@pytest.mark.parametrize("module", MODULES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_a_module_says_what_it_is_in_its_name_and_is_short(module: Path) -> None:
    assert module.stem not in {"utils", "common", "base", "helpers", "misc"}
    assert len(module.read_text(encoding="utf-8").splitlines()) <= 400


@pytest.mark.parametrize("source", SOURCES, ids=lambda path: path.relative_to(ROOT).as_posix())
def test_no_function_is_longer_than_sixty_lines(source: Path) -> None:
    tree = ast.parse(source.read_text(encoding="utf-8"))
    functions = [node for node in ast.walk(tree) if isinstance(node, ast.FunctionDef)]
    long = [f"{node.name} (line {node.lineno})" for node in functions if _lines(node) > 60]
    assert not long


def _lines(node: ast.FunctionDef) -> int:
    """How many lines a function has, less its docstring."""
    docstring = node.body[0] if ast.get_docstring(node, clean=False) is not None else None
    documented = (docstring.end_lineno or 0) - docstring.lineno + 1 if docstring else 0
    return (node.end_lineno or 0) - node.lineno + 1 - documented


def test_every_rule_of_the_linter_that_is_off_has_a_reason() -> None:
    text = (ROOT / "pyproject.toml").read_text(encoding="utf-8")
    lint = text[text.index("[tool.ruff.lint]") : text.index("[tool.ruff.lint.flake8-annotations]")]
    off = re.findall(r'^    "[A-Z]+\d*",.*$', lint, re.MULTILINE)
    assert off
    assert not [line for line in off if not re.search(r"# \S", line)]


def test_developers_shows_the_floors_of_the_contract(
    settings: dict[str, Any], *, update_golden: bool
) -> None:
    floors = settings["tool"]["importlinter"]["contracts"][0]["layers"]
    drawn = "\n".join(f" {re.sub(r'[()]', '', floor)}" for floor in floors)
    hold(ROOT / "DEVELOPERS.md", "floors", f"```text\n{drawn}\n```", update=update_golden)


def test_developers_gives_a_reason_for_every_dependency(settings: dict[str, Any]) -> None:
    project = settings["project"]
    wanted = [*project["dependencies"], *project["optional-dependencies"]["test"]]
    names = {re.split(r"[<>=!~\[]", requirement)[0] for requirement in wanted}
    rows = re.findall(r"^\| ([\w, -]+?) \| [^|]+\S[^|]+\|$", _section("Dependencies"), re.MULTILINE)
    assert {name for row in rows for name in row.split(", ")} - {"package"} - {"-"} >= names


def _section(title: str) -> str:
    text = (ROOT / "DEVELOPERS.md").read_text(encoding="utf-8")
    return text.split(f"\n## {title}\n", 1)[1].split("\n## ", 1)[0]


def test_the_changelog_knows_the_version() -> None:
    assert f"\n## {pastecheck.__version__}" in (ROOT / "CHANGELOG.md").read_text(encoding="utf-8")
