"""Every problem of the part files in one run: schema to the leaf, then what only makes sense together."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path

from xref.errors import DataError
from xref.library.names import canonical
from xref.library.partfile import Entry, load_pinouts, read_parts
from xref.library.paths import part_files, shipped_root, shown
from xref.library.problem import Problem
from xref.library.reader import from_error
from xref.library.rules import part_problems, pinout_problems
from xref.library.tree import read_text
from xref.model.pinout import Pinout


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """What was looked at and what is wrong in it."""

    files: int
    parts: int
    problems: tuple[Problem, ...]


def check(paths: Sequence[Path] | None = None) -> list[Problem]:
    """Everything wrong in the given part files or folders; by default the shipped data and the user's own parts."""
    return list(report(paths).problems)


def report(paths: Sequence[Path] | None = None) -> Report:
    """The same with counts.

    A folder that holds ``pinouts/`` and ``parts_db/`` is checked as a whole library: its pinouts are the ones used
    and each must be used. Otherwise the shipped pinouts serve.

    Raises:
        DataError: a path is not there
    """
    from xref.places import parts_dir

    if paths is None:
        paths = [shipped_root(), *([parts_dir()] if parts_dir().is_dir() else [])]
    files = parts = 0
    problems: list[Problem] = []
    taken: dict[str, str] = {}
    for path in paths:
        if not path.exists():
            raise DataError("no such file or folder", shown(path))
        whole = (path / "parts_db").is_dir()
        pinout_folder = (path if whole else shipped_root()) / "pinouts"
        pinouts, wrong = load_pinouts(pinout_folder)
        if whole:
            problems += wrong
            problems += pinout_problems(pinouts, shown(pinout_folder))
            files += len(part_files(pinout_folder))
        used: set[str] = set()
        own: dict[str, str] = taken if whole else {}
        for file in part_files(path / "parts_db" if whole else path) if path.is_dir() else [path]:
            files += 1
            entries, found = check_file(file, pinouts, whole)
            problems += found
            parts += len(entries)
            problems += _repeated(entries, shown(file), own)
            used |= {entry.part.geometry.pinout for entry in entries if entry.part is not None}
        if whole:
            problems += _unused(pinouts, used, pinout_folder)
    return Report(files=files, parts=parts, problems=tuple(sorted(set(problems))))


def check_file(path: Path, pinouts: Mapping[str, Pinout], shipped: bool = False) -> tuple[list[Entry], list[Problem]]:
    """The parts of one file and everything wrong in it; ``shipped``: its folder must be the kind of its parts."""
    name = shown(path)
    try:
        text = read_text(path)
    except DataError as error:
        return [], [from_error(error, name)]
    return check_text(text, name, pinouts, path.parent.name if shipped else "")


def check_text(
    text: str, name: str, pinouts: Mapping[str, Pinout], folder: str = ""
) -> tuple[list[Entry], list[Problem]]:
    """The same for a text that is not in a file yet."""
    entries, found = read_parts(text, name, pinouts)
    problems = set(found)
    for entry in entries:
        if entry.part is not None:
            problems.update(part_problems(entry.part, entry.node, name, folder))
    problems.update(_repeated(entries, name, {}))
    return entries, sorted(problems)


def _repeated(entries: Sequence[Entry], name: str, taken: dict[str, str]) -> Iterator[Problem]:
    """Names and aliases that another part has already."""
    for entry in entries:
        if entry.part is None:
            continue
        mine = f"{name}:{entry.node.line}"
        for word in (entry.part.name, *entry.part.aliases):
            where = taken.setdefault(canonical(word), mine)
            if where != mine:
                yield Problem(
                    file=name,
                    line=entry.node.line,
                    key=entry.node.path,
                    what=f'"{word}" stands already at {where}',
                    expected="expected each name and alias once",
                )


def _unused(pinouts: Mapping[str, Pinout], used: set[str], folder: Path) -> Iterator[Problem]:
    for name in sorted(set(pinouts) - used):
        yield Problem(
            file=shown(folder / f"{name}.yaml"), key="pinout", what="no part uses it", expected="expected at least one"
        )
