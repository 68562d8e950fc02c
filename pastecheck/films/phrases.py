"""What several rule sets say, in words for people."""

from typing import Final

from pastecheck.films.outcome import End, Hindrance, Opening, Thickness
from pastecheck.films.thickness import VOLUME
from pastecheck.report import Verdict
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._phrases import components, place, size
from pastecheck.reporters._told import Size
from pastecheck.units import shown, shown_apart

VERDICTS: Final = {Verdict.PASS: "cut it", Verdict.CARE: "with care", Verdict.FAIL: "do not"}


def hindrance(one: Hindrance) -> str:
    """What a check finds: `web width 0.120 mm is below 0.167 mm (14 times, at C15 and U2)`."""
    value, limit = shown_apart(one.value, one.limit, one.unit)
    often = [f"{one.count} times"] if one.count > 1 else []
    side = "below" if one.is_below else "above"
    return f"{one.quantity} {value} is {side} {limit} ({', '.join([*often, *_where(one)])})".replace(
        " ()", ""
    )


def _where(one: Hindrance) -> list[str]:
    if one.components:
        return [f"at {components(one.components)}"]
    if one.opening is None:
        return []
    at = place(one.opening.x_mm, one.opening.y_mm)
    return [f"at {at}" if one.count == 1 else f"the worst at {at}"]


def opening(one: Opening) -> str:
    """An opening, so that it is found: `0.25 x 0.40 mm of R7 at (12.30, 4.50)`."""
    of = f" of {harmless(one.label)}" if one.label else ""
    outline = size(Size(one.width_mm, one.length_mm, one.is_round))
    return f"{outline}{of} at {place(one.x_mm, one.y_mm)}"


def end(one: End, quantity: str) -> str:
    """Which opening sets an end, and by what."""
    more = f" and {one.alike - 1} more" if one.alike > 1 else ""
    if one.check == VOLUME and one.usual:
        why = f"{100 * one.limit:g} % of the paste of {one.usual}"
    else:
        why = f"{quantity} {shown(one.limit, one.unit)}"
    return f"{why}: {opening(one.opening)}{more}"


def span(one: Thickness) -> str:
    """A range of thickness: `63 to 105 um (with ease to 95 um)`; or that there is none, and why."""
    if not one.is_there:
        if one.thinnest is not None and one.thinnest.thickness_um is None:
            return "none: no foil would feed the parts"
        least, most = one.thinnest, one.thickest
        if least is None or most is None:
            return "none: no foil would release"
        return f"none: at most {most.thickness_um} um would release, at least {least.thickness_um} um feed"
    return f"{_from_to(one)}{_clean(one)}"


def _from_to(one: Thickness) -> str:
    least = None if one.thinnest is None else one.thinnest.thickness_um
    most = None if one.thickest is None else one.thickest.thickness_um
    if least is None:
        return "any" if most is None else f"{most} um at most"
    if most is None:
        return f"{least} um at least"
    return f"{least} um" if least == most else f"{least} to {most} um"


def _clean(one: Thickness) -> str:
    """Up to where nothing warns of release."""
    if one.thickest_clean is None or one.thickest_clean == one.thickest:
        return ""
    most_um = one.thickest_clean.thickness_um or 0
    if one.thickest is not None and most_um == one.thickest.thickness_um:
        return ""
    least_um = (0 if one.thinnest is None else one.thinnest.thickness_um) or 0
    return f" (with ease to {most_um} um)" if most_um >= max(least_um, 1) else " (none with ease)"
