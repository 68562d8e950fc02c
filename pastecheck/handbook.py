"""Pages about rule sets and checks, from what these say themselves."""

from dataclasses import fields

from pastecheck import board_files, errors, lands, layers, openings, revisions, rulesets
from pastecheck.check import Check
from pastecheck.checks import catalogue, documentation
from pastecheck.gerber import codes as reader
from pastecheck.limits import NAMES, STANDARD
from pastecheck.reporters import pages
from pastecheck.rulesets.values import settings
from pastecheck.source import Documented
from pastecheck.units import shown_um


def checks() -> tuple[str, ...]:
    """Names of all checks."""
    return tuple(catalogue())


def of_rule_sets() -> str:
    """
    Names and titles of the rule sets that ship.

    Raises:
        RuleSetError: If one of them is broken.
    """
    return pages.of_rule_sets([(name, rulesets.load(name).title) for name in rulesets.shipped()])


def of_rule_set(name_or_path: str, width: int = 80) -> str:
    """
    A rule set in force: every limit with its source and where it was set.

    Raises:
        RuleSetError: If there is no such rule set, or it is broken.
    """
    rule_set = rulesets.load(name_or_path)
    in_force = {rule.check for rule in rule_set.rules}
    page = pages.RuleSetPage(
        name=rule_set.name,
        title=rule_set.title,
        file=rule_set.file,
        foil=f"{rule_set.foil.name}, {rule_set.foil.material}, {shown_um(rule_set.foil.thickness_mm)}",
        cutter=rule_set.cutter,
        rules=[_rule_page(rule) for rule in rule_set.rules],
        not_run=[check for check in catalogue() if check not in in_force],
        notices=rule_set.notices,
    )
    return pages.of_rule_set(page, width)


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


def _rule_page(rule: rulesets.Rule) -> pages.RulePage:
    check = catalogue()[rule.check]
    places = {name: str(span) for name, span in rule.places.items()}
    return pages.RulePage(
        check=rule.check,
        unit=check.unit,
        limits=[
            pages.Limit(name, limit, places.get(name.replace("_", "-"), ""))
            for name, limit in rule.limits.items()
        ],
        settings=[
            pages.Setting(name, setting.shown(getattr(rule.params, setting.field)), places.get(name, ""))
            for name, setting in settings(check).items()
        ],
        source=rule.source,
        source_place=places.get("source", ""),
    )
