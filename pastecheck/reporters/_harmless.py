"""Text from a file, made safe to show: nothing left in it that a terminal or a reader's eye would obey."""


def harmless(text: str) -> str:
    r"""
    The text with everything escaped that does not print.

    That is control and escape characters, characters that turn the direction of writing or have no width,
    line ends and stray halves of surrogate pairs.

    Example:
        >>> print(harmless("U1\x1b[31m \u202eR\n"))
        U1\x1b[31m \u202eR\n
    """
    if text.isprintable():
        return text
    return "".join(c if c.isprintable() else c.encode("unicode_escape").decode("ascii") for c in text)
