"""What a process ends with."""

from typing import Final

JUDGED: Final = 0
FOUND: Final = 1
NOT_JUDGED: Final = 2
