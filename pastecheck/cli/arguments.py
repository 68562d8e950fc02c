"""Arguments of a command: read, or refused with what would be right."""

import argparse
from collections.abc import Sequence
from typing import NoReturn

from pastecheck.cli.console import put
from pastecheck.errors import UsageError
from pastecheck.source import Span


class Parser(argparse.ArgumentParser):
    """Raises what is wrong with the arguments, where argparse would print it and leave."""

    def __init__(self, usage: str, description: str, epilog: str | None = None) -> None:
        super().__init__(usage=usage, description=description, epilog=epilog, allow_abbrev=False)

    def error(self, message: str) -> NoReturn:
        """Refuse the arguments."""
        raise usage(" ".join(message.split()), f"usage: {self.usage}")


class Once(argparse.Action):
    """Takes a value, and refuses another: one of the two would be dropped in silence."""

    def __call__(
        self,
        parser: argparse.ArgumentParser,
        namespace: argparse.Namespace,
        values: object,
        option_string: str | None = None,
    ) -> None:
        """Take it."""
        if getattr(namespace, self.dest) is not None:
            parser.error(f"{option_string} is given twice")
        setattr(namespace, self.dest, values)


def parsed(parser: Parser, arguments: list[str]) -> argparse.Namespace | None:
    """
    The arguments, read; None where help was asked for, and was given.

    Raises:
        UsageError: If one is unknown, missing or too many.
    """
    arguments = _without_dashes(arguments)
    if any(one in {"-h", "--help"} for one in arguments):
        put([parser.format_help()])
        return None
    options, unknown = parser.parse_known_intermixed_args(arguments)
    if unknown:
        name = unknown[0].split("=")[0]
        known = [option for action in parser._actions for option in action.option_strings]  # noqa: SLF001
        if not name.startswith("-"):
            raise usage(f"{quoted(name)} is one argument too many", f"usage: {parser.usage}")
        hint = near_option(name, known, f"usage: {parser.usage}")
        raise usage(f"there is no option {quoted(name)}", hint)
    return options


def _without_dashes(arguments: list[str]) -> list[str]:
    """The arguments without `--`; what follows it is no option, though it may begin like one."""
    at = arguments.index("--") if "--" in arguments else len(arguments)
    names = [f"./{one}" if one.startswith("-") else one for one in arguments[at + 1 :]]
    return [*arguments[:at], *names]


def usage(text: str, hint: str) -> UsageError:
    """An error about the arguments."""
    return UsageError(text, Span("pastecheck"), hint)


def quoted(text: str) -> str:
    """A text of the user's, as errors show it."""
    from pastecheck.units import quoted

    return quoted(text)


def nearest_of(name: str, known: Sequence[str]) -> str:
    """A hint for a misspelt name."""
    from pastecheck.rulesets.yamltree import nearest

    return nearest(name, known)


def near_option(name: str, known: Sequence[str], otherwise: str) -> str:
    """A hint for a misspelt option; another where it is like none, but for the dashes that all have."""
    from difflib import get_close_matches

    bare = {option.lstrip("-"): option for option in known}
    near = get_close_matches(name.lstrip("-")[:60], bare, n=1, cutoff=0.7)
    return f"did you mean '{bare[near[0]]}'?" if near else otherwise
