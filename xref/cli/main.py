"""The front door: finds the command that was asked for, runs it, and turns every error into one line.

Only the asked command's module is imported, because building all of them costs more than most answers.
"""

from __future__ import annotations

import contextlib
import os
import sys
from collections.abc import Sequence
from typing import TYPE_CHECKING

from xref._version import __version__
from xref.errors import UsageError, XrefError

if TYPE_CHECKING:
    # 50 ms: the list of commands and the version do without
    import typer

COMMANDS = {
    "identify": "which lead is which, from meter readings on the loose part",
    "meter": "save what your multimeter does, once",
    "expect": "what to read at each point of this board, before measuring",
    "assess": "which half is to blame, from readings in the running machine",
    "find": "which part can stand in, or which part is this",
    "fit": "how a donor goes in: leads, wires, cuts, values, proof",
    "part": "everything known of a part; add, check and list parts",
    "switch": "find and wire small switches by what joins when",
    "workaround": "make do with what still works, and know the price",
    "stock": "salvaged boards and what is left on them",
    "sheet": "the job on paper",
    "log": "what was measured after the repair, and earlier jobs",
    "demo": "the whole job once, on the fraction collector",
    "help": "plain pages: measuring, views, resistors, safety",
}
"""Command name to one line of help. The module is ``xref.cli.<name>_cmd`` with a ``register(app)``."""


def build(only: str | None = None) -> typer.Typer:
    """Make the command line with all commands, or with ``only`` that one."""
    import importlib

    import typer

    def options(version: bool = typer.Option(False, "--version", help="Show the version and stop.")) -> None:
        """Options of xref itself; the version is answered before anything is imported."""

    app = typer.Typer(
        name="xref",
        help="Replace aged optical sensors and small switches: identify, find a stand-in, solve its wiring, draw it.",
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 80},
    )
    app.callback()(options)
    for name in [only] if only else COMMANDS:
        module = importlib.import_module(f"xref.cli.{name}_cmd")
        module.register(app)
    return app


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command line and return its exit code (0 answer, 1 none, 2 usage, 3 data, 4 refused)."""
    args = list(sys.argv[1:] if argv is None else argv)
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")
    asked = next((word for word in args if not word.startswith("-")), "")
    completing = "_XREF_COMPLETE" in os.environ
    try:
        if not completing and (not args or args[0] in ("-h", "--help", "--version")):
            sys.stdout.write(f"xref {__version__}\n" if args[:1] == ["--version"] else _help())
            sys.stdout.flush()
            return 0
        if asked and asked not in COMMANDS and not completing:
            raise UsageError(f"no command {asked!r}{_nearest(asked)}")
        # without a command only options of xref itself can follow; any one command makes a group of it
        only = _begun() if completing else asked or "help"
        app = build(only)
        if completing:
            from xref.cli.complete import attach

            attach(app)
        from typer.main import get_command

        command = get_command(app)
        if completing:
            command.main(args=args, prog_name="xref")
        result = command.main(args=args, prog_name="xref", standalone_mode=False)
        sys.stdout.flush()
        if result == 130:
            # typer turns Ctrl-C into this number and says nothing
            raise KeyboardInterrupt
    except XrefError as error:
        return _report(error.kind, error.message, error.where, error.exit_code, args)
    except (KeyboardInterrupt, EOFError):
        return _report("stopped", "stopped; nothing was changed that was not confirmed", "", 130, args)
    except (BrokenPipeError, SystemExit):
        if completing:
            raise
        # the reader (head, less) has seen enough, which typer tells by leaving; a second flush must not complain
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except RecursionError:
        return _report("data", "the input is nested too deeply", "", 3, args)
    except MemoryError:
        return _report("data", "not enough memory for this input", "", 3, args)
    except Exception as error:
        return _usage_error(error, args)
    finally:
        _show_remarks()
    return result if isinstance(result, int) else 0


def _begun() -> str | None:
    """While completing: the command that the line names already, so that only that one is built."""
    words = (os.environ.get("COMP_WORDS") or os.environ.get("_TYPER_COMPLETE_ARGS") or "").split()
    return words[1] if len(words) > 1 and words[1] in COMMANDS and words[-1] != words[1] else None


def _help() -> str:
    """The list of commands, made from the table above, so that it costs no import."""
    lines = [
        "Usage: xref COMMAND [OPTIONS]",
        "",
        "Replace aged optical sensors and small switches: identify, find a stand-in,",
        "solve its wiring, draw it. Every command has --help with an example.",
        "",
        *(f"  {name:11} {what}" for name, what in COMMANDS.items()),
        "",
        "  --version, --install-completion, --show-completion, --help",
        "",
        "Start: xref help start, or see the whole job once: xref demo",
    ]
    return "\n".join(lines) + "\n"


def _nearest(word: str) -> str:
    import difflib

    near = difflib.get_close_matches(word, list(COMMANDS), 1)
    return f"; nearest: {near[0]}" if near else f"; commands: {', '.join(COMMANDS)}"


def _show_remarks() -> None:
    """What the library (own files with mistakes, an index not kept) and a job file have to say, once, on stderr."""
    for name in ("xref.library.store", "xref.job.remarks"):
        module = sys.modules.get(name)
        if module is not None and module.remarks:
            from xref.cli.output import note, one_line

            while module.remarks:
                note(f"xref: note: {one_line(module.remarks.pop())}")


def _usage_error(error: Exception, args: list[str]) -> int:
    """One line for a wrong command line; anything that is not one is a fault of ours and goes on."""
    import typer

    # typer keeps its parser private and moved it between versions; BadParameter is public and names its bases
    usage, parser = typer.BadParameter.__mro__[1:3]
    if isinstance(error, typer.Abort):
        return _report("stopped", "stopped; nothing was changed that was not confirmed", "", 130, args)
    if type(error).__name__ == "NoArgsIsHelpError" and isinstance(error, usage):
        # a group without a sub-command is asked what it can do, like xref alone
        sys.stdout.write(str(error).rstrip("\n") + "\n")
        return 0
    if isinstance(error, parser):
        message = str(getattr(error, "format_message", lambda: error)()).rstrip(".")
        context = getattr(error, "ctx", None) if isinstance(error, usage) else None
        command = context.command_path if context is not None else "xref"
        return _report("usage", message, command.removeprefix("xref").strip(), 2, args, hint=f"{command} --help")
    if isinstance(error, OSError):
        return _report("storage", error.strerror or str(error), str(error.filename or ""), 3, args)
    raise error


def _report(kind: str, message: str, where: str, code: int, args: list[str], hint: str = "") -> int:
    from xref.cli.output import one_line, print_error

    tail = f" (see {hint})" if hint else ""
    print_error(kind, one_line(message) + tail, one_line(where), as_json="--json" in args)
    return code


def run() -> None:
    """Entry point of the ``xref`` program."""
    import gc

    # a process that answers once makes little garbage: looking for it during the imports costs a tenth of a search
    gc.set_threshold(50_000, 20, 100)
    # nothing here multiplies matrices; the threads that numpy's library starts cost more than its import
    os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
    for name, mode in (("stdin", "r"), ("stdout", "w"), ("stderr", "w")):
        if getattr(sys, name) is None:
            # started with that stream closed (>&-)
            setattr(sys, name, open(os.devnull, mode, encoding="utf-8"))  # noqa: SIM115
    try:
        code = main()
    except KeyboardInterrupt:
        code = 130
    for stream in (sys.stdout, sys.stderr):
        with contextlib.suppress(OSError, ValueError):
            stream.flush()
    # taking every module apart before the process ends costs an eighth of a search; all files are closed by now
    os._exit(code)
