"""
Between which thicknesses a foil would do, in closed form from what was measured in one.

Readings either go with the inverse of the thickness (area ratio, aspect ratio: thin foil releases) or with
the thickness (deposit height and volume: thick foil feeds). So the end that a limit sets for an opening is
thickness x reading / limit, or thickness x limit / reading. Error bounds count to the safe side: what is
told of a flattened outline is a little less than what would just pass.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from types import MappingProxyType
from typing import Final, NamedTuple

import numpy as np

from pastecheck.check import ROUNDING
from pastecheck.checks import deposit_volume
from pastecheck.drawing import FloatArray, IntArray
from pastecheck.films.openings import components, told
from pastecheck.films.outcome import End
from pastecheck.judge.readings import JudgedRule
from pastecheck.measurements import Measurements
from pastecheck.measurements.usual import AS_DRAWN, OF_LAND, OF_PITCH, OF_THERMAL, opened
from pastecheck.units import UM_PER_MM, shown_um

RELEASE: Final = ("area-ratio", "aspect-ratio")
"""Checks whose readings go with the inverse of the thickness."""
HEIGHT: Final = "deposit-height"
VOLUME: Final = "deposit-volume"

DEPENDING: Final = (*RELEASE, HEIGHT, VOLUME)
"""Checks whose readings depend on the thickness."""

_HAIR_UM: Final = 1e-3
"""Pitches are off by the rounding of places; that must not make 51 um of 50."""


class _Ends(NamedTuple):
    """What one limit asks of the foil. Shape (k,) each."""

    rule: str
    limit: float
    unit: str
    thickness_mm: FloatArray
    opening: IntArray
    usual: IntArray | None = None
    words: Mapping[int, str] = MappingProxyType({})
    """What is usual."""


class Fed(NamedTuple):
    """Openings of which it is known what paste is usual. Shape (k,) each."""

    opening: IntArray
    share: FloatArray
    """Of what is usually open, as far as it is sure."""
    over_mm: FloatArray
    """Area over perimeter."""
    usual: IntArray
    """What is usual."""
    params: deposit_volume.Params

    def worst_share(self, thickness_mm: float) -> float | None:
        """The least that a foil prints, as a share of the usual paste; None where nothing is known."""
        height = (
            thickness_mm / self.params.usual_foil_mm * self.params.efficiency(self.over_mm / thickness_mm)
        )
        return float((self.share * height).min()) if len(self.share) else None


class Ends(NamedTuple):
    """The ends of a range; None where no limit sets one."""

    thickest: End | None
    thickest_clean: End | None
    thinnest: End | None
    fed: Fed
    not_known: int
    """Of how many openings it is not known what is usual."""


def ends(m: Measurements, rules: Sequence[JudgedRule]) -> Ends:
    """
    Between which thicknesses a foil would do for a layer.

    Args:
        m: The layer as it was judged, in some foil.
        rules: All rules of a rule set, judged in that foil.

    A thickest foil is in whole micrometres, rounded down, the thinnest rounded up.
    """
    depending = [one for one in rules if one.rule.check in DEPENDING and not one.missing]
    fed = _fed(m, depending)
    thinnest = [*_thinnest(m, depending), _share(fed)]
    return Ends(
        _end(m, _thickest(m, depending, ("error",)), is_thickest=True),
        _end(m, _thickest(m, depending, ("error", "warn")), is_thickest=True),
        _end(m, thinnest, is_thickest=False),
        fed,
        len(m.openings) - len(fed.opening),
    )


def _thickest(m: Measurements, rules: Iterable[JudgedRule], levels: tuple[str, ...]) -> Iterator[_Ends]:
    for one in rules:
        side = "below" if one.rule.check in RELEASE else "above"
        limits = [one.rule.limits[name] for level in levels if (name := f"{level}_{side}") in one.rule.limits]
        if limits and side == "below":
            limit = max(limits)
            error = np.maximum(one.readings.error - ROUNDING, 0.0)  # of closed forms it is all rounding
            if limit > 0:
                thickness_mm = m.foil.thickness_mm * np.maximum(one.readings.values - error, 0.0) / limit
                yield _of_readings(one, limit, thickness_mm)
        elif limits:
            yield _of_readings(one, min(limits), _reached_mm(m, one, min(limits), 1))


def _thinnest(m: Measurements, rules: Iterable[JudgedRule]) -> Iterator[_Ends]:
    """A warning that the paste is lean counts as an error does: thicker foil is what helps."""
    for one in rules:
        limits = [limit for name, limit in one.rule.limits.items() if name.endswith("_below")]
        if limits and one.rule.check not in RELEASE:
            yield _of_readings(one, max(limits), _reached_mm(m, one, max(limits), -1))


def _of_readings(one: JudgedRule, limit: float, thickness_mm: FloatArray) -> _Ends:
    known = np.flatnonzero(~np.isnan(one.readings.values))
    check = one.rule.check
    return _Ends(check, limit, one.check.unit.value, thickness_mm[known], one.readings.opening[known])


def _reached_mm(m: Measurements, one: JudgedRule, limit: float, sign: int) -> FloatArray:
    """Foil in which readings that grow with the thickness reach a limit; the error is added or taken off."""
    if one.rule.check == VOLUME and isinstance(one.rule.params, deposit_volume.Params):
        area_mm2, params = m.area_mm2[one.readings.opening], one.rule.params
        error_mm2 = (m.openings.shapes.tolerance_mm * m.openings.shapes.perimeter_mm)[m.openings.shape]
        sure_mm2 = area_mm2 + sign * error_mm2[one.readings.opening]
        return params.thinnest_mm(limit / sure_mm2, _over_mm(m, one.readings.opening))
    error = np.maximum(one.readings.error - ROUNDING, 0.0)
    value = np.maximum(one.readings.values + sign * error, 0.0)
    with np.errstate(divide="ignore", invalid="ignore"):
        reached_mm: FloatArray = m.foil.thickness_mm * limit / value
    return reached_mm


def _over_mm(m: Measurements, rows: IntArray) -> FloatArray:
    return m.area_mm2[rows] / m.perimeter_mm[rows]


def _fed(m: Measurements, rules: Sequence[JudgedRule]) -> Fed:
    found = (one.rule.params for one in rules if one.rule.check == VOLUME)
    params = next((one for one in found if isinstance(one, deposit_volume.Params)), deposit_volume.Params())
    of = opened(m, params.usual_of_pitch, params.usual_of_thermal)
    known = np.flatnonzero(~np.isnan(of.share))
    share = np.maximum(of.share - of.error, 0.0)[known]
    return Fed(known, share, _over_mm(m, known), of.usual[known], params)


def _share(fed: Fed) -> _Ends:
    """What the share of the usual paste asks for."""
    params = fed.params
    with np.errstate(divide="ignore"):
        wanted_mm = params.least_share * params.usual_foil_mm / fed.share
    thickness_mm = params.thinnest_mm(wanted_mm, fed.over_mm)
    words = _usual_in_words(params)
    return _Ends(VOLUME, params.least_share, "1", thickness_mm, fed.opening, fed.usual, words)


def _usual_in_words(params: deposit_volume.Params) -> Mapping[int, str]:
    foil = shown_um(params.usual_foil_mm)
    return {
        AS_DRAWN: f"{foil} through the opening as drawn",
        OF_LAND: f"{foil} on the whole land",
        OF_PITCH: f"{foil} through {100 * params.usual_of_pitch:g} % of the pitch",
        OF_THERMAL: f"{foil} on {100 * params.usual_of_thermal:g} % of a thermal land",
    }


def _end(m: Measurements, every: Iterable[_Ends], *, is_thickest: bool) -> End | None:
    """The end that all limits leave, and the first of the openings that set it."""
    worst: tuple[float, _Ends] | None = None
    for one in every:
        if len(one.thickness_mm):
            at = float(one.thickness_mm.min() if is_thickest else one.thickness_mm.max())
            if worst is None or (at < worst[0] if is_thickest else at > worst[0]):
                worst = at, one
    if worst is None:
        return None
    at, one = worst
    whole_um = _whole_um(one.thickness_mm, is_thickest=is_thickest)
    alike = np.flatnonzero(whole_um == _whole_um(np.array([at]), is_thickest=is_thickest)[0])
    nearest = alike[np.flatnonzero(one.thickness_mm[alike] == at)]
    first = nearest[np.argmin(one.opening[nearest])]
    return End(
        thickness_um=int(whole_um[first]) if np.isfinite(at) else None,
        check=one.rule,
        limit=one.limit,
        unit=one.unit,
        opening=told(m, int(one.opening[first])),
        alike=len(alike),
        components=components(m, one.opening[alike]),
        usual="" if one.usual is None else one.words[int(one.usual[first])],
    )


def _whole_um(thickness_mm: FloatArray, *, is_thickest: bool) -> FloatArray:
    um = thickness_mm * UM_PER_MM
    return np.floor(um + ROUNDING) if is_thickest else np.ceil(um - _HAIR_UM)
