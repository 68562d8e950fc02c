"""What is raised where a small file would make geometry that takes all time or memory."""

from pastecheck.errors import GerberUnsupportedError
from pastecheck.limits import how_to_raise
from pastecheck.source import Span


class TooMuchError(Exception):
    """
    More than a limit allows; told before it takes time or memory.

    Whoever knows the file turns it into an error with a place.
    """

    def __init__(self, what: str, limit: str, wanted: int) -> None:
        super().__init__(what)
        self.what = what
        """As an error says it."""
        self.hint = f"check blocks, step and repeat, and units; {how_to_raise(limit, wanted)}"

    def in_file(self, path: str) -> GerberUnsupportedError:
        """The error that a user sees."""
        return GerberUnsupportedError(self.what, Span(path), self.hint, "too-large")
