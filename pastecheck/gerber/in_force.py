"""Which attributes are in force, statement by statement."""

from typing import Final

import numpy as np

from pastecheck.drawing import Attribute, AttributeSet, IntArray
from pastecheck.errors import GerberUnsupportedError
from pastecheck.gerber.attributes import laid_over
from pastecheck.gerber.codes import TOO_LARGE
from pastecheck.gerber.lexer import Statements
from pastecheck.limits import how_to_raise
from pastecheck.ragged import distinct_rows

_NOTHING: Final = -1


class InForce:
    """
    The attributes of one kind, of objects or of apertures, and the statements from which they are in force.

    Between two attribute commands that follow one another nothing is drawn or defined, so a set is kept only
    where another statement follows: one for all the commands before a flash.
    """

    def __init__(self, statements: Statements, most: int) -> None:
        """Begin with nothing in force."""
        self._statements = statements
        self._most = most
        self._count = 0
        self._now: dict[str, Attribute] = {}
        self._changed_at = _NOTHING
        self._since: list[int] = []
        self._held: list[int] = []
        self._rows: dict[AttributeSet, int] = {(): 0}
        self._sets: list[AttributeSet] = [()]

    def attach(self, at: int, attribute: Attribute) -> None:
        """Put an attribute in force, in place of one of its name."""
        if at > self._changed_at + 1:
            self._keep()
        self._now[attribute.name] = attribute
        self._changed_at = at

    def delete(self, at: int, name: str) -> None:
        """End an attribute; all of them, where none is named."""
        if name not in self._now and (name or not self._now):
            return
        if at > self._changed_at + 1:
            self._keep()
        if name:
            del self._now[name]
        else:
            self._now.clear()
        self._changed_at = at

    def at(self, statement: IntArray) -> IntArray:
        """Rows of the sets that are in force at statements. Shape of those."""
        self._keep()
        if not self._since:
            return np.zeros(len(statement), np.int64)
        held = np.array([0, *self._held], np.int64)
        return held[np.searchsorted(np.array(self._since), statement, side="right")]

    def over(self, upper: IntArray, lower: IntArray) -> IntArray:
        """Rows of the sets of objects in blocks that are flashed: those of the flash laid over theirs."""
        rows = np.where(upper > 0, upper, lower)
        both = np.flatnonzero((upper > 0) & (lower > 0))
        if len(both):
            kinds = distinct_rows(np.column_stack([upper[both], lower[both]]))
            sets = self._sets
            first = both[kinds.first]
            pairs = zip(upper[first].tolist(), lower[first].tolist(), strict=True)
            rows[both] = np.array([self._row(laid_over(sets[a], sets[b])) for a, b in pairs])[kinds.inverse]
        return rows

    @property
    def sets(self) -> tuple[AttributeSet, ...]:
        """The distinct sets, the empty one first."""
        return tuple(self._sets)

    def _keep(self) -> None:
        """Keep what is in force since the last change."""
        if self._changed_at == _NOTHING:
            return
        self._since.append(self._changed_at)
        self._held.append(self._row(tuple(sorted(self._now.values()))))

    def _row(self, attributes: AttributeSet) -> int:
        """The row of a set; counted each time, for the time that it takes."""
        self._count += len(attributes)
        if self._count > self._most:
            what = f"attributes in force come to {self._count}, all counted at each change of one"
            span = self._statements.span(max(self._changed_at, 0))
            hint = how_to_raise("attributes", self._count)
            raise GerberUnsupportedError(f"{what}; at most {self._most} are read", span, hint, TOO_LARGE)
        row = self._rows.setdefault(attributes, len(self._sets))
        if row == len(self._sets):
            self._sets.append(attributes)
        return row
