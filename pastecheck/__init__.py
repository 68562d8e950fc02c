"""pastecheck: judge a solder-paste layer before a stencil is cut."""

__version__ = "0.1.0"
