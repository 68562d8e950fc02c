"""
A layer as a picture: what is cut, to scale, with what was found.

`picture_of` makes the parts, `on_paper` a file of its own; a page may lay out the parts itself. Coordinates
of a picture are millimetres with y downward, so what lies at y in the layer is at -y; mirrored pictures have
x turned as well.
"""

from pastecheck.pictures.documents import Paper, described, on_paper
from pastecheck.pictures.picture import OnPage, Picture, picture_of, sketch_of

__all__ = ["OnPage", "Paper", "Picture", "described", "on_paper", "picture_of", "sketch_of"]
