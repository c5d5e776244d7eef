"""The questions that make a new part: only what matters for its kind, each answer as people type it."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from typing import Any

from xref import quantity
from xref.dialogue import Answers, Dialogue, Question
from xref.errors import QuantityError, UsageError

RECEIVES = ("reflective", "slotted", "pair", "detector")
SENDS = ("reflective", "slotted", "pair", "emitter")
OUTPUTS = (
    "phototransistor", "photodarlington", "photodiode", "logic-open-collector", "logic-totem-pole", "logic-pull-up",
    "logic-unspecified",
)  # fmt: skip
ACTIONS = ("slide", "snap-action", "leaf", "tactile", "push", "reed", "rotary", "detector", "toggle", "dip")


def _kind(*kinds: str) -> Callable[[Answers], bool]:
    return lambda answers: answers.get("kind") in kinds


def _logic(answers: Answers) -> bool:
    return str(answers.get("output") or "").startswith("logic")


def _transistor(answers: Answers) -> bool:
    return answers.get("output") in ("phototransistor", "photodarlington")


def _unit(unit: str) -> Callable[[str], float]:
    return lambda text: quantity.parse(text, unit)


def _span(text: str) -> tuple[float, float]:
    return quantity.parse_range(text, "V")


def _with_current(unit: str) -> Callable[[str], quantity.Reading]:
    def read(text: str) -> quantity.Reading:
        reading = quantity.parse_at(text, unit)
        if reading.current is None:
            raise QuantityError(f'"{text[:30]}" lacks the emitter current: add it, like @20mA')
        return reading

    return read


def _whole(text: str) -> int:
    number = quantity.whole(text, 1, 64)
    if number is None:
        raise QuantityError(f'"{text[:30]}" is not a number of leads: expected 2 to 64')
    return number


def _words(text: str) -> list[str]:
    return text.replace(",", " ").split()


def read_table(text: str) -> dict[str, list[list[str]]]:
    """A contact table: ``left=1:2,4:5 right=2:3,5:6``, a position without joins as ``off=``.

    Raises:
        QuantityError: a position without '=' or twice, a join of fewer than two leads
    """
    table: dict[str, list[list[str]]] = {}
    for piece in text.split():
        position, equals, joins = piece.partition("=")
        if not equals or not position or position in table:
            raise QuantityError(f'"{piece[:30]}" is not a position of its own: expected one like left=1:2,4:5')
        groups = [group.split(":") for group in joins.split(",") if group]
        if any(len(group) < 2 or "" in group for group in groups):
            raise QuantityError(f'"{piece[:30]}": a join names two leads or more, like 1:2')
        table[position] = groups
    return table


QUESTIONS: tuple[Question, ...] = (
    Question(key="name", text="Part number as printed", example="ABC123", needed=True),
    Question(
        key="kind", text="What is it", needed=True,
        choices=("reflective", "slotted", "pair", "emitter", "detector", "switch"),
    ),
    Question(key="maker", text="Maker"),
    Question(key="title", text="Title of its data sheet; leave empty if you measured it yourself"),
    Question(key="document", text="Document number of the sheet", when=lambda a: bool(a.get("title"))),
    Question(key="revision", text="Revision of the sheet", when=lambda a: bool(a.get("title"))),
    Question(key="date", text="Date of the sheet", example="2009-08-17", when=lambda a: bool(a.get("title"))),
    Question(key="output", text="Output", choices=OUTPUTS, when=_kind(*RECEIVES)),
    Question(key="logic", text="Output when light arrives", choices=("high-when-lit", "low-when-lit"), when=_logic),
    Question(key="if_max", text="Largest emitter current", example="50mA", read=_unit("A"), when=_kind(*SENDS)),
    Question(key="vf", text="Forward voltage and its current", example="1.2V@20mA", read=_with_current("V"),
             when=_kind(*SENDS)),
    Question(key="wavelength", text="Wavelength in nm", example="940", read=_unit("1"), when=_kind("emitter")),
    Question(key="ic", text="Collector current at an emitter current", example="0.5mA@10mA",
             read=_with_current("A"), when=lambda a: _transistor(a) and a["kind"] in ("reflective", "slotted", "pair")),
    Question(key="ic_vce", text="At which collector voltage", example="5V", read=_unit("V"),
             when=lambda a: a.get("ic") is not None),
    Question(key="ic_distance", text="At which distance", example="3mm", read=_unit("mm"),
             when=lambda a: a.get("ic") is not None and a["kind"] == "reflective"),
    Question(key="ic_target", text="On which target", example="white card",
             when=lambda a: a.get("ic") is not None and a["kind"] == "reflective"),
    Question(key="peak", text="Distance of the strongest signal", example="2.5mm", read=_unit("mm"),
             when=_kind("reflective")),
    Question(key="vcc", text="Supply range of the output", example="4.5..16V", read=_span, when=_logic),
    Question(key="ift", text="Largest emitter current needed to switch", example="10mA", read=_unit("A"), when=_logic),
    Question(key="vceo", text="Largest collector voltage", example="30V", read=_unit("V"), when=_transistor),
    Question(key="gap", text="Width of the slot", example="3.1mm", read=_unit("mm"), when=_kind("slotted")),
    Question(key="size", text="Body: length x width x height", example="10.2x5.8x7mm", read=quantity.parse_size),
    Question(key="action", text="How it is worked", choices=ACTIONS, needed=True, when=_kind("switch")),
    Question(key="table", text="Which leads join in which position", example="left=1:2,4:5 right=2:3,5:6",
             read=read_table, when=_kind("switch")),
    Question(key="timing", text="On the way between positions (make before break is shorting)",
             choices=("shorting", "non-shorting"), when=_kind("switch")),
    Question(key="rating_v", text="Rated voltage", example="30V", read=_unit("V"), when=_kind("switch")),
    Question(key="rating_a", text="Rated current", example="0.1A", read=_unit("A"), when=_kind("switch")),
    Question(key="lead_count", text="Number of leads", example="4", read=_whole),
    Question(key="grid", text="Lead grid, across x down, centre to centre", example="5.5x2.54mm",
             read=quantity.parse_grid),
    Question(key="pinout", text="Which of these arrangements is it", when=lambda a: bool(a.get("offers"))),
    Question(key="map", text="Its leads row by row, left to right, / between rows, . for a free place",
             example="A C / K E", when=lambda a: a.get("grid") is not None and not a.get("pinout")),
    Question(key="seen_from", text="Seen from", choices=("component", "solder"), needed=True,
             when=lambda a: bool(a.get("map"))),
    Question(key="labels", text="Lead labels in that order; leave empty for the functions", example="1 2 3 4",
             read=_words, when=lambda a: bool(a.get("pinout") or (a.get("map") and a["kind"] != "switch"))),
    Question(key="notes", text="Anything else worth knowing"),
)  # fmt: skip


@dataclass(slots=True, kw_only=True)
class Interview(Dialogue):
    """The questions about a part. ``offer`` names the arrangements that suit the answers so far."""

    questions = QUESTIONS
    offer: Callable[[Answers], list[str]]

    def _before(self, question: Question) -> None:
        if question.key == "pinout":
            self.answers["offers"] = self.offer(self.answers)

    def _own(self, question: Question) -> Callable[[str], Any] | None:
        return self._arrangement if question.key == "pinout" else None

    def _arrangement(self, reply: str) -> str | None:
        offers = self.answers["offers"]
        if reply == "0":
            return None
        number = quantity.whole(reply, 1, len(offers))
        if number is not None:
            chosen: str = offers[number - 1]
            return chosen
        raise UsageError(f'"{reply[:30]}" is not one of them: expected 1 to {len(offers)}, or 0 for none')
