"""Texts of SARIF: plain ones, in which brackets and braces mean something; Markdown; addresses of files."""

import os
import re
from collections.abc import Iterator
from pathlib import PurePosixPath
from typing import Final, NamedTuple
from urllib.parse import quote

from pastecheck.report import RuleOutcome
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._limits import WORDS, limit_shown

_MEANS_SOMETHING: Final = re.compile(r"([\\`*_{}\[\]<>#|~&!@$])")
_LINKS: Final = re.compile(r"(?i)\b(https?|ftp|mailto|xmpp)(:)|\b(www)(\.)")
_DRIVE: Final = re.compile("[A-Za-z]:(?=/)")
_PARAGRAPH: Final = re.compile(r"([A-Z][A-Za-z ]{0,30}): (.*)", re.DOTALL)


def plain(text: str) -> str:
    r"""
    A text for `message.text`: no link, and no place to put an argument into (SARIF 2.1.0, 3.11, from memory).

    Example:
        >>> print(plain("R1[0](x) {0}\n"))
        R1\[0\](x) {{0}}\\n
    """
    text = harmless(text)
    for character in "\\[]":
        text = text.replace(character, f"\\{character}")
    return text.replace("{", "{{").replace("}", "}}")


def markdown(text: str) -> str:
    r"""
    A text for Markdown, that reads there as it is: no mark, no HTML, no link.

    It has to stand behind other text on its line, for it may begin like a list.

    Example:
        >>> print(markdown("<b>*R1*</b> www.x.org"))
        \<b\>\*R1\*\</b\> www\.x.org
    """
    escaped = _MEANS_SOMETHING.sub(r"\\\1", harmless(text))
    return _LINKS.sub(lambda found: f"{found[1] or found[3]}\\{found[2] or found[4]}", escaped)


def uri(path: str) -> str:
    """
    The address of a file by its path as given, with `/`: relative where that is.

    Example:
        >>> uri("my boards/a#1:top.gbr"), uri("./top.gbr"), uri("/tmp/top.gbr"), uri("C:/top.gbr")
        ('my%20boards/a%231%3Atop.gbr', 'top.gbr', 'file:///tmp/top.gbr', 'file:///C:/top.gbr')
    """
    drive = _DRIVE.match(path)
    if drive:
        return f"file:///{drive[0]}{quote(_as_bytes(path[2:]))}"
    plain_path = PurePosixPath(path).as_posix()  # without the dots that lead nowhere
    start = {"/": "file://", "//": "file:"}  # the latter is a share of another machine
    return f"{start.get(PurePosixPath(path).root, '')}{quote(_as_bytes(plain_path))}"


def _as_bytes(path: str) -> bytes:
    """As the system names the file; what no file can be called is told as it can be."""
    try:
        return os.fsencode(path)
    except UnicodeEncodeError:
        return path.encode("utf-8", "replace")


class Help(NamedTuple):
    """What a viewer shows of a check."""

    short: str
    full: dict[str, str]
    """As text and as Markdown."""
    help: dict[str, str]
    """As well."""


def help_of(outcome: RuleOutcome, documentation: str) -> Help:
    """A check explained: a line, what it measures, and all there is to say, with the limits in force."""
    paragraphs = [" ".join(part.split()) for part in documentation.split("\n\n") if part.strip()]
    title, *rest = paragraphs or [f"{outcome.title}: {outcome.quantity}."]
    told = [_headed(paragraph) for paragraph in rest]
    full = told[0][1] if told else title
    full = full[:1].upper() + full[1:]
    told += _of_rule_set(outcome)
    as_text = [plain(title), *(f"{head}: {plain(text)}" for head, text in told)]
    as_markdown = [
        f"**{outcome.check}**: {markdown(title)}",
        *(f"**{head}**: {markdown(text)}" for head, text in told),
    ]
    return Help(
        plain(title),
        {"text": plain(full), "markdown": f"**{outcome.title}**: {markdown(full)}"},
        {"text": "\n\n".join(as_text), "markdown": "\n\n".join(as_markdown)},
    )


def _headed(paragraph: str) -> tuple[str, str]:
    """The word that a paragraph begins with, and the rest of it."""
    found = _PARAGRAPH.fullmatch(paragraph)
    return (found[1], found[2]) if found else ("Also", paragraph)


def _of_rule_set(outcome: RuleOutcome) -> Iterator[tuple[str, str]]:
    limits = [
        f"{words} {limit_shown(outcome.limits[name], outcome.unit)}"
        for name, words in WORDS.items()
        if name in outcome.limits
    ]
    yield "Limits", f"{', '.join(limits)}." if limits else "none in this rule set: measured, not judged."
    if outcome.source:
        yield "Where the limits come from", outcome.source
