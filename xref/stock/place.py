"""Which stock: the user's own file, or the server of the shop."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

from xref import places
from xref.errors import DataError

if TYPE_CHECKING:
    from xref.stock.link import Engine

VARIABLE = "XREF_STOCK_URL"


def address() -> str:
    """The server's address from the environment, else from ``stock.toml`` of the configuration; '' for the own file.

    Raises:
        DataError: the file cannot be understood
    """
    named = os.environ.get(VARIABLE, "").strip()
    if named:
        return named
    path = places.config_dir() / "stock.toml"
    if not path.is_file():
        return ""
    import tomllib

    try:
        url = tomllib.loads(path.read_text("utf-8")).get("url", "")
    except (OSError, ValueError) as error:
        raise DataError('cannot be read; expected one line: url = "postgresql://user@host/database"', str(path)) from (
            error
        )
    if not isinstance(url, str):
        raise DataError('url is not a text; expected url = "postgresql://user@host/database"', str(path))
    return url.strip()


def begun() -> bool:
    """False where the stock in use would be the own file, and there is none: nothing need be imported to know it."""
    return bool(address()) or (places.data_dir() / "stock.sqlite").exists()


def engine() -> Engine:
    """The engine of the stock in use; a server's program parts are imported only when one is set."""
    url = address()
    if url:
        from xref.stock.postgres import ServerEngine

        return ServerEngine(url)
    from xref.stock.local import LocalEngine

    return LocalEngine(places.data_dir() / "stock.sqlite")
