"""Pictures in pixels: the same drawing, as large on paper."""

import io
import struct
import sys

import numpy as np
import pytest
from PIL import Image

from pastecheck.errors import UsageError
from pastecheck.pictures import on_paper, picture_of
from pastecheck.pictures.documents import Paper
from pastecheck.pictures.palette import LIGHT
from pastecheck.pictures.png import MOST_PIXELS, rendered
from tests.drawn import areas_mm2, cut
from tests.pictures.judged import judged
from tests.pictures.test_marks import SLOTS

DPI = 600
MM_PER_INCH = 25.4
LAYER = (
    "%ADD10R,0.25X1.5*%\n%ADD11C,1.1*%\n%ADD12O,2X0.8*%\n%ADD13C,3X2*%\nD10*\nX0Y0D03*\nX500000D03*\n"
    "D11*\nX3000000Y0D03*\nD12*\nX6000000Y1000000D03*\nD13*\nX9000000Y3000000D03*"
)


def pixels(content: bytes) -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
    """Red, green and blue of each pixel."""
    return np.asarray(Image.open(io.BytesIO(content)).convert("RGB"), float)


def colour(name: str) -> "np.ndarray[tuple[int, ...], np.dtype[np.float64]]":
    return np.array([int(LIGHT[name][at : at + 2], 16) for at in (1, 3, 5)], float)


def test_it_covers_as_much_as_is_cut() -> None:
    """Each pixel of openings, and of the edges that they share with film, by how dark it is."""
    openings, dpi = cut(LAYER), 2400
    shown = pixels(rendered(on_paper([picture_of(openings)], "a layer"), dpi))
    # openings reach from -0.75 to 4.5 mm: with margins the film is 9.25 mm high, and letters begin below
    shown = shown[: int(9.2 / MM_PER_INCH * dpi)]
    way = colour("opening") - colour("film")
    share = ((shown - colour("film")) @ way) / (way @ way)
    covered_mm2 = share.sum() * (MM_PER_INCH / dpi) ** 2
    # edges are drawn in 16 shades at least, so each is off by less than a sixteenth of a pixel
    perimeter_mm = openings.shapes.perimeter_mm[openings.shape].sum()
    assert abs(covered_mm2 - areas_mm2(openings).sum()) < perimeter_mm * MM_PER_INCH / dpi / 16


def test_it_has_as_many_pixels_as_its_size_on_paper_takes() -> None:
    paper = on_paper([picture_of(cut(LAYER))], "a layer")
    image = Image.open(io.BytesIO(rendered(paper, DPI)))
    for side, size_mm in zip(image.size, paper.size_mm, strict=True):
        assert abs(side - size_mm / MM_PER_INCH * DPI) <= 1


def test_it_tells_its_size_on_paper() -> None:
    content = rendered(on_paper([picture_of(cut(LAYER))], "a layer"), DPI)
    # 600 / 25.4 mm = 23622 pixels to a metre
    at = content.index(b"pHYs")
    assert struct.unpack(">IIB", content[at + 4 : at + 13]) == (23622, 23622, 1)
    image = Image.open(io.BytesIO(content))
    image.verify()  # checks the sums of all chunks
    assert image.info["dpi"] == pytest.approx((600, 600), abs=0.01)


def test_marks_and_letters_are_in_it() -> None:
    shown = pixels(rendered(on_paper([judged(SLOTS).picture()], "a layer"), DPI))
    for name in ("error", "error-halo", "ink", "paper"):
        assert (shown == colour(name)).all(axis=2).sum() > 20


def test_the_same_picture_has_the_same_bytes() -> None:
    one, other = (rendered(on_paper([picture_of(cut(LAYER))], "a layer"), 150) for _ in range(2))
    assert one == other


def test_too_many_pixels_are_refused_with_what_fits() -> None:
    # 508 mm are 20 inches: at 1000 dots 20,000 pixels a side, 400 million; half of them at 707 dots
    assert MOST_PIXELS == 200_000_000
    with pytest.raises(UsageError, match=r"20000 x 20000 pixels \(write --dpi 707"):
        rendered(Paper((508.0, 508.0), ""), 1000)


def test_without_the_package_it_says_what_to_install(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setitem(sys.modules, "resvg_py", None)  # as if it were not there
    with pytest.raises(UsageError, match=r"not installed \(pip install 'pastecheck\[png\]'"):
        rendered(Paper((10.0, 10.0), ""), DPI)
