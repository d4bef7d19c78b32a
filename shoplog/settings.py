"""Where things are kept, and how a person says otherwise."""

from __future__ import annotations

import os
from pathlib import Path

#: Environment variables: the database file, and the folder that replaces the per-user data folder.
DATABASE_VARIABLE = "SHOPLOG_DB"
HOME_VARIABLE = "SHOPLOG_HOME"


def data_folder() -> Path:
    """The per-user folder for the database and for weights that the user put there."""
    if home := os.environ.get(HOME_VARIABLE):
        return Path(home)
    import platformdirs

    return Path(platformdirs.user_data_dir("shoplog", appauthor=False))


def cache_folder() -> Path:
    """The per-user folder for what can be made again, such as joined weights."""
    if home := os.environ.get(HOME_VARIABLE):
        return Path(home) / "cache"
    import platformdirs

    return Path(platformdirs.user_cache_dir("shoplog", appauthor=False))


def config_folder() -> Path:
    """The per-user folder for the maker's own templates and checklist points."""
    if home := os.environ.get(HOME_VARIABLE):
        return Path(home) / "config"
    import platformdirs

    return Path(platformdirs.user_config_dir("shoplog", appauthor=False))


def database_path(given: str | os.PathLike[str] | None = None) -> Path:
    """The database: the given path, else the environment variable, else ``shoplog.db`` in the data folder."""
    if given:
        return Path(given)
    if variable := os.environ.get(DATABASE_VARIABLE):
        return Path(variable)
    return data_folder() / "shoplog.db"
