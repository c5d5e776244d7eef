"""The dialogue of ``identify``: one reading at a time; nothing is lost when it is broken off."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import typer

from xref.cli.identify_text import identify_text
from xref.cli.output import note, one_line, say, wrap
from xref.errors import UsageError

if TYPE_CHECKING:
    from xref.model.answers.identify import IdentifyAnswer
    from xref.tasks.identify import Running

HELP = (
    "Type what the meter shows: 1.08V, OL, 6.8k. Or a reading of your own: 3:4@lit=6.8k. "
    "back takes the last one back, unknown skips this one, show tells where we are, stop keeps it for --resume."
)


NUMBERS = (
    "Number the leads first. Component side up: body towards you, leads away from you. Mark one corner with a pen: "
    "that lead is 1; count on row by row, left to right, and do not turn the part over."
)
PAIRS = (
    "Do two leads come out of the same half of the body? Then stop, and start with --together 1:2,3:4: less to read."
)


def dialogue(running: Running) -> IdentifyAnswer:
    """Ask until it is settled, nothing is left to ask, or the user stops.

    The readings stay kept: who prints and saves the answer forgets them, once nothing can go wrong any more.
    """
    from xref.job.session import save_session
    from xref.tasks.identify import session_of

    said: set[str] = set()
    ask = running.ask
    if not running.bench.readings and ask.labels[0] == "1":
        note(wrap(NUMBERS))
    if not running.bench.readings and len(ask.labels) >= 4 and not ask.together:
        note(wrap(PAIRS))
    note(wrap(HELP))
    try:
        while True:
            save_session(session_of(running))
            answer = running.answer()
            if answer.settled or answer.next_reading is None:
                break
            for warning in answer.warnings:
                if warning not in said:
                    said.add(warning)
                    note(wrap(warning, first="! ", indent="  "))
            if not _one(running, answer):
                note("kept; go on with: xref identify --resume")
                raise typer.Exit(0)
    except (KeyboardInterrupt, EOFError):
        note("\nkept; go on with: xref identify --resume")
        raise typer.Exit(130) from None
    return answer


def _one(running: Running, answer: IdentifyAnswer) -> bool:
    """Ask for one reading; False when the user stops."""
    asked = answer.next_reading
    proposed = running.proposed(answer)
    if asked is None or proposed is None:
        return True
    note("")
    if answer.readings:
        note(wrap(f"so far: {answer.device}, probability {answer.probability:.2f}", indent="  "))
    note(wrap(f"{len(answer.readings) + 1}. {asked.how}"))
    doubted = ""
    while True:
        sys.stderr.write("   shows: ")
        sys.stderr.flush()
        text = input().strip()
        word = text.lower()
        if word in ("stop", "quit", "exit"):
            return False
        if word in ("", "help", "?"):
            note(wrap(HELP))
        elif word == "show":
            say(identify_text(answer, asking=True))
        elif word == "back":
            last = running.back()
            note(f"taken back: {last}" if last else "there is nothing to take back")
            return True
        elif word in ("unknown", "skip"):
            running.skip(proposed)
            return True
        else:
            try:
                doubt = running.doubt(text, proposed)
                if doubt and text != doubted:
                    doubted = text
                    note(wrap(f"{doubt}. If the meter stood on the other range, type it again."))
                    continue
                running.give(text, proposed)
            except UsageError as error:
                note(wrap(one_line(str(error))))
                continue
            return True
