"""Where the shipped data lies: inside the wheel, or at the top of the repository in an editable install."""

from __future__ import annotations

from pathlib import Path

PACKAGE = Path(__file__).resolve().parent.parent


def is_wheel() -> bool:
    """True when the data lies inside the package, so that its version says everything about it."""
    return (PACKAGE / "_data" / "parts_db").is_dir()


def shipped_root() -> Path:
    """The folder that holds ``parts_db/`` and ``pinouts/``."""
    return PACKAGE / "_data" if is_wheel() else PACKAGE.parent


def part_files(folder: Path) -> list[Path]:
    """Every part file below a folder, in a fixed order; an absent folder has none."""
    found = [path for path in folder.rglob("*.y*ml") if path.suffix in (".yaml", ".yml")]
    depth = len(folder.parts)
    return sorted(path for path in found if not any(piece.startswith(".") for piece in path.parts[depth:]))


def shown(path: Path | str) -> str:
    """A path for a message: relative to the working folder where it lies below it."""
    full = Path(path)
    try:
        return str(full.resolve().relative_to(Path.cwd()))
    except (ValueError, OSError):
        return str(full)
