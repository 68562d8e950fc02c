"""What is raised when no honest answer is possible."""

from typing import ClassVar, Final

from pastecheck.source import Documented, Span


class PastecheckError(Exception):
    """
    The base of all errors a user can mend.

    Prints as `path:line:column: error[code]: text (hint)`. Text is lower case without a full stop;
    the hint says what to do next.
    """

    default_code: ClassVar[str] = "error"

    def __init__(self, text: str, span: Span, hint: str, code: str | None = None) -> None:
        super().__init__(text)
        self.text = text
        self.span = span
        self.hint = hint
        self.code = code or self.default_code

    def __str__(self) -> str:
        """The one line a user sees."""
        return f"{self.span}: error[{self.code}]: {self.text} ({self.hint})"


class InputError(PastecheckError):
    """The layer file."""

    default_code = "input"


class GerberSyntaxError(InputError):
    """The file cannot be read."""

    default_code = "gerber-syntax"


class GerberUnsupportedError(InputError):
    """The file can be read, but what it draws cannot be measured honestly."""

    default_code = "gerber-unsupported"


class NoOpeningsError(InputError):
    """The file was read, and there is nothing to cut."""

    default_code = "no-openings"


class RuleSetError(PastecheckError):
    """One or more complaints about a rule set; `others` are printed on lines of their own."""

    default_code = "rule-set"

    def __init__(
        self,
        text: str,
        span: Span,
        hint: str,
        code: str | None = None,
        others: "tuple[RuleSetError, ...]" = (),
    ) -> None:
        super().__init__(text, span, hint, code)
        self.others = others

    def __str__(self) -> str:
        """Every complaint, a line each."""
        return "\n".join([super().__str__(), *(str(other) for other in self.others)])


class UsageError(PastecheckError):
    """The arguments."""

    default_code = "usage"

    def __str__(self) -> str:
        """Arguments have no place in a file."""
        return f"{self.span}: error[{self.code}]: {self.text} ({self.hint})"


STALE_WAIVER: Final = "stale-waiver"
EXPIRED_WAIVER: Final = "expired-waiver"
SIDE_AS_TOLD: Final = "side-as-told"

DOCUMENTATION: Final[dict[str, Documented]] = {
    NoOpeningsError.default_code: Documented(
        "the file was read, and nothing in it is an opening: it is empty, or holds only what is left out",
        "check that it is the right layer and side; where a side has no parts, name only the other one. Of a "
        "folder or archive the other layers are judged nevertheless; the exit status tells that one was not",
    ),
    RuleSetError.default_code: Documented(
        "the rule set cannot be read, or a limit of it makes no sense; each complaint has a line of its own",
        "go to the line and column that it names; pastecheck rules SET shows a rule set that is in order",
    ),
    UsageError.default_code: Documented(
        "the command, an option or an argument is not known, or is missing",
        "see pastecheck --help, or pastecheck check --help",
    ),
    "project": Documented(
        "the project file cannot be read, or there is one already where one is to be written",
        "check the path; pastecheck start writes one to begin with, and never over another",
    ),
    STALE_WAIVER: Documented(
        "a waiver of the project file is about nothing that is still found: what it excused was mended, or "
        "moved. Left there, it would hide what comes to that place later",
        "remove it from the project file; or mend what it names, if it never was about anything: names are "
        "taken letter by letter, and of a pair both components have to be named",
    ),
    EXPIRED_WAIVER: Documented(
        "the last day of a waiver of the project file is over, so its findings count again",
        "mend what it excused; or look at it anew, and write a later day",
    ),
    SIDE_AS_TOLD: Documented(
        "the name of a layer says another side than the project file, which is believed",
        "check the side: from the wrong one the stencil would be cut mirrored",
    ),
    "interrupted": Documented("somebody stopped the program before it was done", "run it again"),
    "not-proved": Documented(
        "a corrected layer, read back, is not what was meant, so it was not written",
        "openings that nearly touch may have been merged by rounding: move them apart, or trim by hand",
    ),
    "output": Documented(
        "a report cannot be written where it should go; nothing was judged for it, and no file was changed",
        "make room, check the permissions of the folder, or name another file",
    ),
}
"""Codes that are no layer file's; those of layer files stand where they are raised."""
