"""`python -m tablekit`."""

import sys

from tablekit.cli import main

if __name__ == "__main__":
    sys.exit(main())
