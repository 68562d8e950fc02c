"""What several rule sets say as JSON, for scripts; `films.schema.json` in the package describes it."""

from collections.abc import Iterator
from dataclasses import asdict
from typing import Any, Final

from pastecheck.films.advice import by_cutter, for_all
from pastecheck.films.outcome import End, Films, Held, LayerFilms, RuleSetHeld, Thickness
from pastecheck.films.phrases import hindrance
from pastecheck.reporters._json import diagnostic, dumps, plain, schema_of

FORMAT: Final = "pastecheck films"
FORMAT_VERSION: Final = 1


def schema() -> dict[str, Any]:
    """The JSON Schema (draft 2020-12) of it."""
    return schema_of("films")


def chunks(films: Films) -> Iterator[str]:
    """
    All of it in pieces: in ASCII, deterministic, a layer a piece.

    Raises:
        ValueError: If a number is not finite, for JSON has no word for it.
    """
    head = {
        "format": FORMAT,
        "format_version": FORMAT_VERSION,
        "tool": {"name": "pastecheck", "version": films.tool_version},
        "rule_sets": [_rule_set(one) for one in films.rule_sets],
        "for_all_layers": for_all(films),
    }
    yield dumps(plain(head), indent=1).removesuffix("\n}") + ',\n"layers": ['
    for number, layer in enumerate(films.layers):
        yield (",\n" if number else "\n") + dumps(plain(_layer(layer, films)), indent=1)
    yield "\n]}\n"


def _rule_set(one: RuleSetHeld) -> dict[str, Any]:
    summary = one.summary
    foil = {
        "name": summary.foil_name,
        "material": summary.foil_material,
        "thickness_mm": summary.foil_thickness_mm,
    }
    return {
        "name": summary.name,
        "title": summary.title,
        "file": summary.file,
        "sha256": summary.sha256,
        "foil": foil,
        "cutter": one.cutter,
        "notices": summary.notices,
    }


def _layer(layer: LayerFilms, films: Films) -> dict[str, Any]:
    return {
        "file": layer.file,
        "sha256": layer.sha256,
        "side": layer.side,
        "beside": [asdict(one) for one in layer.beside],
        "bounds_mm": layer.bounds_mm,
        "openings": layer.openings,
        "open_area_mm2": layer.open_area_mm2,
        "worst_web_mm": layer.worst_web_mm,
        "diagnostics": [diagnostic(said) for said in layer.diagnostics],
        "rule_sets": [_held(one) for one in layer.held],
        "thickness": [_thickness(one) for one in layer.thickness],
        "advice": by_cutter(layer, films.rule_sets),
    }


def _held(one: Held) -> dict[str, Any]:
    return {
        "name": one.name,
        "file": one.file,
        "verdict": one.verdict,
        "errors": one.errors,
        "warnings": one.warnings,
        "worst_area_ratio": one.worst_area_ratio,
        "worst_paste_share": one.paste_share,
        "feeds": one.feeds,
        "hindrances": [asdict(found) | {"text": hindrance(found)} for found in one.hindrances],
    }


def _thickness(one: Thickness) -> dict[str, Any]:
    return {
        "rule_sets": one.rule_sets,
        "foil": one.foil,
        "cutter": one.cutter,
        "is_there": one.is_there,
        "thickest": _end(one.thickest),
        "thickest_without_warning": _end(one.thickest_clean),
        "thinnest": _end(one.thinnest),
        "openings_not_known": one.not_known,
    }


def _end(one: End | None) -> dict[str, Any] | None:
    return None if one is None else asdict(one)
