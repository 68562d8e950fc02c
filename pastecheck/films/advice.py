"""Which film suits a layer, in plain sentences."""

from collections.abc import Iterator, Mapping, Sequence
from typing import Final

from pastecheck.films.outcome import Films, Held, Hindrance, LayerFilms, RuleSetHeld, Thickness
from pastecheck.films.phrases import hindrance, span
from pastecheck.films.thickness import RELEASE
from pastecheck.report import Verdict
from pastecheck.reporters._harmless import harmless
from pastecheck.reporters._phrases import components, listed, many
from pastecheck.reporters._told import natural

_NO_CUTTER: Final = "cutter not said"


def by_cutter(layer: LayerFilms, rule_sets: Sequence[RuleSetHeld]) -> Mapping[str, str]:
    """
    Of each cutter, which of its films would do for a layer, and what hinders the others.

    Films that print too little are not counted among those that would do, though nothing is wrong with how
    they are cut. Empty where there is nothing to cut.
    """
    cutters = dict.fromkeys(one.cutter for one in rule_sets if layer.held)
    return {
        harmless(cutter) or _NO_CUTTER: "; ".join(
            _of_films(
                [one for one, by in zip(layer.held, rule_sets, strict=True) if by.cutter == cutter],
                [one for one in layer.thickness if one.cutter == cutter],
            )
        )
        for cutter in cutters
    }


def for_all(films: Films) -> str:
    """Which film would do for all layers, where there are several; empty for one."""
    layers = [layer for layer in films.layers if layer.held]
    if len(layers) < 2:
        return ""
    of_set = list(zip(*(layer.held for layer in layers), strict=True))
    good = [held for held in of_set if all(one.verdict is Verdict.PASS and one.feeds for one in held)]
    care = [held for held in of_set if all(_would_do(one) for one in held) and held not in good]
    said = [f"{_names([held[0] for held in good])} would do"] if good else []
    if care:
        names = _names([held[0] for held in care])
        said.append(f"{names} with care" if good else f"{names} would do with care")
    return "; ".join(said) or "no film of these would do for every layer"


def _would_do(one: Held) -> bool:
    return one.verdict is not Verdict.FAIL and one.feeds


def _of_films(held: Sequence[Held], thickness: Sequence[Thickness]) -> Iterator[str]:
    """The films of one cutter."""
    clean = [one for one in held if one.verdict is Verdict.PASS and one.feeds]
    care = sorted((one for one in held if _would_do(one) and one not in clean), key=lambda one: one.warnings)
    lean = [one for one in held if one.verdict is not Verdict.FAIL and not one.feeds]
    if clean:
        yield f"{_names(clean)} would do"
    if care:
        yield f"{_names(care)} with care" if clean else f"{_names(care)} would do with care"
        if not clean:
            yield f"none does without: {_reason(care[0])}"
    if lean:
        yield f"{_names(lean)} would print too little paste{_how_little(lean)}"
    if not (clean or care):
        yield from _none(held)
    if not clean:
        yield from _thinner(held, thickness)


def _how_little(lean: Sequence[Held]) -> str:
    least_um = [one.thinnest_um for one in lean if one.thinnest_um is not None]
    return f" ({max(least_um)} um at least)" if least_um else ""


def _none(held: Sequence[Held]) -> Iterator[str]:
    """Why no film would do, those aside that print too little."""
    failed = [one for one in held if one.verdict is Verdict.FAIL]
    if failed:
        nearest = min(failed, key=lambda one: (not one.feeds, one.errors, one.warnings))
        who = "none would do" if len(failed) == len(held) else "no other would do"
        least = f"{harmless(nearest.name)} comes nearest, but for" if len(failed) > 1 else "not for"
        yield f"{who}: {least} {_whom(nearest)}: {_reason(nearest)}"


def _thinner(held: Sequence[Held], thickness: Sequence[Thickness]) -> Iterator[str]:
    """Foils that would do where those of the rule sets are only too thick."""
    too_thick = {
        one.name
        for one in held
        if one.verdict is Verdict.FAIL and {found.check for found in _worst(one)} <= set(RELEASE)
    }
    fitting = {one.name for one in held if _would_do(one)}
    for one in thickness:
        if one.is_there and too_thick.intersection(one.rule_sets) and not fitting.intersection(one.rule_sets):
            yield f"{harmless(one.foil)} of {span(one)} would release, and feed the parts"


def _whom(one: Held) -> str:
    """The components that are in the way; or how many errors."""
    names = {name for found in _worst(one) for name in found.components}
    return components(sorted(names, key=natural)) if names else many(one.errors, "error")


def _reason(one: Held) -> str:
    """The first of what hinders, and how many more."""
    worst = _worst(one)
    if not worst:
        return "the file itself has warnings"
    left = len(worst) - 1
    return hindrance(worst[0]) + (f", and {many(left, 'more check')}" if left else "")


def _worst(one: Held) -> tuple[Hindrance, ...]:
    """What is found at the worst level."""
    return tuple(found for found in one.hindrances if found.level is one.hindrances[0].level)


def _names(held: Sequence[Held]) -> str:
    return listed([one.name for one in held])
