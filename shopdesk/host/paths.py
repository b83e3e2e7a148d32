"""Where things are on this machine."""

import os
from pathlib import Path

from platformdirs import PlatformDirs

_DIRS = PlatformDirs("shopdesk", appauthor=False)

#: Names the shop's database: a file, or a postgresql:// address. Without it the user's data folder is used.
DATABASE_VARIABLE = "SHOPDESK_DATABASE"


def data_folder() -> Path:
    """Give the folder that holds this user's shop; it is made when it is not there."""
    return _made(Path(_DIRS.user_data_dir))


def settings_folder() -> Path:
    """Give the folder that holds what belongs to this station; it is made when it is not there."""
    return _made(Path(_DIRS.user_config_dir))


def log_folder() -> Path:
    """Give the folder of the program's log; it is made when it is not there."""
    return _made(Path(_DIRS.user_log_dir))


def _made(folder: Path) -> Path:
    folder.mkdir(parents=True, exist_ok=True)
    return folder


def database_address() -> str:
    """Give the shop's database as SHOPDESK_DATABASE names it, else the file in the data folder."""
    return os.environ.get(DATABASE_VARIABLE) or str(data_folder() / "shop.db")


def demo_address() -> str:
    """Give the demo shop's own file, apart from any real shop."""
    return str(data_folder() / "demo.db")


def program_folder() -> Path:
    """Give the folder that holds resources/ and migrations/ beside the package."""
    return Path(__file__).resolve().parents[2]
