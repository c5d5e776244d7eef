"""Replace aged optical sensors and small switches: identify, find, fit, draw."""

from xref._version import __version__

__all__ = ["__version__"]
