"""Parts of README.md and DEVELOPERS.md that are made from the program, so that they cannot fall behind it."""

import re
from pathlib import Path
from typing import NamedTuple


class Fence(NamedTuple):
    """A fenced block: the line its content starts on, from 1, and the content."""

    line: int
    text: str


def hold(document: Path, part: str, made: str, *, update: bool) -> None:
    """
    Assert that the part of a document between its two markers is what was made.

    The markers are `<!-- part: name -->` and `<!-- end: name -->`, each on a line of its own.
    """
    text = document.read_text(encoding="utf-8")
    marked = re.compile(rf"(<!-- part: {part} -->\n)(.*?)(<!-- end: {part} -->\n)", re.DOTALL)
    found = marked.search(text)
    assert found, f"{document.name} has no part {part!r}"
    if update:
        text = text[: found.start(2)] + f"\n{made.strip()}\n\n" + text[found.end(2) :]
        document.write_text(text, encoding="utf-8")
        return
    message = f"{document.name} has an old {part!r}; write it anew with: pytest --update-golden"
    assert found[2].strip() == made.strip(), message


def fences(document: Path, language: str) -> list[Fence]:
    """Fenced blocks of one language."""
    text = document.read_text(encoding="utf-8")
    found = re.finditer(rf"^```{language}\n(.*?)^```$", text, re.DOTALL | re.MULTILINE)
    return [Fence(text.count("\n", 0, block.start(1)) + 1, block[1]) for block in found]
