"""``xref workaround --ask``: puts the questions on the screen and writes the finished network file."""

from __future__ import annotations

from pathlib import Path

from xref.errors import DataError, UsageError


def ask_and_write(file: str) -> None:
    """Ask for a network and write it to ``file``; ``back`` returns to the question before.

    Raises:
        UsageError: the file exists, or the input ended before the last question
        StorageError: it cannot be written
    """
    from xref.cli.files import write_new
    from xref.cli.output import ask_line, note
    from xref.job.network_ask import NetworkInterview
    from xref.job.network_file import network_from_text

    if Path(file).exists():
        raise UsageError(f"{file} exists and is kept: choose another name, or leave out --ask", "--ask")
    note("Commas between names; empty or ? where you do not know;\nback for the question before; Ctrl-C stops.")
    talk = NetworkInterview()
    while True:
        while (question := talk.current()) is not None:
            reply = ask_line(f"{question.text}{f' (like {question.like})' if question.like else ''}: ")
            try:
                if reply.strip().lower() != "back":
                    talk.give(reply)
                elif not talk.back():
                    note("  this is the first question")
            except UsageError as error:
                note(f"  {error}")
        try:
            network_from_text(talk.text, file)
            break
        except DataError as error:
            note(f"  {error}; type back to correct")
            talk.back()
    write_new(file, talk.text, force=False)
    note(f"written to {file}")
