"""The page of a report: what is told, the template it is told by, and what keeps the page to itself."""

from base64 import b64encode
from collections.abc import Iterator
from hashlib import sha256
from importlib.resources import files
from typing import Final

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from pastecheck.report import Report
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._page.changed import Changed
from pastecheck.reporters._page.picture import style as picture_style
from pastecheck.reporters._page.told import page_of

SCRIPTS: Final = (
    "film.js",
    "marks.js",
    "findings.js",
    "prospects.js",
    "curve.js",
    "what_if.js",
    "changes.js",
    "start.js",
)
"""In the order they run; together they are the one script of the page."""


def rendered(report: Report, changed: Changed | None = None) -> Iterator[str]:
    """
    The page in pieces.

    Args:
        report: With what its layers are drawn from.
        changed: What was done to its one layer before it was judged.
    """
    style = picture_style() + _text("page.css")
    script = "".join(map(_text, SCRIPTS))
    page = page_of(report, changed)
    pieces = (
        _environment()
        .get_template("page.html")
        .generate(
            page=page,
            style=Markup(style),  # noqa: S704 -- our own files, nobody else's
            script=Markup(script),  # noqa: S704 -- as above
            policy=_policy(style, script),
        )
    )
    yield from pieces
    yield "\n"


def _environment() -> Environment:
    environment = Environment(
        loader=PackageLoader("pastecheck.reporters", "_page"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_shown,
    )
    environment.filters["with_arrows"] = _with_arrows
    environment.policies["json.dumps_kwargs"] = {"ensure_ascii": True}
    return environment


def _shown(value: object) -> object:
    """Text as it may be shown: nothing in it that a reader's eye would obey."""
    return harmless(value) if type(value) is str else value


def _with_arrows(text: str) -> str:
    """Arrows of the terminal as one character, which no line ends within."""
    return text.replace(" -> ", " \N{RIGHTWARDS ARROW} ")


def _policy(style: str, script: str) -> str:
    """What the page may do: run its own script and style, and nothing that anything else brings along."""
    return (
        f"default-src 'none'; style-src '{_hash(style)}'; script-src '{_hash(script)}'; img-src data:; "
        "base-uri 'none'; form-action 'none'"
    )


def _hash(text: str) -> str:
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


def _text(name: str) -> str:
    return files("pastecheck.reporters").joinpath("_page", name).read_text(encoding="utf-8")
