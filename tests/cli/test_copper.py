"""Copper is told from paste by what is drawn, where neither attribute nor name tells it."""

import csv
from pathlib import Path

import pytest

from pastecheck import gerber
from pastecheck.copper import tracks_or_pours
from pastecheck.errors import InputError, PastecheckError
from pastecheck.layer_evidence import Source
from pastecheck.layers import Layer, doubts
from pastecheck.source import DiagnosticLevel

_HEAD = "%FSLAX46Y46*%%MOMM*%%ADD10R,0.6X1.2*%%ADD11C,0.2*%%ADD12C,1*%"


def _mm(value: float) -> str:
    return f"{round(value * 1_000_000)}"


def _flashes(count: int, pitch_mm: float = 2, aperture: int = 10) -> str:
    row = "".join(f"X{_mm(k % 10 * pitch_mm)}Y{_mm(k // 10 * pitch_mm)}D03*" for k in range(count))
    return f"D{aperture}*{row}"


def _rays(count: int, length_mm: float, pen: int = 11) -> str:
    """A stroke upwards from each of the first pads."""
    places = [(k % 10 * 2, k // 10 * 2) for k in range(count)]
    rays = "".join(f"X{_mm(x)}Y{_mm(y)}D02*X{_mm(x)}Y{_mm(y + length_mm)}D01*" for x, y in places)
    return f"D{pen}*{rays}"


def _rectangle(x_mm: float, y_mm: float, width_mm: float, height_mm: float) -> str:
    corners = [(0, 0), (width_mm, 0), (width_mm, height_mm), (0, height_mm), (0, 0)]
    edges = "".join(f"X{_mm(x_mm + x)}Y{_mm(y_mm + y)}D0{1 if k else 2}*" for k, (x, y) in enumerate(corners))
    return f"G36*{edges}G37*"


def _says(*drawn: str) -> str:
    return tracks_or_pours(gerber.read(f"{_HEAD}{''.join(drawn)}M02*".encode(), "any.gbr"))


def test_tracks_that_lead_from_pads_are_copper() -> None:
    assert _says(_flashes(20), _rays(5, 3)) == "tracks lead from 5 of its 20 pads"


def test_a_track_that_ends_at_a_pad_counts_as_one_that_begins_there() -> None:
    ends = "".join(f"X{_mm(k * 2)}Y5000000D02*X{_mm(k * 2)}Y0D01*" for k in range(6))
    assert _says(_flashes(10), "D11*", ends) == "tracks lead from 6 of its 10 pads"


@pytest.mark.parametrize(
    "drawn",
    [
        pytest.param([_flashes(20), _rays(4, 3)], id="a sheet has four targets"),
        pytest.param([_flashes(300), _rays(5, 3)], id="5 of 300 pads are below a fiftieth"),
        # the pad reaches hypot(0.6, 1.2) / 2 = 0.67 mm from its centre
        pytest.param([_flashes(20), _rays(20, 0.6)], id="strokes within their pads"),
        pytest.param([_flashes(20, aperture=11), _rays(20, 1.5)], id="pads painted by flash and stroke"),
        pytest.param([_flashes(20)], id="flashes alone"),
        pytest.param([_rays(20, 1)], id="strokes alone"),
        pytest.param([], id="nothing"),
        pytest.param([_rectangle(0, 0, 10, 10), _flashes(8)], id="a land drawn over eight flashes"),
        # 4 x 4 of an extent of 18 x 18 are a twentieth
        pytest.param([_flashes(100), _rectangle(0, 0, 4, 4)], id="a large land"),
        pytest.param([_rectangle(20, 0, 20, 20), _flashes(100)], id="a large land beside flashes"),
    ],
)
def test_what_paste_may_draw_is_not_copper(drawn: list[str]) -> None:
    assert not _says(*drawn)


def test_an_area_poured_around_pads_is_copper() -> None:
    # 20 x 20 = 400 mm2, the whole extent, with 50 flashes within
    assert (
        _says(_rectangle(-1, -1, 20, 20), _flashes(50))
        == "one area of 400 mm2 is poured around 50 other things"
    )


def test_clear_things_within_an_area_make_no_pour() -> None:
    assert not _says(_rectangle(-1, -1, 20, 20), "%LPC*%", _flashes(50))


def _layer(source: Source) -> Layer:
    return Layer("any.gbr", b"", "unknown", (), source)


def test_copper_is_refused_where_nothing_says_paste_and_doubted_where_something_does() -> None:
    drawing = gerber.read(f"{_HEAD}{_flashes(20)}{_rays(9, 3)}M02*".encode(), "any.gbr")
    with pytest.raises(InputError) as error:
        doubts(_layer(Source.NOTHING), drawing)
    assert error.value.code == "not-paste"
    assert "drawn like copper: tracks lead from 9 of its 20 pads, not a paste layer" in error.value.text
    for source in (Source.FUNCTION, Source.CONTENT, Source.NAME):
        (said,) = doubts(_layer(source), drawing)
        assert (said.code, said.level) == ("unlikely-paste", DiagnosticLevel.WARNING)
    assert doubts(_layer(Source.USER), drawing) == ()


def test_no_paste_mask_or_outline_of_real_boards_is_taken_for_copper_and_most_copper_is(shared: Path) -> None:
    taken: dict[str, list[bool]] = {}
    with (shared / "corpus" / "MANIFEST.csv").open(encoding="utf-8") as lines:
        rows = list(csv.DictReader(lines))
    for row in rows:
        try:
            content = (shared / "corpus" / row["slug"] / row["file"]).read_bytes()
            drawing = gerber.read(content, row["file"])
        except PastecheckError:  # two masks are negative images
            continue
        taken.setdefault(row["layer_kind"].split("_")[0], []).append(bool(tracks_or_pours(drawing)))
    assert {kind for kind, found in taken.items() if any(found)} == {"copper"}
    assert sum(taken["copper"]) >= 0.9 * len(taken["copper"])
