"""What is said of openings is said of what they become, as other readers see it, on real boards too."""

import re
from collections import Counter
from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest
from gerbonara import GerberFile
from gerbonara.graphic_objects import Flash
from hypothesis import given, settings
from hypothesis import strategies as st

from pastecheck import gerber, rulesets
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.errors import InputError
from pastecheck.limits import STANDARD
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from pastecheck.rulesets import RuleSet
from pastecheck.trim import trimmed
from pastecheck.trim.proof import proved
from pastecheck.trim.writing import Header, written
from tests.gerber.plain_reader import ESCAPED, Attributes, things_in
from tests.trim.pads import Pad, pads, text_of
from tests.trim.test_laws import HALF, SETS
from tests.trim.test_writing import some_corpus_layers


def trimmed_text(text: str, rule_set: RuleSet) -> tuple[str, int]:
    """A layer as it is trimmed, proved; and how many openings were drawn."""
    drawn = cut_from(gerber.read(text.encode(), "in.gbr"), everything=True)
    done = trimmed(Measurements(drawn, rule_set.foil), rule_set)
    content = written(done.openings, Header("Paste,Top", ("a layer",)))
    proved(content, "out.gbr", done.openings, drawn, STANDARD)
    return content.decode("ascii"), len(drawn)


def nearest(found: list[Pad], places_mm: FloatArray) -> IntArray:
    """The pad nearest to each place: pads lie apart, and no change moves one far. Shape (k,)."""
    middle_mm = np.array([(pad.x_um, pad.y_um) for pad in found]) / 1000
    nearest_pad: IntArray = np.linalg.norm(places_mm[:, None] - middle_mm, axis=2).argmin(axis=1)
    return nearest_pad


@settings(max_examples=HALF)
@given(pads(), st.sampled_from(SETS))
def test_whatever_an_opening_becomes_has_its_attributes(found: list[Pad], name: str) -> None:
    text, count = trimmed_text(text_of(found), rulesets.load(name))
    assert count == len(found)
    things = things_in(text)
    # of a region the corners are relative to the first one, and its middle is near enough their mean
    places_mm = np.array(
        [
            np.add(one.at_nm, np.mean([edge.start_nm for edge in one.edges] or [(0, 0)], axis=0))
            for one in things
        ]
    )
    pad = nearest(found, places_mm / 1e6)
    assert set(pad.tolist()) == set(range(len(found)))
    for thing, row in zip(things, pad.tolist(), strict=True):
        assert (thing.of_object, thing.of_aperture) == found[row][3:]


@settings(max_examples=HALF)
@given(pads(), st.sampled_from(SETS))
def test_an_independent_library_reads_the_attributes_of_flashes_as_they_were(
    found: list[Pad], name: str
) -> None:
    text, _ = trimmed_text(text_of(found), rulesets.load(name))
    flashes = [one for one in GerberFile.from_string(text).objects if isinstance(one, Flash)]
    rows = nearest(found, np.array([(one.x, one.y) for one in flashes]).reshape(-1, 2)).tolist()
    for flash, row in zip(flashes, rows, strict=True):
        assert (plain(flash.attrs), plain(dict(flash.aperture.attrs))) == found[row][3:]


def plain(attributes: dict[str, tuple[str, ...]]) -> Attributes:
    """The library leaves escapes as they are."""
    said = [(name, *map(decoded, values)) for name, values in attributes.items()]
    return tuple(sorted(said))


def decoded(text: str) -> str:
    return ESCAPED.sub(lambda found: chr(int(found[1], 16)), text)


def only_flashes(text: str) -> str:
    """A layer without its regions and strokes."""
    text = re.sub(r"G36\*.*?G37\*", "", text, flags=re.DOTALL)
    return re.sub(r"(?<=[*%\s])(?:G0?1)?[XYIJ\d+-]*D0?1\*", "", text)


def flashed(text: str) -> Counter[tuple[str, Attributes, Attributes]]:
    """How often something is flashed of which the same is said."""
    return Counter((one.label, one.of_object, one.of_aperture) for one in things_in(text))


def layers_with_attributes(shared: Path) -> Iterator[tuple[Path, str]]:
    """Paste layers of real boards; and what is flashed on their copper, which says more."""
    for path in some_corpus_layers(shared, 5):
        yield path, path.read_text("latin-1")
    for path in sorted((shared / "corpus").glob("*/*")):
        text = path.read_bytes().decode("latin-1") if path.is_file() else ""
        if "TA.AperFunction" in text and "TO.P" in text:
            yield path, only_flashes(text)


@pytest.mark.slow
@pytest.mark.parametrize("name", ["polyester-75-knife", "stainless-100-laser"])
def test_attributes_of_real_boards_are_as_many_after_trim_as_before(shared: Path, name: str) -> None:
    rule_set = rulesets.load(name)
    rule_set = replace(rule_set, trim=rule_set.trim.without(("thermal", "large")))  # no panes
    counted = told = 0
    for path, text in layers_with_attributes(shared):
        try:
            after, count = trimmed_text(text, rule_set)
        except InputError:
            continue
        before = flashed(text)
        if before.total() != count or flashed(after).total() != count:
            continue  # some are drawn in pieces
        assert flashed(after) == before, path
        counted += 1
        told += len(before) > 1
    assert counted > 3
    assert told > 1
