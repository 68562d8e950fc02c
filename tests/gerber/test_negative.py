"""A negative image is refused, unless the reader is told that it may be one: then it is read as drawn."""

import pytest

from pastecheck import gerber
from pastecheck.errors import GerberUnsupportedError
from tests.drawn import mm_layer

TEXT = mm_layer("%IPNEG*%", "%ADD10C,1*%", "D10*", "X0Y0D03*").encode()


def test_a_negative_image_is_refused_at_its_line() -> None:
    with pytest.raises(GerberUnsupportedError, match="negative") as caught:
        gerber.read(TEXT, "layer.gbr")
    assert caught.value.span.line == 3


def test_that_of_a_mask_is_read_as_it_is_drawn() -> None:
    drawing = gerber.read(TEXT, "mask.gbr", negative=True)
    assert drawing.dark.tolist() == [True]
    assert [said.code for said in drawing.diagnostics] == ["legacy"]
