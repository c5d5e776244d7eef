"""One question after the other: asks, checks, remembers, goes back. Knows no screen and no subject.

A subclass names its questions and reads what only it can; a caller shows ``current()``, hands the reply to ``give``
and may go ``back``.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, ClassVar

from xref.errors import UsageError, XrefError

Answers = dict[str, Any]
UNKNOWN = ("", "?", "unknown")


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """One question. ``choices``: the only words; ``needed``: an empty reply is no answer.

    ``when`` says from the answers so far whether it is asked; ``read`` turns a reply into the answer.
    """

    key: str
    text: str
    example: str = ""
    choices: tuple[str, ...] = ()
    needed: bool = False
    when: Callable[[Answers], bool] = lambda answers: True
    read: Callable[[str], Any] = str


@dataclass(slots=True, kw_only=True)
class Dialogue:
    """Asks ``questions`` in turn, those that the answers so far call for; None is the answer of who does not know."""

    questions: ClassVar[tuple[Question, ...]] = ()
    answers: Answers = field(default_factory=dict)
    _asked: list[int] = field(default_factory=list)
    _place: int = 0

    def current(self) -> Question | None:
        """The question to ask now; None when all are answered."""
        while self._place < len(self.questions):
            question = self.questions[self._place]
            self._before(question)
            if question.when(self.answers):
                return question
            self.answers.pop(question.key, None)
            self._place += 1
        return None

    def give(self, text: str) -> str:
        """Take a reply to the current question and go on; a remark worth showing, or ''.

        Raises:
            UsageError: the reply cannot be read; the same question stays
        """
        question = self.current()
        if question is None:
            return ""
        reply = " ".join(text.split())
        if reply.lower() not in UNKNOWN:
            self.answers[question.key] = self._read(question, reply)
        elif question.needed:
            raise UsageError(self._missing(question))
        else:
            self.answers[question.key] = None
        remark = self._after(question, reply)
        self._asked.append(self._place)
        self._place += 1
        return remark

    def back(self) -> bool:
        """Return to the question before; False at the first one."""
        if not self._asked:
            return False
        self._place = self._asked.pop()
        return True

    def _before(self, question: Question) -> None:
        """What must be in the answers before ``question`` may be asked."""

    def _after(self, question: Question, reply: str) -> str:
        """What follows from the answer just taken; a remark, or ''."""
        return ""

    def _own(self, question: Question) -> Callable[[str], Any] | None:
        """A reader that knows more than the reply; None: the question's choices or its own ``read`` will do."""
        return None

    def _missing(self, question: Question) -> str:
        """The line for an empty reply where one is needed."""
        if question.choices:
            return "this one is needed: one of " + ", ".join(question.choices)
        return "this one is needed" + (f", like {question.example}" if question.example else "")

    def _quoted(self, reply: str) -> str:
        """The reply as error lines show it."""
        return f'"{reply[:30]}"'

    def _read(self, question: Question, reply: str) -> Any:
        own = self._own(question)
        if own is None and question.choices:
            return self._choice(reply, question.choices)
        try:
            return (own or question.read)(reply)
        except XrefError as error:
            # without its ``where``: an option's name means nothing to someone who answers a question
            raise UsageError(error.message) from error

    def _choice(self, reply: str, choices: tuple[str, ...]) -> str:
        """A choice by its number, its word, or the beginning that only one has."""
        if reply.isascii() and reply.isdigit() and len(reply) < 8 and 1 <= int(reply) <= len(choices):
            return choices[int(reply) - 1]
        lowered = reply.lower()
        hits = [choice for choice in choices if choice == lowered] or [c for c in choices if c.startswith(lowered)]
        if len(hits) != 1:
            raise UsageError(f"{self._quoted(reply)} is not one of: {', '.join(choices)}")
        return hits[0]
