"""Groups of changes in words, for people."""

from pastecheck.reporters._phrases import components, many, place, rows_told, side, size, way
from pastecheck.reporters._told import Size
from pastecheck.revisions.comparison import Kind
from pastecheck.revisions.groups import Group

_SEEN_MM = 0.0005
"""What is shown as 0 is not spoken of."""


def changed(group: Group) -> str:
    """
    What has happened to which openings.

    Example:
        >>> slot, narrower = Size(0.30, 1.5, is_round=False), Size(0.25, 1.5, is_round=False)
        >>> at = (0.0, 0.0, 6.0, 0.0)
        >>> changed(Group(Kind.RESIZED, 25, 48, ("U3",), None, slot, narrower, (0.0, 0.0), at))
        'U3: 25 of 48 openings narrower by 0.05 mm, 0.30 x 1.50 mm -> 0.25 x 1.50 mm'
    """
    whose = f"{components(group.components)}: " if group.components else ""
    rows = f", {rows_told(group.rows, group.count)}" if group.rows else ""
    return f"{whose}{_count(group)} {_what(group)}{rows}, {_sizes(group)}"


def where(group: Group) -> str:
    """Where they are now; what was removed, where it was."""
    low_x, low_y, high_x, high_y = group.within_mm
    if (low_x, low_y) == (high_x, high_y):
        return f"at {place(low_x, low_y)} mm"
    return f"{place(low_x, low_y)} to {place(high_x, high_y)} mm"


def _count(group: Group) -> str:
    count = many(group.count, "opening")
    if group.kind is Kind.ADDED or group.count == group.among == 1:
        return count
    if group.count < group.among:
        return f"{group.count} of {many(group.among, 'opening')}"
    return "both openings" if group.count == 2 else f"all {count}"


def _what(group: Group) -> str:
    moved = f"moved by {way(*group.moved_mm)}"
    has_moved = any(abs(one) >= _SEEN_MM for one in group.moved_mm)
    if group.kind in (Kind.ADDED, Kind.REMOVED):
        return group.kind.value
    if group.kind is Kind.MOVED:
        return moved
    what = "of another outline" if group.kind is Kind.RESHAPED else _resized(group.old, group.new)
    return f"{what} and {moved}" if has_moved else what


def _resized(old: Size | None, new: Size | None) -> str:
    """How a size has changed, in the words for its sides."""
    if old is None or new is None:
        raise ValueError("what is resized has two sizes")
    if old.is_round and new.is_round:
        return _by(new.width_mm - old.width_mm, "smaller", "larger")
    sides = (
        _by(new.width_mm - old.width_mm, "narrower", "wider"),
        _by(new.length_mm - old.length_mm, "shorter", "longer"),
    )
    return " and ".join(text for text in sides if text) or "of another size"


def _by(length_mm: float, less: str, more: str) -> str:
    if abs(length_mm) < _SEEN_MM:
        return ""
    return f"{less if length_mm < 0 else more} by {side(abs(length_mm))} mm"


def _sizes(group: Group) -> str:
    texts = [size(one) for one in (group.old, group.new) if one is not None]
    return " -> ".join(dict.fromkeys(texts))
