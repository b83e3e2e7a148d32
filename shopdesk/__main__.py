"""Runs the program: ``python -m shopdesk``."""

import sys

from shopdesk.launch import main

if __name__ == "__main__":
    sys.exit(main())
