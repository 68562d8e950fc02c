from pathlib import Path

from pastecheck import checks, rulesets
from pastecheck.check import Unit, Worse
from pastecheck.rulesets import RuleSet
from pastecheck.units import shown_um
from tests.documents import fences, hold

_FAILS = {Worse.BELOW: "too small", Worse.ABOVE: "too large", Worse.BOTH: "too small or too large"}


def _table(head: str, rows: list[str]) -> str:
    return "\n".join([f"| {head} |", "|" + " --- |" * (head.count("|") + 1), *(f"| {row} |" for row in rows)])


def _check_row(check_id: str) -> str:
    check = checks.catalogue()[check_id]
    title, _, _ = checks.documentation(check_id).strip().partition("\n\n")
    says = title.partition(": ")[2].rstrip(".")
    unit = "" if check.unit is Unit.RATIO else f", {check.unit}"
    return f"`{check_id}` | {says}{unit} | {_FAILS[check.worse]} | {check.error_bound}"


def _rule_set_row(rules: RuleSet) -> str:
    sheet = f"{rules.foil.material}, {shown_um(rules.foil.thickness_mm)}"
    judged = {rule.check for rule in rules.rules if rule.limits}
    left_out = ", ".join(f"`{check}`" for check in checks.catalogue() if check not in judged) or "none"
    return f"`{rules.name}` | {sheet} | {rules.cutter or 'any'} | {left_out}"


def test_readme_lists_the_checks_as_they_document_themselves(root: Path, *, update_golden: bool) -> None:
    head = "check | what it measures | wrong when | how far a reading can be off"
    made = _table(head, [_check_row(check_id) for check_id in checks.catalogue()])
    hold(root / "README.md", "checks", made, update=update_golden)


def test_readme_lists_the_rule_sets_that_ship(root: Path, *, update_golden: bool) -> None:
    made = _table(
        "rule set | sheet | cutter | checks that it sets no limits for",
        [_rule_set_row(rulesets.load(name)) for name in rulesets.shipped()],
    )
    hold(root / "README.md", "rule sets", made, update=update_golden)


def test_the_rule_set_that_readme_shows_is_one(root: Path, tmp_path: Path) -> None:
    shown = [fence for fence in fences(root / "README.md", "yaml") if "\nlayers:" not in fence.text]
    assert shown
    for fence in shown:
        file = tmp_path / "shown.yaml"
        file.write_text(fence.text, encoding="utf-8")
        assert rulesets.load(str(file)).rules
