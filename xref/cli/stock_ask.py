"""The dialogue of ``stock add``: one question at a time, one transaction at the end of each piece."""

from __future__ import annotations

import sys

from xref.cli.output import ask_line, emit, note
from xref.cli.stock_text import done_text
from xref.dialogue import Question
from xref.errors import UsageError, XrefError
from xref.tasks.stock_talk import Talk

ENDED = "the input ended before the last question: this piece was not added"


def interview(*, as_json: bool) -> None:
    """Ask for pieces until the user has no more."""
    from xref.library.store import open_library
    from xref.tasks.stock_shelf import add, boards

    library = open_library()
    note("Empty or ? where you do not know; back for the question before;\nCtrl-C stops, what was added stays.")
    again = True
    last: int | None = None
    while again:
        talk = Talk(library=library, boards={_number(line.reference): line.source for line in boards().boards})
        while True:
            _ask_all(talk, last)
            try:
                entry, new = talk.result()
                break
            except XrefError as error:
                note(f"  {error}")
                talk.back()
        answer = add([entry], new, library)
        emit(answer, done_text(answer), as_json=as_json)
        held = answer.boards[0].reference if answer.boards else answer.pieces[0].board.split(" ")[0]
        last = _number(held) if held else None
        if as_json or not sys.stdin.isatty():
            return
        again = ask_line("Another piece? [y/N] ", ENDED).strip().lower() in ("y", "yes")


def _ask_all(talk: Talk, last: int | None) -> None:
    while (question := talk.current()) is not None:
        reply = ask_line(_prompt(question, last), ENDED)
        try:
            if reply.strip().lower() == "back":
                if not talk.back():
                    note("  this is the first question")
            else:
                if question.key == "board" and reply.strip() == "=" and last is not None:
                    reply = str(last)
                remark = talk.give(reply)
                if remark:
                    note(f"  {remark}")
        except UsageError as error:
            note(f"  {error.message}")


def _prompt(question: Question, last: int | None) -> str:
    lines = [f"  {number} {choice}" for number, choice in enumerate(question.choices, 1)]
    like = f" (like {question.example})" if question.example else ""
    if question.key == "board" and last is not None:
        like += f"; = for board:{last} again"
    return "\n".join([*lines, f"{question.text}{like}: "])


def _number(reference: str) -> int:
    return int(reference.removeprefix("board:"))
