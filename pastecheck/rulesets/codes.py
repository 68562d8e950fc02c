"""The codes of what can be wrong with a rule set, and what each means."""

from typing import Final

from pastecheck.errors import RuleSetError
from pastecheck.source import Documented

RULE_SET: Final = RuleSetError.default_code
NOT_YAML: Final = "not-yaml"
REFUSED_YAML: Final = "refused-yaml"
DOUBLED_KEY: Final = "doubled-key"
UNKNOWN_KEY: Final = "unknown-key"
MISSING_KEY: Final = "missing-key"
BAD_VALUE: Final = "bad-value"
NO_SOURCE: Final = "no-source"
IMPOSSIBLE_LIMITS: Final = "impossible-limits"
BAD_EXTENDS: Final = "bad-extends"

DOCUMENTATION: Final = {
    NOT_YAML: Documented(
        "the file is not text in UTF-8, or no YAML from that place on: a quote or bracket that is never "
        "closed, a tab in the indentation, lines that are not indented alike",
        "mend the place that is named, or the line above it; a rule set that ships, or the example in "
        "README, shows how one is written",
    ),
    REFUSED_YAML: Documented(
        "something that YAML knows and that is not read here: anchors and aliases, tags, a second document, "
        "deep nesting. A few lines of these can stand for a huge file, or run a program elsewhere",
        "write each value out where it belongs; what several rule sets have in common goes into a file that "
        "they extend",
    ),
    DOUBLED_KEY: Documented(
        "a name stands twice in one section; YAML would keep the last and drop the other without a word",
        "keep one of the two",
    ),
    UNKNOWN_KEY: Documented(
        "a name that nothing here takes: of a section, a check, a limit or a setting. It would be passed "
        "over, and what was meant by it would never be judged",
        "mind the spelling; pastecheck explain CHECK lists the settings of a check, pastecheck rules SET "
        "shows all that a set says",
    ),
    MISSING_KEY: Documented(
        "something that a rule set needs is not there, neither in the file nor in what it extends",
        "add it as the hint shows, or extend a rule set that has it",
    ),
    BAD_VALUE: Documented(
        "a value that cannot be what it stands for: a length without its unit, a word for a number, a list "
        "for one value, a foil thinner than any",
        "write it as the hint says; a length always carries its unit, a ratio never has one",
    ),
    NO_SOURCE: Documented(
        "limits stand without a source, or a source without limits; nobody could tell later what they rest "
        "on",
        "add 'source: ...' beside the limits: a page, a trial cut of yours, or 'common practice, no source'",
    ),
    IMPOSSIBLE_LIMITS: Documented(
        "limits that contradict each other: a warning that can never show, for what it is about is an error "
        "already, or limits from both sides that nothing lies between",
        "from below, the warning stands above the error; from above, below it",
    ),
    BAD_EXTENDS: Documented(
        "what the rule set extends is not there, is the set itself, leads out of its folder, or is more than "
        "a set may be made of",
        "name a set that ships (pastecheck rules lists them), or a .yaml file in the folder of the set or "
        "below",
    ),
}
"""What each code means, and what to do; that of the rule set as a whole stands with the error."""
