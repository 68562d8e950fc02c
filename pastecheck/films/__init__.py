"""
A layer held against several rule sets at once: which film suits it, and between which thicknesses one would.

The layer is read once, and measured once: what does not depend on the foil is shared by all rule sets.
"""

from pastecheck.films.held import held, held_of_nothing
from pastecheck.films.outcome import Films, LayerFilms, RuleSetHeld

__all__ = ["Films", "LayerFilms", "RuleSetHeld", "held", "held_of_nothing"]
