"""Builds the index of the shipped parts into the wheel, so that the first start is as fast as the next.

Without pydantic or YAML at hand the wheel is built without it; then the first start builds the index in the cache.
"""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

from hatchling.builders.hooks.plugin.interface import BuildHookInterface


class IndexHook(BuildHookInterface):
    """Adds ``xref/_data/index.sqlite`` to a wheel; an editable install watches the files instead."""

    def initialize(self, version: str, build_data: dict[str, Any]) -> None:
        """Called by hatchling before a build."""
        if self.target_name != "wheel" or version == "editable":
            return
        sys.path.insert(0, self.root)
        try:
            from xref.library.index import pack

            path = Path(self.directory) / "index.sqlite"
            pack(path)
        except ImportError as error:
            self.app.display_warning(f"no index in this wheel: {error}")
            return
        build_data["force_include"][str(path)] = "xref/_data/index.sqlite"

    def finalize(self, version: str, build_data: dict[str, Any], artifact_path: str) -> None:
        """Called by hatchling after a build: the index lies in the wheel, not beside it."""
        (Path(self.directory) / "index.sqlite").unlink(missing_ok=True)
