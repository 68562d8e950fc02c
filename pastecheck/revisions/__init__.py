"""Two revisions of a board: which findings are known, and what has changed."""

from pastecheck.revisions.comparison import Comparison, Revision, compared
from pastecheck.revisions.known import held_against
from pastecheck.revisions.known_file import ERRORS, Known, known_in

__all__ = ["ERRORS", "Comparison", "Known", "Revision", "compared", "held_against", "known_in"]
