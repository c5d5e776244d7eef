"""The questions that put a piece on the shelf: as few as it needs, each may be taken back."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from xref.dialogue import Answers, Dialogue, Question
from xref.errors import NotFound, UsageError
from xref.model.stock import CONDITIONS, Board
from xref.stock.measured import WORDS, lead_functions, measured
from xref.tasks.stock_entry import KINDS, OUTPUTS, Entry, item_from

if TYPE_CHECKING:
    from xref.library.store import Library


def _unknown(answers: Answers) -> bool:
    return not answers.get("known")


def _senses(answers: Answers) -> bool:
    return _unknown(answers) and answers.get("kind") != "switch"


def _kind_of(answers: Answers) -> str:
    return str(answers.get("known") or answers.get("kind") or "")


def _checked(word: str) -> Callable[[str], str]:
    """A measured value that can be read; it is kept as typed."""

    def read(text: str) -> str:
        measured({word: text})
        return text

    return read


def _leads(text: str) -> str:
    if not text.isdigit():
        lead_functions(text)
    return text


def _grid(text: str) -> str:
    from xref import quantity

    quantity.parse_grid(text)
    return text


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) < 8 and int(text)):
        raise UsageError(f"{text[:20]!r} is not a number of pieces")
    return int(text)


QUESTIONS: tuple[Question, ...] = (
    Question(key="board", text="Board it is on: its number, 'new', or empty for none", example="7"),
    Question(key="source", text="From what is the new board", example="ring controller, collector 2", needed=True,
             when=lambda a: a.get("board") == "new"),
    Question(key="photo", text="Where its photo lies", when=lambda a: a.get("board") == "new"),
    Question(key="part", text="Part number as far as you can read it; empty for none"),
    Question(key="kind", text="What is it", choices=KINDS, needed=True, when=_unknown),
    Question(key="readings", text="Meter readings on the loose part, if you have them", example="1:2=1.08V 2:1=OL",
             when=_senses),
    Question(key="leads", text="Leads: how many, or what each does", example="1=A 2=K 3=C 4=E", read=_leads,
             when=lambda a: _unknown(a) and not a.get("readings")),
    Question(key="output", text="Output", choices=tuple(OUTPUTS),
             when=lambda a: _senses(a) and a.get("kind") != "emitter" and not a.get("readings")),
    Question(key="joins", text="Which leads join in which position", example="left=1:2 right=2:3",
             when=lambda a: _unknown(a) and a.get("kind") == "switch"),
    Question(key="body", text="Body by calipers", example="10.2x5.8x7mm", read=_checked("body"), when=_unknown),
    Question(key="gap", text="Slot width", example="3.1mm", read=_checked("gap"),
             when=lambda a: _unknown(a) and a.get("kind") == "slotted"),
    Question(key="grid", text="Lead grid, across x down", example="5.5x2.54mm", read=_grid, when=_unknown),
    Question(key="count", text="How many pieces", example="1", read=_count),
    Question(key="place", text="Where it lies", example="drawer 3"),
    Question(key="condition", text="Condition, empty for used", choices=CONDITIONS),
    Question(key="vf", text="Forward voltage of this piece", example="1.12V@10mA", read=_checked("vf"),
             when=lambda a: _kind_of(a) not in ("detector", "switch") and not a.get("readings")),
    Question(key="ic", text="Collector current of this piece", example="0.5mA@10mA", read=_checked("ic"),
             when=lambda a: _kind_of(a) not in ("emitter", "detector", "switch")),
    Question(key="contact", text="Contact resistance", example="0.08R", read=_checked("contact"),
             when=lambda a: _kind_of(a) == "switch"),
    Question(key="notes", text="Anything worth knowing"),
)  # fmt: skip


@dataclass(slots=True, kw_only=True)
class Talk(Dialogue):
    """The questions about a piece and the board it is on."""

    questions = QUESTIONS
    library: Library
    boards: dict[int, str]
    """Boards that are there: number to what they are from."""

    def result(self) -> tuple[Entry, Board | None]:
        """The piece, tried, and its new board if there is one.

        Raises:
            XrefError: the answers do not fit together
        """
        given = {key: value for key, value in self.answers.items() if value is not None}
        new = None
        held = None
        if given.get("board") == "new":
            held = new = Board(
                id=-1, source=given["source"], place=given.get("place", ""), photo=given.get("photo", "")
            )
        elif "board" in given:
            held = Board(id=given["board"], source="")
        entry = Entry(
            part=given.get("part", ""), kind="" if given.get("known") else given.get("kind", ""),
            count=given.get("count", 1), board=held, place="" if new is not None else given.get("place", ""),
            condition=given.get("condition", "used"), notes=given.get("notes", ""),
            output=given.get("output", ""), leads=given.get("leads", ""), joins=given.get("joins", ""),
            grid=given.get("grid", ""), readings=tuple(given.get("readings", "").split()),
            values={word: given[word] for word in WORDS if given.get(word)},
        )  # fmt: skip
        item_from(entry, self.library)
        return entry, new

    def _own(self, question: Question) -> Callable[[str], Any] | None:
        return self._board if question.key == "board" else None

    def _after(self, question: Question, reply: str) -> str:
        return self._look_up(reply) if question.key == "part" else ""

    def _missing(self, question: Question) -> str:
        return "this one is needed: " + (", ".join(question.choices) or question.example)

    def _quoted(self, reply: str) -> str:
        return repr(reply[:30])

    def _board(self, reply: str) -> int | str:
        if reply.lower() == "new":
            return "new"
        number = reply.removeprefix("board:")
        if number.isascii() and number.isdigit() and int(number[:10]) in self.boards:
            return int(number)
        some = ", ".join(f"{id} {source[:20]}" for id, source in list(self.boards.items())[-5:])
        raise UsageError(f"no board {reply[:20]!r}; there are: {some or 'none, so new or empty'}")

    def _look_up(self, reply: str) -> str:
        self.answers["known"] = None
        if not self.answers.get("part"):
            return ""
        try:
            found = self.library.get(reply)
        except NotFound:
            near = self.library.nearest(reply, 3)
            tail = f" (nearest: {', '.join(near)}; back to correct it)" if near else ""
            return f"not a known part{tail}: it is entered with what you measure"
        self.answers["known"] = found.kind
        return f"known: {found.name}, {found.kind}, {found.maker}"
