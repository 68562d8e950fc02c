"""
Random layers have the open area, the number of parts and the places that other readers find.

Three general-purpose libraries, each asked only for what it is right about (the sets TRUSTED beside their
adapters; what they are wrong about stands in test_disagreements.py, with the rule that decides it), and a
plain interpreter of our own for the whole format. All that is drawn is compared, slivers and line work too.
"""

import re
from collections import Counter

import pytest
import shapely
from hypothesis import Phase, given, reject, settings
from hypothesis import strategies as st
from shapely.affinity import affine_transform

from pastecheck.errors import GerberUnsupportedError
from tests.outside import gerbonara_reader, plain_interpreter, plotter_reader, pygerber_reader
from tests.outside.agreement import differences, number_of_parts
from tests.outside.random_numbers import EVERYTHING, SUBJECTS, Feature
from tests.outside.writers import layers

WHOLE_DISC = "%FSLAX46Y46*%\n%MOMM*%\n%ADD10C,2*%\nD10*\nX0Y0D03*\nM02*\n"

MOVED = {
    "MIA1": (-1, 0, 0, 1, 0, 0),
    "MIB1": (1, 0, 0, -1, 0, 0),
    "MIA1B1": (-1, 0, 0, -1, 0, 0),
    "IR90": (0, -1, 1, 0, 0, 0),
    "IR180": (-1, 0, 0, -1, 0, 0),
    "IR270": (0, 1, -1, 0, 0, 0),
    "ASAYBX": (0, 1, 1, 0, 0, 0),
    "OFA0.5B-0.25": (1, 0, 0, 1, 0.5, -0.25),
}
"""Deprecated commands for the whole image, and what they do (from memory): (a x + b y + u, c x + d y + v)."""


@pytest.mark.parametrize("subject", SUBJECTS)
@given(data=st.data())
def test_a_plain_interpreter_agrees_on_whatever_the_format_can_say(data: st.DataObject, subject: str) -> None:
    text = data.draw(layers(SUBJECTS[subject]))
    assert differences(text, plain_interpreter.image_of(text)) == []


@given(layers(gerbonara_reader.TRUSTED))
def test_gerbonara_agrees_on_what_it_is_right_about(text: str) -> None:
    assert differences(text, gerbonara_reader.image_of(text)) == []


@given(st.one_of(layers(pygerber_reader.TRUSTED), layers(pygerber_reader.TRUSTED_MIRRORED)))
def test_pygerber_agrees_on_what_it_is_right_about(text: str) -> None:
    assert differences(text, pygerber_reader.image_of(text)) == []


@pytest.mark.skipif(bool(plotter_reader.why_not()), reason=plotter_reader.why_not())
@given(layers(plotter_reader.TRUSTED))
def test_gerber_plotter_agrees_on_what_it_is_right_about(text: str) -> None:
    assert differences(text, plotter_reader.image_of(text)) == []


@given(
    layers(frozenset({Feature.INCHES, Feature.ARC, Feature.REGION_ARC, Feature.CLEAR, Feature.TRAILING})),
    st.sampled_from(sorted(MOVED)),
)
def test_an_image_moved_as_a_whole_is_moved_or_refused(text: str, command: str) -> None:
    unit_mm = 25.4 if "%MOIN*%" in text else 1.0
    a, b, c, d, x, y = MOVED[command]
    expected = affine_transform(plain_interpreter.image_of(text), [a, b, c, d, x * unit_mm, y * unit_mm])
    try:
        said = differences(text.replace("G75*", f"%{command}*%\nG75*"), expected)
    except GerberUnsupportedError as error:
        if error.code != "image-transform":
            raise
        reject()  # an aperture that readers would not move alike
    assert said == []


def test_every_feature_is_held_by_a_library_or_by_the_plain_interpreter() -> None:
    pygerber = pygerber_reader.TRUSTED | pygerber_reader.TRUSTED_MIRRORED
    libraries = gerbonara_reader.TRUSTED | pygerber | plotter_reader.TRUSTED
    assert libraries | ONLY_PLAIN == EVERYTHING
    assert not libraries & ONLY_PLAIN


ONLY_PLAIN = frozenset(
    {
        Feature.MACRO_UNDEFINED,
        Feature.CONVEX_PEN,
        Feature.TURNED_PEN,
        Feature.CLEAR_BLOCK,
        Feature.SHARED_BLOCK,
    }
)
"""What all three libraries are wrong about, or refuse."""


@pytest.mark.parametrize(
    ("radius_mm", "said"),
    [
        (1.0, []),
        # pi 1.00015^2 is 0.03 % more than pi
        (1.00015, ["area 3.141593 mm2, not 3.142535 mm2"]),
    ],
)
def test_a_disc_that_is_too_large_is_noticed(radius_mm: float, said: list[str]) -> None:
    image = shapely.Point(0, 0).buffer(radius_mm, 2000)
    assert differences(WHOLE_DISC, image) == said


def test_the_same_area_in_another_place_or_in_more_parts_is_noticed() -> None:
    # A disc of radius 1 mm moved by 0.01 mm covers 2 x 0.01 mm2 that it did not cover, and leaves as much.
    assert differences(WHOLE_DISC, shapely.Point(0.01, 0).buffer(1, 2000)) == [
        "0.040000 mm2 are open in only one of the two"
    ]
    two = shapely.union(shapely.Point(0, 0).buffer(1, 2000), shapely.Point(3, 0).buffer(0.01, 2000))
    assert differences(WHOLE_DISC, two) == ["1 openings, not 2"]


def test_parts_that_touch_by_a_hair_have_no_number() -> None:
    assert number_of_parts(shapely.union(shapely.box(0, 0, 1, 1), shapely.box(1.0005, 0, 2, 1))) is None
    assert number_of_parts(shapely.union(shapely.box(0, 0, 1, 1), shapely.box(1.01, 0, 2, 1))) == 2


def test_the_layers_are_as_varied_as_they_claim() -> None:
    held: Counter[str] = Counter()

    @settings(max_examples=150, phases=[Phase.generate], derandomize=True, database=None)
    @given(layers(EVERYTHING))
    def count(text: str) -> None:
        held.update(name for name, pattern in HELD.items() if re.search(pattern, text))

    count()
    assert min(held[name] for name in HELD) >= 4, held


HELD = {
    "clear": r"%LPC|\nLPC",
    "region": "G36",
    "macro": "%AM",
    "polygon primitive": r"[*\n\r]5,[01],",
    "thermal": r"[*\n\r]7,",
    "variables": r"\$4\d=",
    "block": "ABD",
    "repeat": "SRX",
    "turned": "LR-?[1-9]",
    "mirrored": "LMX",
    "arc": "G0?[23][X*]",
    "single quadrant": "G74",
    "inches": "MOIN",
    "trailing zeros left out": "FST",
}
