"""
Real boards: what is cut is as large as what is read, everything once, and hops as its notes say.

Every fourth layer of the corpus. The boards may not be copied into the project, so these tests are skipped
where PASTECHECK_SHARED is not set.
"""

import os
from pathlib import Path

import numpy as np
import pytest
import shapely

from pastecheck import gerber, rulesets
from pastecheck.cuts import cut_file
from pastecheck.cuts.hopping import gaps_between_mm
from pastecheck.measurements import Measurements
from pastecheck.openings import cut_from
from tests.cuts import reading
from tests.cuts.laid import text_of
from tests.outside.test_corpus import CUT, NOTHING_BUT_LINES, Reference

pytestmark = pytest.mark.slow

RULES = rulesets.load("polyester-75-knife")
NOT_TO_BE_PARTED = 4
"""What two openings, or three, of one class are: neighbours whatever the order."""


@pytest.mark.parametrize(
    "layer", [one for one in CUT if one.name not in NOTHING_BUT_LINES][::4], ids=lambda layer: layer.name
)
def test_a_real_layer_is_cut_as_it_was_read(layer: Reference) -> None:
    path = Path(os.environ["PASTECHECK_SHARED"]) / "corpus" / layer.name
    m = Measurements(cut_from(gerber.read(path.read_bytes(), path.name)), RULES.foil)
    file = cut_file(m, "bottom", RULES.outlines, RULES.cutting)
    sheet = reading.read(text_of(file))
    assert sorted(file.order.tolist()) == list(range(len(m.openings)))
    area_mm2 = np.array([one.area_mm2 for one in sheet.openings])
    assert np.allclose(area_mm2, m.area_mm2[file.order], rtol=2e-4)
    assert all(max(one.overcut_mm) <= 0.05 + 3e-6 for one in sheet.openings)
    lines = shapely.multilinestrings(
        [shapely.LineString(ring) for cuts in sheet.groups.values() for cut in cuts for ring in _rings(cut)]
    )
    assert shapely.node(lines).length == pytest.approx(lines.length, abs=1e-4)
    width_mm = m.width_mm[file.order]
    assert not ((width_mm[:-1] >= 0.6) & (width_mm[1:] < 0.6 - 1e-6)).any()
    bounds_mm = m.bounds_nm[file.order] / 1e6
    ends = np.cumsum([len(cuts) for name, cuts in sheet.groups.items() if "openings" in name])
    for of_class in np.split(bounds_mm, ends[:-1]):
        if len(of_class) > NOT_TO_BE_PARTED:
            assert gaps_between_mm(of_class).min() > 0.5


def _rings(cut: reading.Cut) -> list[reading.Places]:
    return cut.lines if len(cut.subpaths[0]) == 1 else cut.rings()
