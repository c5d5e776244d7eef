"""Replace aged optical sensors and small switches: identify, find, fit, draw.

The functions are described in :mod:`xref.api`; importing the package costs nothing until one is used.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from xref._version import __version__

if TYPE_CHECKING:
    from xref.api import assess, find, fit, identify, part, workaround

__all__ = ["__version__", "assess", "find", "fit", "identify", "part", "workaround"]


def __getattr__(name: str) -> Any:
    if name in __all__:
        from xref import api

        return getattr(api, name)
    raise AttributeError(f"module 'xref' has no attribute {name!r}")
