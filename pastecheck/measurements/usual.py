"""The paste that parts are used to, against which that of an opening is held."""

from typing import Final, NamedTuple

import numpy as np

from pastecheck.drawing import FloatArray, IntArray
from pastecheck.measurements import FINE_PITCH_MM, Measurements
from pastecheck.measurements.thermal import LEAST_MM2, LEAST_SIDE_MM

AS_DRAWN: Final = 0
OF_PITCH: Final = 1
OF_THERMAL: Final = 2
OF_LAND: Final = 3

_ROUNDING: Final = 1e-9


class Opened(NamedTuple):
    """How much is open of what usually is. Columns of shape (n,)."""

    share: FloatArray
    """NaN where it is not known what is usual: of panes, where lands are not known."""
    error: FloatArray
    """How far the share can be off."""
    usual: IntArray
    """What is usual: an opening as drawn, a share of the pitch, a share of a thermal land, the whole land."""


def opened(m: Measurements, of_pitch: float, of_thermal: float) -> Opened:
    """
    How much of each opening is open, of what usually is where parts are printed with the usual foil.

    In rows of fine leads (at a pitch up to 0.65 mm) that is a share of the pitch, over the length of the
    opening; of a thermal land a share of it; else the whole land, an opening 1:1. Openings that share a land
    have its share, added up. Where lands are not known, an opening is taken to be as large as its land; one
    by itself of 1.5 mm and 3 mm2 at least for a thermal land, which asks for the least paste; and of panes
    nothing is known.

    Args:
        m: n openings.
        of_pitch: Share of the pitch, more than 0.
        of_thermal: Share of a thermal land, more than 0.
    """
    share, error = np.ones(len(m.openings)), np.zeros(len(m.openings))
    usual = np.full(len(m.openings), AS_DRAWN)
    with np.errstate(invalid="ignore"):
        leads = m.are_leads & (m.rows.pitch_mm <= FINE_PITCH_MM)
    large = (m.width_mm >= LEAST_SIDE_MM - _ROUNDING) & (m.area_mm2 >= LEAST_MM2 - _ROUNDING) & ~leads
    share[large], usual[large] = 1 / of_thermal, OF_THERMAL
    share[m.rows.are_panes() & ~leads] = np.nan
    usual_mm2 = of_pitch * m.rows.pitch_mm * m.width_mm * m.length_mm / m.rows.extent_mm
    fraction, off = m.rows.fraction[leads], m.fraction_error[leads]
    outline = m.openings.shape[leads]
    blurred = (m.openings.shapes.tolerance_mm * m.openings.shapes.perimeter_mm)[outline] / m.area_mm2[leads]
    share[leads], usual[leads] = m.area_mm2[leads] / usual_mm2[leads], OF_PITCH
    error[leads] = share[leads] * (off / fraction + blurred)
    if m.land is not None:
        return _on_lands(m, Opened(share, error, usual), np.where(leads, usual_mm2, np.inf), of_thermal)
    return Opened(share, error, usual)


def _on_lands(m: Measurements, drawn: Opened, usual_mm2: FloatArray, of_thermal: float) -> Opened:
    """Openings on known lands by what covers these; of leads no more than the whole land is usual."""
    covered, lands = m.on_lands.coverage, m.on_lands.lands
    share, error = np.full((2, len(lands)), np.nan)
    share[covered.land], error[covered.land] = covered.value, covered.error
    land = np.asarray(m.land)
    on = np.flatnonzero((land >= 0) & ~np.isnan(share[land]))
    land = land[on]
    land_mm2 = lands.shapes.area_mm2[lands.shape[land]]
    thermal = m.on_lands.is_thermal[land]
    least = usual_mm2[on] < land_mm2
    factor = land_mm2 / np.where(thermal, of_thermal * land_mm2, np.minimum(usual_mm2[on], land_mm2))
    drawn.share[on], drawn.error[on] = share[land] * factor, error[land] * factor
    drawn.usual[on] = np.where(thermal, OF_THERMAL, np.where(least, OF_PITCH, OF_LAND))
    return drawn
