"""`python -m pastecheck`."""

import sys

from pastecheck.cli import main

if __name__ == "__main__":
    sys.exit(main())
