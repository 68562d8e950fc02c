"""
The report as one page for a browser: the film to scale, findings, what if, a job sheet to print.

One file that asks nothing of the network and works from disk: style and script stand in it, and its content
security policy lets nothing else run. Without a script all of it is there to read; with one the drawing
moves, findings are filtered and the film can be changed for another.
"""

from collections.abc import Iterator

from pastecheck.report import Report
from pastecheck.reporters import Reporter


def chunks(report: Report) -> Iterator[str]:
    """The page in pieces."""
    from pastecheck.reporters._page import rendered  # noqa: PLC0415 -- only who asks for it waits for jinja2

    return rendered(report)


REPORTER = Reporter("page", "a page for the browser, with the film drawn and a job sheet", chunks, draws=True)
