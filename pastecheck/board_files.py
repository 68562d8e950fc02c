"""
Copper, solder mask and outline of a board -> what is known of it beside a paste layer.

The files are named by the user, and are matched with the paste layers by their side. What is plainly another
layer, or lies elsewhere than the paste layer, is refused: against wrong lands every reading would be wrong.
"""

from collections.abc import Mapping, Sequence
from enum import StrEnum
from pathlib import Path
from typing import Final, NamedTuple

import numpy as np

from pastecheck import copper, gerber
from pastecheck.drawing import Drawing
from pastecheck.errors import InputError, NoOpeningsError, UsageError
from pastecheck.gerber.codes import NEGATIVE_POLARITY
from pastecheck.lands import Board, Lands, lands_of, profile_of, unsure_below
from pastecheck.layer_evidence import Evidence, Source, evidence_of, kind_of_function
from pastecheck.layer_files import (
    File,
    archive_above,
    archive_kind,
    content_of,
    file_at,
    head_of,
    opened_archive,
    unreadable,
)
from pastecheck.layer_names import COPPER, DRAWING, INNER, MASK, OUTLINE, UNKNOWN
from pastecheck.layers import Layer, instead_of, place_of_function
from pastecheck.limits import STANDARD, Limits
from pastecheck.measurements import Measurements
from pastecheck.openings import Openings
from pastecheck.source import Diagnostic, DiagnosticLevel, Documented, Span
from pastecheck.units import quoted

_WRONG: Final = "wrong-layer"
_OTHER_SIDE: Final = "other-side"
_NO_LANDS: Final = "no-lands"
_ELSEWHERE: Final = "elsewhere"
_AS_NAMED: Final = "layer-as-named"
_FEW: Final = "few-on-lands"

_LEAST_THERE: Final = 0.5
"""Share of openings on lands, or inside the outline, below which files hardly belong together."""


class Option(StrEnum):
    """How the user names a file, and what it is to be."""

    LAND = "land"
    MASK = "mask"
    OUTLINE = "outline"

    @property
    def kind(self) -> str:
        """In the words of layer names."""
        return {Option.LAND: COPPER, Option.MASK: MASK, Option.OUTLINE: OUTLINE}[self]


_INSTEAD: Final[Mapping[Option, str]] = {
    Option.LAND: "name the outer copper of that side; if this is it, give the file another name",
    Option.MASK: "name the solder mask of that side; if this is it, give the file another name",
    Option.OUTLINE: "name the outline of the board; if this is it, give the file another name",
}


class BoardFile(NamedTuple):
    """A file beside the paste layer, read but not yet understood."""

    option: Option
    path: str
    """As reports show it, with `/`."""
    content: bytes
    side: str
    """top, bottom or unknown; that of an outline means nothing."""
    diagnostics: tuple[Diagnostic, ...] = ()
    source: Source = Source.NOTHING
    """What tells that it is one."""
    named_for: str = ""
    """The layer, folder or archive that it was named with; empty if for all that are judged."""


Beside = Mapping[Option, BoardFile]
"""The files that belong to one paste layer."""


class Known(NamedTuple):
    """What files tell of a board, and what has to be said of them."""

    board: Board
    diagnostics: tuple[Diagnostic, ...]


# ------------------------------------------------------------------------------------------------- finding


def board_files_of(named: Mapping[Option, Sequence[str]], limits: Limits = STANDARD) -> tuple[BoardFile, ...]:
    """
    The files that options name.

    Args:
        named: Paths by option.
        limits: How much is read at most.

    Raises:
        InputError: If one cannot be read, or is plainly another layer.
        UsageError: If a name is empty.
    """
    return tuple(_found(option, path, limits) for option, paths in named.items() for path in paths)


def _found(option: Option, argument: str, limits: Limits) -> BoardFile:
    if not argument:
        raise UsageError(f"the name after --{option} is empty", Span("pastecheck"), "name a Gerber file")
    path = Path(argument)
    shown = path.as_posix()
    try:
        if path.is_dir():
            raise InputError("this is a folder", Span(shown), f"name the {option.kind} layer in it", _WRONG)
        if archive := archive_above(path):
            with opened_archive(archive, archive.as_posix(), limits) as files:
                for file in files.files:
                    if file.path == shown:
                        return _understood(option, file, limits)
            hint = "name it as the report names files in archives: archive.zip/file"
            raise InputError("the archive holds no such file", Span(shown), hint, "no-file")
        if kind := archive_kind(head_of(path)):
            raise InputError(f"this is {kind}", Span(shown), "name the file in it, or unpack it", "archive")
        return _understood(option, file_at(path, shown), limits)
    except FileNotFoundError:
        raise InputError("there is no such file", Span(shown), instead_of(path), "no-file") from None
    except (OSError, ValueError) as problem:
        raise unreadable(shown, problem) from None


def _understood(option: Option, file: File, limits: Limits) -> BoardFile:
    """A file that the user named; refused where it or its name says plainly that it is another layer."""
    content, path = content_of(file, limits), file.path
    kind, evidence = kind_of(content, path)
    kinds = {OUTLINE, DRAWING} if option is Option.OUTLINE else {option.kind}
    is_meant = kind in kinds and not (option is Option.LAND and evidence.side == INNER)
    if is_meant:
        return BoardFile(option, path, content, evidence.side, (), evidence.source)
    if evidence.source is not Source.NOTHING and not evidence.contradiction:
        span = place_of_function(path, content) if evidence.source is Source.FUNCTION else Span(path)
        raise InputError(_says(evidence, option), span, _INSTEAD[option], _WRONG)
    text = f"taken for the {option.kind} as it was named; nothing tells for sure what layer it is"
    note = Diagnostic(_AS_NAMED, DiagnosticLevel.NOTE, text, Span(path))
    return BoardFile(option, path, content, UNKNOWN, (note,), Source.NOTHING)


def kind_of(content: bytes, path: str) -> tuple[str, Evidence]:
    """What kind of layer a file is, in the words of layer names, and how that is known."""
    evidence = evidence_of(content, path)
    function = next(iter(gerber.file_functions(content)), "")
    return kind_of_function(function) if function else evidence.kind, evidence


def _says(evidence: Evidence, option: Option) -> str:
    what = f"{evidence.side} {evidence.kind}" if evidence.side == INNER else evidence.kind
    if evidence.source is Source.FUNCTION:
        return f"the file says that it is {what}, and --{option} takes {option.kind}"
    return f"{evidence.reason} says {what}, and --{option} takes {option.kind}"


# ------------------------------------------------------------------------------------------------ matching


def beside(layers: Sequence[Layer], files: Sequence[BoardFile]) -> tuple[Beside, ...]:
    """
    The files that belong to each paste layer, by their sides.

    A file whose side is not told belongs to the layer that is alone in having none.

    Raises:
        InputError: If a file is of the other side.
        UsageError: If it is not clear to which layer a file belongs.
    """
    found: list[dict[Option, BoardFile]] = [{} for _ in layers]
    for option in Option:
        for file in sorted(
            (one for one in files if one.option is option), key=lambda one: one.side == UNKNOWN
        ):
            meant = [row for row, layer in enumerate(layers) if _is_for(file, layer)]
            rows = meant if option is Option.OUTLINE else [_row(file, layers, meant, found)]
            for row in rows:
                if option in found[row]:
                    other = quoted(found[row][option].path)
                    text = (
                        f"two files are named by --{option} for one paste layer: {other}, {quoted(file.path)}"
                    )
                    raise UsageError(text, Span("pastecheck"), "name one of them for each side")
                found[row][option] = file
    for layer, files_of_layer in zip(layers, found, strict=True):
        if Option.MASK in files_of_layer and Option.LAND not in files_of_layer:
            text = f"a mask is named for {quoted(layer.path)}, and no copper"
            raise UsageError(text, Span("pastecheck"), "a land is a part of both: add --land FILE")
    return tuple(found)


def _is_for(file: BoardFile, layer: Layer) -> bool:
    return file.named_for in {"", layer.path, layer.found_in}


def _row(file: BoardFile, layers: Sequence[Layer], meant: Sequence[int], found: Sequence[Beside]) -> int:
    """The paste layer that a file belongs to, of those that it may be meant for."""
    if any(file.content == layer.content for layer in layers):
        text = "this is the paste layer itself"
        raise InputError(text, Span(file.path), _INSTEAD[file.option], _WRONG)
    told = [row for row in meant if UNKNOWN not in (layers[row].side, file.side)]
    same = [row for row in told if layers[row].side == file.side]
    if not same and len(told) == len(meant):
        sides = " and ".join(sorted({f"the {layers[row].side}" for row in meant}))
        text = f"this is of the {file.side} side, and what is judged is of {sides}"
        raise InputError(text, Span(file.path), _INSTEAD[file.option], _OTHER_SIDE)
    rows = same or [row for row in meant if row not in told and file.option not in found[row]]
    if len(rows) == 1:
        return rows[0]
    text = f"it is not clear to which paste layer {quoted(file.path)} belongs"
    raise UsageError(
        text, Span("pastecheck"), "check one paste layer at a time, with its own copper and mask"
    )


# ------------------------------------------------------------------------------------------------- reading


def known_of(files: Beside, openings: Openings, limits: Limits = STANDARD) -> Known:
    """
    What files tell of a board.

    Args:
        files: Those of one paste layer.
        openings: That layer's.
        limits: How much is read at most.

    Raises:
        InputError: If one cannot be read or measured honestly, or is drawn like another layer.
    """
    drawings = {option: _drawing(file, limits) for option, file in files.items()}
    lands = profile = unsure = None
    if Option.LAND in files:
        lands = _lands(files, drawings, limits)
        if Option.MASK not in files:
            unsure = unsure_below(drawings[Option.LAND], openings, limits)
    if Option.OUTLINE in files:
        profile = profile_of(drawings[Option.OUTLINE], limits)
    said = [one for option, file in files.items() for one in (*file.diagnostics, *_told(drawings[option]))]
    said += [one for known in (lands, profile) if known is not None for one in known.diagnostics]
    return Known(Board(lands, profile, unsure), tuple(said))


def _drawing(file: BoardFile, limits: Limits) -> Drawing:
    drawing = gerber.read(file.content, file.path, limits, negative=file.option is Option.MASK)
    looks = copper.tracks_or_pours(drawing) if file.option is Option.MASK else ""
    if looks and file.source is Source.NOTHING:
        text = f"it is drawn like copper: {looks}, not a mask"
        raise InputError(text, Span(file.path), _INSTEAD[file.option], _WRONG)
    return drawing


def _told(drawing: Drawing) -> tuple[Diagnostic, ...]:
    """What matters of what the reader says of a file that is not cut: warnings, but for the polarity's."""
    return tuple(
        one
        for one in drawing.diagnostics
        if one.level is DiagnosticLevel.WARNING and one.code != NEGATIVE_POLARITY
    )


def _lands(files: Beside, drawings: Mapping[Option, Drawing], limits: Limits) -> Lands:
    land, mask = files[Option.LAND], files.get(Option.MASK)
    try:
        lands = lands_of(drawings[Option.LAND], drawings.get(Option.MASK), limits)
    except NoOpeningsError:
        file, what = (
            (land, "nothing is flashed in the copper") if mask is None else (mask, "the mask opens nothing")
        )
        hint = "check that it is the right layer" if mask else "add --mask FILE, or check that it is copper"
        raise InputError(f"{what}, so it leaves no lands", Span(file.path), hint, _NO_LANDS) from None
    if not len(lands):
        hint = "check that copper and mask are of one board, side and origin"
        text = "no copper lies in any opening of the mask, so there are no lands"
        raise InputError(text, Span(land.path), hint, _NO_LANDS)
    return lands


def doubts_about(m: Measurements, files: Beside) -> tuple[Diagnostic, ...]:
    """
    A warning where few openings lie on lands, and it is not known of all whether they do.

    Raises:
        InputError: If most lie on none, or beyond the board: then a file is of another board, side or origin,
            and what each opening lacks would say nothing.
    """
    count = len(m.openings)
    if m.board.profile is not None:
        inside = int(np.count_nonzero(m.beyond_board.reach_mm < m.width_mm))
        if inside < _LEAST_THERE * count:
            raise _elsewhere(files[Option.OUTLINE], f"{_few(inside, count)} inside the outline")
    if m.board.lands is None:
        return ()
    on, known = _on_lands(m)
    if on < _LEAST_THERE * known and m.shift is not None:
        on, known = _on_lands(m.registered())
    if on >= _LEAST_THERE * known:
        return ()
    if known == count:
        raise _elsewhere(files[Option.LAND], f"{_few(on, count)} on a land")
    text = f"only {on} of {known} openings lie on lands; check that copper and mask are of this side"
    return (Diagnostic(_FEW, DiagnosticLevel.WARNING, text, Span(files[Option.LAND].path)),)


def _on_lands(m: Measurements) -> tuple[int, int]:
    """How many openings lie on lands, and of how many that is known."""
    known = ~m.on_lands.is_unsure
    return int(np.count_nonzero(m.on_lands.land[known] >= 0)), int(np.count_nonzero(known))


def _few(there: int, count: int) -> str:
    return f"only {there} of {count} openings lie" if there else "no opening lies"


def _elsewhere(file: BoardFile, what: str) -> InputError:
    hint = "check that it is of the same board and side, not mirrored, and exported with the same origin"
    return InputError(what, Span(file.path), hint, _ELSEWHERE)


# --------------------------------------------------------------------------------------------------- codes

ERRORS: Final[dict[str, Documented]] = {
    _WRONG: Documented(
        "a file named by --land, --mask or --outline says, or shows, that it is another layer",
        "name the layer that the option takes; if this is it, give the file another name",
    ),
    _OTHER_SIDE: Documented(
        "a copper or mask layer is of the top and the paste layer of the bottom, or the other way",
        "name the layer of the same side",
    ),
    _NO_LANDS: Documented(
        "copper and mask together leave no lands",
        "check that they are of one board, side and origin; without a mask the copper has to be flashed",
    ),
    _ELSEWHERE: Documented(
        "most openings of the paste layer, or all, lie on no land, or beyond the edge of the board",
        "check that all layers are of the same board and side, and exported with the same origin",
    ),
}

DIAGNOSTICS: Final[dict[str, Documented]] = {
    _AS_NAMED: Documented(
        "neither the file nor its name tells for sure what layer it is; it was taken as it was named",
        "check that it is the layer that the option takes",
    ),
    _FEW: Documented(
        "of the openings of which that is known most lie on no land: the copper may be of the other side, or "
        "of another revision",
        "check copper and mask, and where they lie",
    ),
}
