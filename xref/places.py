"""Where the user's things lie: data, configuration, cache, own parts. ``XREF_HOME`` overrides all of them.

On Linux the folders are those of the XDG base directory specification, worked out here: importing platformdirs for
it would cost a search more time than reading the index. Elsewhere platformdirs knows.
"""

from __future__ import annotations

import os
import sys
from pathlib import Path

APP = "xref"


def home() -> Path | None:
    """The folder named by ``XREF_HOME``, or None."""
    named = os.environ.get("XREF_HOME", "")
    return Path(named).expanduser() if named else None


def data_dir() -> Path:
    """What the user makes: stock, saved sessions, own parts."""
    return home() or _xdg("XDG_DATA_HOME", ".local/share") or _elsewhere("data")


def config_dir() -> Path:
    """What the user sets once."""
    return home() or _xdg("XDG_CONFIG_HOME", ".config") or _elsewhere("config")


def cache_dir() -> Path:
    """What may be deleted at any time."""
    own = home()
    return own / "cache" if own else _xdg("XDG_CACHE_HOME", ".cache") or _elsewhere("cache")


def parts_dir() -> Path:
    """The user's own part files."""
    return data_dir() / "parts"


def meter_file() -> Path:
    """The user's multimeter, as ``xref meter`` saved it."""
    return config_dir() / "meter.json"


def _xdg(variable: str, default: str) -> Path | None:
    if not sys.platform.startswith("linux"):
        return None
    named = os.environ.get(variable, "")
    if os.path.isabs(named):
        return Path(named) / APP
    try:
        return Path.home() / default / APP
    except RuntimeError:
        # no HOME and no entry for this user: nothing is kept, and whoever writes there is told so
        return Path("/nonexistent") / APP


def _elsewhere(which: str) -> Path:
    import platformdirs

    folders = {
        "data": platformdirs.user_data_path,
        "config": platformdirs.user_config_path,
        "cache": platformdirs.user_cache_path,
    }
    return folders[which](APP, appauthor=False)
