"""Writing a file that the user asked for: never over another one unasked, whole or not at all."""

from __future__ import annotations

from pathlib import Path

from xref.errors import StorageError, UsageError


def write_new(path: str, content: str | bytes, *, force: bool, option: str = "") -> None:
    """Write ``content`` to ``path``; an existing file is kept unless ``force``.

    Args:
        path: file to write
        content: text (as UTF-8) or bytes
        force: replace a file that is there
        option: the option that named the file, for the message

    Raises:
        UsageError: the file exists
        StorageError: it cannot be written
    """
    from xref.job.file import new_file, whole_file

    try:
        if force:
            whole_file(Path(path), content)
        else:
            new_file(Path(path), content)
    except FileExistsError as error:
        raise UsageError(f"{path} exists and is kept; choose another name or add --force", option) from error
    except OSError as error:
        raise StorageError(f"cannot write: {error.strerror}", path) from error
