"""Pages made by the command line, with the JSON report of the same run."""

import io
import json
from contextlib import redirect_stderr, redirect_stdout
from pathlib import Path
from typing import Any, NamedTuple

from pastecheck.cli import main

RULES = "polyester-75-knife"


class Made(NamedTuple):
    """A page, and the same report as JSON."""

    file: Path
    json: Any

    @property
    def text(self) -> str:
        """The page's source."""
        return self.file.read_text(encoding="utf-8")


def made(folder: Path, *arguments: str, rules: str = RULES, status: int = 0) -> Made:
    """The page of a check, which ends with a status."""
    page, data = folder / "page.html", folder / "report.json"
    options = ["--rules", rules, "--page", str(page), "--json", str(data), "--fail-on", "never"]
    with redirect_stdout(io.StringIO()), redirect_stderr(io.StringIO()):
        assert main(["check", *arguments, *options]) == status
    return Made(page, json.loads(data.read_text(encoding="utf-8")))


def reported(folder: Path, *arguments: str, rules: str = RULES) -> Any:  # noqa: ANN401 -- JSON
    """The JSON report of a check, without the page."""
    data = folder / "report.json"
    options = ["--rules", rules, "--json", str(data), "--fail-on", "never"]
    with redirect_stdout(io.StringIO()):
        assert main(["check", *arguments, *options]) == 0
    return json.loads(data.read_text(encoding="utf-8"))


def counts(layer: Any) -> dict[str, list[int]]:  # noqa: ANN401 -- JSON
    """Errors and warnings by check, of those that found something."""
    found = {
        rule["check"]: [
            sum(one["level"] == level for one in rule["findings"]) for level in ("error", "warning")
        ]
        for rule in layer["rules"]
    }
    return {check: count for check, count in found.items() if any(count)}
