"""Writing a file that the user asked for: never over another one unasked, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from xref.errors import StorageError, UsageError


def write_new(path: str, text: str | bytes, *, force: bool) -> None:
    """Write ``text`` to ``path``; an existing file is kept unless ``force``.

    Raises:
        UsageError: the file exists
        StorageError: it cannot be written
    """
    import os
    import tempfile

    target = Path(path)
    if target.exists() and not force:
        raise UsageError(f"{path} exists and is kept; choose another name or add --force", "--svg")
    data = text.encode("utf-8") if isinstance(text, str) else text
    try:
        handle, name = tempfile.mkstemp(dir=target.parent or Path(), prefix=f".{target.name}.")
        with os.fdopen(handle, "wb") as out:
            out.write(data)
            out.flush()
            os.fsync(out.fileno())
        os.chmod(name, 0o644)
        os.replace(name, target)
    except OSError as error:
        raise StorageError(f"cannot write: {error.strerror}", path) from error
