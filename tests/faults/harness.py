"""Runs one command line in this process and says what it did: code, output, files, time. Nothing is mocked but stdin.

A hook of the interpreter sees every file that is opened to be written, every rename, every socket and every process, so
that "it only reads" is watched and not believed.
"""

from __future__ import annotations

import contextlib
import io
import os
import resource
import signal
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from types import FrameType
from typing import Any

CODES = (0, 1, 2, 3, 4, 130)
MARKS = set("\u200e\u200f\u202a\u202b\u202c\u202d\u202e\u2066\u2067\u2068\u2069")
"""Direction marks: they do not print and turn the text after them around."""

HANG_CPU_S, HANG_WALL_S = 5, 60
"""A command may use this much of the processor; the wall is wider, because others use the machine too."""

MOST_ADDRESSES = 6_000_000_000

_CHANGES = {
    "os.rename": (0, 1), "os.remove": (0,), "os.rmdir": (0,), "os.mkdir": (0,), "os.link": (1,), "os.symlink": (1,),
    "os.chmod": (0,), "os.truncate": (0,), "os.chown": (0,), "shutil.copyfile": (1,), "shutil.move": (0, 1),
    "shutil.rmtree": (0,),
}  # fmt: skip
_NEVER = ("socket.connect", "socket.bind", "socket.getaddrinfo", "urllib.Request", "subprocess.Popen", "os.system",
          "os.exec", "os.posix_spawn", "webbrowser.open", "pty.spawn")  # fmt: skip


class Hang(BaseException):
    """The command used too much time."""


@dataclass(slots=True)
class Watch:
    """What the hook saw while it was on."""

    on: bool = False
    written: set[str] = field(default_factory=set)
    forbidden: list[str] = field(default_factory=list)


_watch = Watch()


def _hook(event: str, args: tuple[Any, ...]) -> None:
    if not _watch.on:
        return
    if event == "open":
        path, mode, flags = args
        writes = (isinstance(mode, str) and set(mode) & set("wax+")) or (
            isinstance(flags, int) and flags & (os.O_WRONLY | os.O_RDWR | os.O_CREAT | os.O_TRUNC)
        )
        if writes and isinstance(path, (str, bytes, os.PathLike)):
            _watch.written.add(os.path.abspath(os.fsdecode(path)))
    elif event in _CHANGES:
        for place in _CHANGES[event]:
            if isinstance(args[place], (str, bytes, os.PathLike)):
                _watch.written.add(os.path.abspath(os.fsdecode(args[place])))
    elif event in _NEVER:
        _watch.forbidden.append(event)


_installed = False


def install() -> None:
    """Put the hook in once; it cannot be taken out again, so it has a switch."""
    global _installed
    if not _installed:
        sys.addaudithook(_hook)
        _installed = True


@dataclass(slots=True)
class Outcome:
    """What one command line did. ``raised``: what came out of main instead of a code."""

    args: Sequence[str]
    code: int | None
    out: str
    err: str
    raised: BaseException | None
    written: set[str]
    forbidden: list[str]


class Typed(io.StringIO):
    """Standard input with these lines; ``stop_at`` presses Ctrl-C at that line, ``tty`` pretends a terminal."""

    def __init__(self, text: str, *, tty: bool = False, stop_at: int = -1) -> None:
        super().__init__(text)
        self._tty, self._stop_at, self._line = tty, stop_at, 0

    def isatty(self) -> bool:
        """True where a person is thought to sit."""
        return self._tty

    def readline(self, *args: Any) -> str:
        """The next line, or Ctrl-C."""
        if self._line == self._stop_at:
            raise KeyboardInterrupt
        self._line += 1
        return super().readline(*args)


def run(args: Sequence[str], stdin: Typed | None = None) -> Outcome:
    """Run one command line in this process."""
    from xref.cli.main import main

    install()
    out, err = (io.TextIOWrapper(io.BytesIO(), encoding="utf-8", newline="\n") for _ in range(2))
    kept = sys.stdin, sys.stdout, sys.stderr
    code, raised = None, None
    _watch.written, _watch.forbidden = set(), []
    sys.stdin, sys.stdout, sys.stderr = stdin or Typed(""), out, err
    try:
        with _limit():
            _watch.on = True
            code = main(args)
    except (Exception, SystemExit, Hang) as error:
        raised = error
    finally:
        _watch.on = False
        sys.stdin, sys.stdout, sys.stderr = kept
    texts = []
    for stream in (out, err):
        stream.flush()
        texts.append(stream.buffer.getvalue().decode("utf-8"))  # type: ignore[attr-defined]
    return Outcome(list(args), code, texts[0], texts[1], raised, _watch.written, _watch.forbidden)


@contextlib.contextmanager
def _limit() -> Iterator[None]:
    def stop(number: int, frame: FrameType | None) -> None:
        raise Hang(f"more than {HANG_CPU_S} s of processor time")

    before = [signal.signal(which, stop) for which in (signal.SIGPROF, signal.SIGALRM)]
    signal.setitimer(signal.ITIMER_PROF, HANG_CPU_S)
    signal.setitimer(signal.ITIMER_REAL, HANG_WALL_S)
    # an endless file must end the command, not the machine; whoever runs next in this process gets the old limit back
    memory = resource.getrlimit(resource.RLIMIT_AS)
    resource.setrlimit(resource.RLIMIT_AS, (MOST_ADDRESSES, memory[1]))
    try:
        yield
    finally:
        resource.setrlimit(resource.RLIMIT_AS, memory)
        signal.setitimer(signal.ITIMER_PROF, 0)
        signal.setitimer(signal.ITIMER_REAL, 0)
        for which, handler in zip((signal.SIGPROF, signal.SIGALRM), before, strict=True):
            signal.signal(which, handler)


WRITERS = ("--svg", "--out", "--write", "--ask", "--backup", "--export", "--to")


def may_write(args: Sequence[str]) -> bool:
    """True when the command line asks for a file in the working folder."""
    asked = any(word.split("=")[0] in WRITERS for word in args)
    return asked or args[:1] == ["sheet"] or (args[:1] == ["stock"] and {"export", "backup", "label"} & set(args))


def faults(done: Outcome, *, home: Path, work: Path) -> list[str]:
    """What is wrong with an outcome, in words; empty when it is as it should be."""
    found = []
    if done.raised is not None:
        found.append(f"raised {type(done.raised).__name__}: {str(done.raised)[:200]}")
    elif done.code not in CODES:
        found.append(f"exit code {done.code}")
    odd = {char for char in done.out + done.err if char != "\n" and (not char.isprintable() or char in MARKS)}
    if odd:
        found.append(f"output could steer a terminal: {sorted(odd)!r}")
    if done.code in (2, 4, 130) and "xref: " not in done.err and "--resume" not in done.err:
        found.append(f"exit {done.code} without a line that says why")
    if done.code is not None and not (done.out or done.err):
        found.append("said nothing")
    allowed = [str(home), *([str(work)] if may_write(done.args) else [])]
    # Python keeps its own compiled modules beside the program at the first import
    written = [path for path in done.written if path != "/dev/null" and "/__pycache__/" not in path]
    strange = [path for path in written if not _below(path, allowed)]
    if strange:
        found.append(f"wrote {strange}")
    if done.forbidden:
        found.append(f"did {done.forbidden}")
    return found


def _below(path: str, folders: list[str]) -> bool:
    return any(path == folder or path.startswith(folder + os.sep) for folder in folders)
