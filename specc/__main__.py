"""`python -m specc` is the command `specc`."""

from __future__ import annotations

import sys

from specc.cli import main

if __name__ == "__main__":
    sys.exit(main())
