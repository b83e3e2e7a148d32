"""The program's log file: what went wrong, for whoever mends it."""

import logging
from logging.handlers import RotatingFileHandler
from pathlib import Path


def start_log(folder: Path) -> Path:
    """Send the program's log to a file that never grows beyond a few megabytes; give its place."""
    file = folder / "shopdesk.log"
    handler = RotatingFileHandler(file, maxBytes=1_000_000, backupCount=3, encoding="utf-8")
    handler.setFormatter(logging.Formatter("%(asctime)s %(levelname)s %(name)s: %(message)s"))
    logging.getLogger("shopdesk").addHandler(handler)
    logging.getLogger("shopdesk").setLevel(logging.INFO)
    return file
