"""The questions that make a network file: one after the other, every answer checked, ``back`` returns to the last.

Knows no screen: a caller shows ``current()`` and hands replies to ``give``. Going back replays the replies, so a
changed answer changes the questions after it.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Generator
from dataclasses import dataclass, field

from xref import quantity
from xref.errors import UsageError
from xref.library.reader import nearest

Check = Callable[[str], str]
Script = Generator["Ask", str, list[str]]

PLAIN = re.compile(r"[A-Za-z0-9][A-Za-z0-9 ._+/-]*")
SAFETY = ("none", "lid", "laser", "gas", "guard", "heat", "mains")


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """One question. ``check`` returns the reply in its final form or raises UsageError."""

    text: str
    check: Check
    like: str = ""


@dataclass(slots=True)
class NetworkInterview:
    """Asks, remembers, goes back; ``text`` is the finished file when nothing is left to ask."""

    replies: list[str] = field(default_factory=list)
    text: str = ""
    _script: Script | None = None
    _now: Ask | None = None

    def current(self) -> Ask | None:
        """Return the question to ask now; None when all are answered."""
        if self._script is None:
            self._script = _questions()
            self._advance(None)
            for reply in self.replies:
                self._advance(reply)
        return self._now

    def give(self, reply: str) -> None:
        """Take a reply and go on.

        Raises:
            UsageError: the reply cannot be used; the same question stays
        """
        question = self.current()
        if question is not None:
            fine = question.check(" ".join(reply.split()))
            self.replies.append(fine)
            self._advance(fine)

    def back(self) -> bool:
        """Return to the question before; False at the first one."""
        if not self.replies:
            return False
        self.replies.pop()
        self._script, self.text = None, ""
        self.current()
        return True

    def _advance(self, reply: str | None) -> None:
        assert self._script is not None
        try:
            self._now = next(self._script) if reply is None else self._script.send(reply)
        except StopIteration as stop:
            self._now, self.text = None, "\n".join(stop.value) + "\n"


def _questions() -> Script:
    lines = ["format: 1"]
    machine = yield Ask(text="Name of the machine", check=_free, like="fraction collector")
    if machine:
        lines.append(f"machine: {_word(machine)}")
    modes = _split(
        (yield Ask(text="Positions of the selector, in the order it passes them", check=_list, like="inner, outer"))
    )
    nets = _split((yield Ask(text="All nets, supplies too", check=_list, like="5V, 0V, INNER, OUTER, STEP")))
    supplies = yield Ask(text="Supplies, each NET=VOLTS", check=_pairs(nets, "V"), like="5V=5V, 0V=0V")
    lines += [f"nets: {_words(nets)}", f"modes: {_words(modes)}", f"supplies: {{{_as_mapping(supplies)}}}"]
    motion = {}
    for mode in modes:
        turning = yield Ask(
            text=f"What turns in mode {mode} (empty: nothing)", check=_optional_list, like="drive, inner ring"
        )
        motion[mode] = _split(turning)
    shafts = list(dict.fromkeys(shaft for turning in motion.values() for shaft in turning))
    lines += ["motion:", *(f"  {_word(mode)}: {_words(turning)}" for mode, turning in motion.items())]
    used: list[str] = list(nets)
    sensors, level_sensors = yield from _sensors(nets, motion, shafts, used)
    lines += sensors
    lines += yield from _contacts(nets, modes, used)
    lines += yield from _resistors(nets, used)
    lines += yield from _inputs(nets, shafts, used)
    lines += yield from _faults(shafts, level_sensors)
    return lines


def _sensors(
    nets: list[str], motion: dict[str, list[str]], shafts: list[str], used: list[str]
) -> Generator[Ask, str, tuple[list[str], list[str]]]:
    lines, level = ["sensors:"], []
    while name := (
        yield Ask(text=_next("sensor", len(lines) > 1), check=_new(used, len(lines) == 1), like="inner step")
    ):
        used.append(name)
        output = yield Ask(text=f"Net of the output of {name}", check=_one_of(nets))
        state = yield Ask(text=f"Is {name} live or dead", check=_one_of(("live", "dead")))
        entry = [f"output: {_word(output)}", f"state: {state}"]
        if state == "dead":
            stays = yield Ask(
                text="Its output stays as if dark (does not conduct) or lit", check=_one_of(("dark", "lit"))
            )
            leaks = yield Ask(
                text="Resistance across the dead output, power off (empty: not measured)", check=_value("ohm")
            )
            entry += [f"stays: {stays}", *([f"leaks: {_word(leaks)}"] if leaks else [])]
        flag = yield Ask(text="What the flag or tooth does to its light: dark or lit", check=_one_of(("dark", "lit")))
        entry.append(f"flag: {flag}")
        sees = yield Ask(text=f"Which shaft {name} sees (empty: none, it shows a level)", check=_maybe(shafts))
        if sees:
            rates = []
            for mode in (mode for mode, turning in motion.items() if sees in turning):
                rate = yield Ask(text=f"Pulses in mode {mode} (empty: not known)", check=_value("Hz"), like="4Hz")
                rates.append(f"{_word(mode)}: {_word(rate) if rate else '~'}")
            entry.append(f"sees: {{{_word(sees)}: {{{', '.join(rates)}}}}}")
        else:
            level.append(name)
        entry.append(f"safety: {(yield _safety(name))}")
        lines.append(f"  {_word(name)}: {{{', '.join(entry)}}}")
    return lines, level


def _contacts(nets: list[str], modes: list[str], used: list[str]) -> Generator[Ask, str, list[str]]:
    lines = ["contacts:"]
    while name := (yield Ask(text=_next("selector contact", len(lines) > 1), check=_new(used, False), like="S1-inner")):
        used.append(name)
        joins = yield Ask(text=f"The two nets that {name} joins", check=_two(nets), like="INNER, STEP")
        closed = yield Ask(text="Closed in which modes (empty: none)", check=_some_of(modes))
        timing = yield Ask(
            text="Timing: break-before-make, make-before-break or not specified",
            check=_one_of(("break-before-make", "make-before-break", "not specified")),
        )
        safety = yield _safety(name)
        lines.append(
            f"  {_word(name)}: {{joins: {_words(_split(joins))}, closed_in: {_words(_split(closed))}, "
            f"timing: {timing}, safety: {safety}}}"
        )
    return lines if len(lines) > 1 else []


def _resistors(nets: list[str], used: list[str]) -> Generator[Ask, str, list[str]]:
    lines = ["resistors:"]
    while name := (yield Ask(text=_next("resistor", len(lines) > 1), check=_new(used, False), like="R1")):
        used.append(name)
        between = yield Ask(text=f"The two nets of {name}", check=_two(nets), like="5V, STEP")
        value = yield Ask(text=f"Value of {name}", check=_value("ohm", needed=True), like="10k")
        lines.append(f"  {_word(name)}: {{between: {_words(_split(between))}, value: {_word(value)}}}")
    return lines if len(lines) > 1 else []


def _inputs(nets: list[str], shafts: list[str], used: list[str]) -> Generator[Ask, str, list[str]]:
    lines = ["inputs:"]
    while name := (
        yield Ask(text=_next("controller input", len(lines) > 1), check=_new(used, len(lines) == 1), like="step")
    ):
        used.append(name)
        net = yield Ask(text=f"Net of input {name}", check=_one_of(nets))
        change = yield Ask(
            text="Does the controller take a constant level for a fault: yes or no", check=_one_of(("yes", "no"))
        )
        entry = [f"net: {_word(net)}", f"must_change: {change}"]
        if change == "yes":
            wait = yield Ask(text="After how long (empty: not known)", check=_value("s"), like="2.5s")
            entry += [f"time_out: {_word(wait)}"] if wait else []
        else:
            level = yield Ask(
                text="Level it needs while nothing is wrong: low or high (empty: either)", check=_maybe(("low", "high"))
            )
            entry += [f"must_read: {level}"] if level else []
        user = yield Ask(text="Does anything else learn from this signal (its name; empty: nothing)", check=_free)
        if user and shafts:
            follows = yield Ask(text=f"Which shaft does {user} follow", check=_one_of(shafts))
            entry.append(f"also: {{{_word(user)}: {{follows: {_word(follows)}}}}}")
        entry.append(f"safety: {(yield _safety(name))}")
        lines.append(f"  {_word(name)}: {{{', '.join(entry)}}}")
    return lines


def _faults(shafts: list[str], level_sensors: list[str]) -> Generator[Ask, str, list[str]]:
    lines = []
    for sensor in level_sensors:
        name = yield Ask(text=f"What does {sensor} show (a fault; empty: nothing)", check=_free, like="end reached")
        if name:
            lines.append(f"  {_word(name)}: {{shown_by: {_words([sensor])}}}")
    while name := (
        yield Ask(text="A fault that stops several shafts at once (empty: no more)", check=_free, like="drive lost")
    ):
        stops = yield Ask(text=f"Which shafts stop at '{name}'", check=_some_of(shafts, needed=True))
        lines.append(f"  {_word(name)}: {{stops: {_words(_split(stops))}}}")
    lines += [f"  {_word(shaft + ' stuck')}: {{stops: {_words([shaft])}}}" for shaft in shafts]
    return ["faults:", *dict.fromkeys(lines)] if lines else []


def _safety(name: str) -> Ask:
    return Ask(text=f"Does {name} protect anything: {', '.join(SAFETY)}", check=_one_of(SAFETY))


def _next(what: str, more: bool) -> str:
    return f"Name of {'the next' if more else 'a'} {what} (empty: no {'more' if more else what})"


def _split(text: str) -> list[str]:
    return [word.strip() for word in text.split(",") if word.strip()]


def _word(text: str) -> str:
    if PLAIN.fullmatch(text):
        return text
    return '"' + text.replace("\\", "\\\\").replace('"', '\\"') + '"'


def _words(words: list[str]) -> str:
    return "[" + ", ".join(map(_word, words)) + "]"


def _as_mapping(pairs: str) -> str:
    return ", ".join(
        f"{_word(name.strip())}: {_word(value.strip())}" for name, _, value in (p.partition("=") for p in _split(pairs))
    )


def _free(reply: str) -> str:
    if len(reply) > 60 or not reply.isprintable():
        raise UsageError("a short name, please")
    return "" if reply == "?" else reply


def _optional_list(reply: str) -> str:
    words = _split("" if reply == "?" else reply)
    if len(set(words)) < len(words):
        raise UsageError("one of them stands twice")
    return ", ".join(_free(word) for word in words)


def _list(reply: str) -> str:
    if not _split(reply) or reply == "?":
        raise UsageError("this one is needed: one or more names with commas between")
    return _optional_list(reply)


def _one_of(choices: tuple[str, ...] | list[str]) -> Check:
    def check(reply: str) -> str:
        if reply in choices:
            return reply
        near = nearest(reply, list(choices))
        expected = f'"{near}"' if near else "one of " + ", ".join(choices)
        raise UsageError(f'"{reply[:30]}" is not known: expected {expected}')

    return check


def _maybe(choices: tuple[str, ...] | list[str]) -> Check:
    return lambda reply: "" if reply in ("", "?") else _one_of(choices)(reply)


def _some_of(choices: list[str], needed: bool = False) -> Check:
    def check(reply: str) -> str:
        words = _split("" if reply == "?" else reply)
        if needed and not words:
            raise UsageError("at least one, please")
        return ", ".join(_one_of(choices)(word) for word in words)

    return check


def _two(nets: list[str]) -> Check:
    def check(reply: str) -> str:
        words = _split(_some_of(nets)(reply))
        if len(words) != 2 or words[0] == words[1]:
            raise UsageError("two different nets with a comma between, please")
        return ", ".join(words)

    return check


def _new(used: list[str], needed: bool) -> Check:
    def check(reply: str) -> str:
        if needed and reply in ("", "?"):
            raise UsageError("at least one is needed")
        if reply in used:
            raise UsageError(f'"{reply}" is taken already: another name, please')
        return _free(reply)

    return check


def _value(unit: str, needed: bool = False) -> Check:
    def check(reply: str) -> str:
        if reply in ("", "?") and not needed:
            return ""
        quantity.parse(reply, unit)
        return reply

    return check


def _pairs(nets: list[str], unit: str) -> Check:
    def check(reply: str) -> str:
        pairs = _split(reply)
        if not pairs:
            raise UsageError("this one is needed: NET=VOLTS with commas between")
        for pair in pairs:
            name, _, value = pair.partition("=")
            _one_of(nets)(name.strip())
            quantity.parse(value.strip(), unit)
        return ", ".join(pairs)

    return check
