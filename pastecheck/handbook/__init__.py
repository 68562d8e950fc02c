"""Pages about rule sets, checks and codes, from what these say themselves."""

from dataclasses import fields

from pastecheck import board_files, errors, lands, layers, openings, revisions
from pastecheck.check import Check
from pastecheck.checks import catalogue, documentation
from pastecheck.gerber import codes as reader
from pastecheck.limits import NAMES, STANDARD
from pastecheck.reporters import pages
from pastecheck.rulesets import codes as rule_set_codes
from pastecheck.rulesets.values import settings
from pastecheck.source import Documented


def checks() -> tuple[str, ...]:
    """Names of all checks."""
    return tuple(catalogue())


def of_check(check_id: str, width: int = 80) -> str:
    """All there is to say of a check."""
    check = catalogue()[check_id]
    page = pages.CheckPage(
        check=check_id,
        quantity=check.quantity,
        unit=check.unit,
        worse=check.worse,
        documentation=documentation(check_id),
        definition=check.definition,
        error_bound=check.error_bound,
        settings=_defaults(check),
        examples=[pages.Case(example.says, example.expect) for example in check.examples],
    )
    return pages.of_check(page, width)


def codes() -> dict[str, Documented]:
    """Every code of an error or diagnostic, and what it means."""
    every = (
        errors.DOCUMENTATION,
        rule_set_codes.DOCUMENTATION,
        layers.ERRORS,
        layers.DIAGNOSTICS,
        board_files.ERRORS,
        board_files.DIAGNOSTICS,
        revisions.ERRORS,
        lands.ERRORS,
        lands.DIAGNOSTICS,
        reader.DOCUMENTATION,
        openings.DIAGNOSTICS,
    )
    return {code: says for table in every for code, says in table.items()}


def of_code(code: str) -> str:
    """What a code means, and what to do; where a limit was passed, all limits that can be raised."""
    means, do = codes()[code]
    return pages.of_code(code, means, do, _limits() if code == reader.TOO_LARGE else ())


def of_limits() -> str:
    """What each limit of reading bounds, and how to raise one."""
    return of_code(reader.TOO_LARGE)


def _limits() -> list[pages.Bound]:
    return [
        pages.Bound(name, getattr(STANDARD, name.replace("-", "_")), says) for name, says in NAMES.items()
    ]


def _defaults(check: Check) -> list[pages.Setting]:
    defaults = {field.name: field.default for field in fields(check.params)}
    return [
        pages.Setting(name, "no value" if setting.needed else setting.shown(defaults[setting.field]))
        for name, setting in settings(check).items()
    ]
