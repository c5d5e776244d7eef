"""Which lead is which: joins the bench, the user's meter, job files and the user's parts."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING

from xref.bench.meters import PRINTED, check_meter, meter_model
from xref.bench.readings import Reading, check_supply, parse_reading, show_reading, with_value
from xref.errors import UsageError
from xref.model.answers.identify import IdentifyAnswer, MeterAnswer, PrintedFigures
from xref.model.job import Job, Meter

if TYPE_CHECKING:
    from xref.bench.identify import Identifier
    from xref.job.session import IdentifySession

OUTPUTS = {"phototransistor": "transistor", "photodarlington": "darlington", "photodiode": "diode"}
"""Detector in a device's name to the word of ``find --output``; logic is logic."""
LISTED = 5
"""So many further hypotheses an answer names at least, likeliest first, when there are so many."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What an identification starts from."""

    labels: tuple[str, ...]
    meter: Meter = field(default_factory=Meter)
    settle: float = 0.99
    together: tuple[tuple[str, str], ...] = ()
    supply: bool = True


def ask_from(leads: str, labels: str = "", together: str = "", settle: str = "", meter: Meter | None = None,
             *, supply: bool = True, job: Job | None = None) -> Ask:  # fmt: skip
    """Check what was typed.

    Raises:
        UsageError: a number of leads, a label, a pair or a probability that cannot be
    """
    names = tuple(word.strip() for word in labels.split(",")) if labels else ()
    if not leads and not names and job is not None and job.site is not None:
        pads = job.site.pads
        names = tuple(word for word in pads.map.replace("/", " ").split() if word != ".") or tuple(pads.at)
        if any(not parsed_leads(text) <= set(names) for text in job.readings.loose):
            # the pads of the board are named by function, the leads of the loose part by number
            names = tuple(str(number) for number in range(1, len(names) + 1))
    if not leads and not names:
        raise UsageError("say how many leads the part has: --leads 4")
    if leads and (not leads.isascii() or not leads.isdigit() or not 2 <= int(leads[:3]) <= 8):
        raise UsageError(f"{leads[:12]!r} is not a whole number from 2 to 8", "--leads")
    if names and leads and len(names) != int(leads):
        raise UsageError(f"{len(names)} labels for {leads} leads", "--labels")
    if len(set(names)) != len(names):
        raise UsageError("a label stands twice", "--labels")
    names = names or tuple(str(number) for number in range(1, int(leads) + 1))
    pairs = []
    for word in together.split(",") if together else []:
        one, colon, other = word.strip().partition(":")
        if not colon or one not in names or other not in names or one == other:
            raise UsageError(f"{word[:20]!r} is not a pair of leads: expected like 1:2,3:4", "--together")
        pairs.append((one, other))
    level = 0.99
    if settle:
        from xref import quantity

        level = quantity.parse(settle, "1")
        if not 0.5 <= level <= 0.9999:
            raise UsageError(f"{settle[:12]} is not a probability from 0.5 to 0.9999", "--settle")
    return Ask(labels=names, meter=meter or Meter(), settle=level, together=tuple(pairs), supply=supply)


def parsed_leads(text: str) -> set[str]:
    """The two leads that a reading names.

    Raises:
        UsageError: it cannot be read
    """
    reading = parse_reading(text)
    return {reading.red, reading.black}


def meter_for(typed: Meter, job: Job | None = None) -> Meter:
    """The meter to reckon with: typed before job before the saved one; unknown figures stay unknown.

    Raises:
        UsageError: a figure that no multimeter has
        DataError: the saved meter cannot be read
    """
    from xref.job.session import load_meter

    found = typed
    for other in (job.meter if job is not None else None, load_meter()):
        if other is not None:
            found = Meter(
                diode=found.diode if found.diode is not None else other.diode,
                open=found.open if found.open is not None else other.open,
                overload=found.overload if found.overload is not None else other.overload,
                ohms_red=found.ohms_red if found.ohms_red != "unknown" else other.ohms_red,
            )
    check_meter(found)
    return found


class Running:
    """An identification in progress: takes readings, takes them back, answers."""

    def __init__(self, ask: Ask, readings: Sequence[str] = (), skipped: Sequence[str] = ()) -> None:
        """Start, or take up again.

        Raises:
            UsageError: a reading that cannot be read, names an unknown lead, or would harm the part
        """
        self.ask = ask
        parsed = [parse_reading(text, ask.labels) for text in readings]
        self._switch = any(reading.position for reading in parsed)
        self.bench = self._new()
        self.skipped: list[Reading] = [_skipped(text, ask.labels) for text in skipped]
        # small series resistors come last, because what is known of the emitter decides whether they are safe
        for reading in sorted(parsed, key=lambda item: -(item.series or 1e12)):
            self.add(reading)

    def _new(self) -> Identifier:
        from xref.bench.identify import Identifier

        ask = self.ask
        return Identifier(ask.labels, meter_model(ask.meter), switch=self._switch, together=ask.together)

    def add(self, reading: Reading) -> None:
        """Take a reading.

        Raises:
            UsageError: a supply that would harm the part
        """
        if reading.supply is not None:
            check_supply(reading, emitter_known=self._emitter_known(reading))
        if reading.position and not self._switch:
            kept = self.bench.readings
            self._switch = True
            self.bench = self._new()
            self.bench.add_all(kept)
        self.bench.add(reading)

    def give(self, text: str, proposed: Reading | None) -> Reading:
        """Take what was typed: a value for the proposed reading, or a whole reading."""
        if "=" in text or proposed is None:
            reading = parse_reading(text, self.ask.labels)
        else:
            reading = with_value(proposed, text)
        self.add(reading)
        return reading

    def doubt(self, text: str, proposed: Reading | None) -> str:
        """Why a typed value may belong to another range of the meter than was asked for; empty: no doubt.

        Raises:
            UsageError: it cannot be read
        """
        if "=" in text or proposed is None or proposed.supply is not None:
            return ""
        typed = with_value(proposed, text)
        if not typed.value or typed.mode == proposed.mode:
            return ""
        if typed.mode == "ohms":
            return f"{text.strip()} is ohms, but the diode test was asked for and shows volts, like 1.08V or OL"
        return f"{text.strip()} is volts, but the ohms range was asked for, like 6.8k or OL"

    def back(self) -> str:
        """Forget the last reading; what it was, or empty."""
        last = self.bench.back()
        return "" if last is None else show_reading(last)

    def skip(self, reading: Reading) -> None:
        """A reading that cannot be taken; it is not asked for again."""
        self.skipped.append(reading)

    def answer(self) -> IdentifyAnswer:
        """The answer so far."""
        from xref.bench.identify_answer import answer_for
        from xref.bench.next_reading import key

        skip = frozenset(key(reading) for reading in self.skipped)
        answer = answer_for(self.bench, settle=self.ask.settle, skip=skip, supply=self.ask.supply)
        return replace(answer, next_command=next_command(answer))

    def proposed(self, answer: IdentifyAnswer) -> Reading | None:
        """The reading behind an answer's next reading."""
        asked = answer.next_reading
        if asked is None:
            return None
        return Reading(red=asked.red, black=asked.black, mode=asked.mode, light=asked.light, supply=asked.supply_v,
                       series=asked.series_ohm)  # fmt: skip

    def _emitter_known(self, reading: Reading) -> bool:
        red, black = self.bench.number[reading.red], self.bench.number[reading.black]
        probability, _ = self.bench.posterior()
        known = 0.0
        for item, chance in zip(self.bench.space.all, probability, strict=True):
            functions = item.functions
            if "A" in functions[red].split("+") and "K" in functions[black].split("+"):
                known += float(chance)
        return known >= 0.99


def _skipped(text: str, labels: Sequence[str]) -> Reading:
    """A reading that could not be taken, as a session keeps it: where, and the range after ``#``."""
    where, _, mode = text.partition("#")
    return replace(parse_reading(where + "=0V", labels), mode=mode, text="")


def identify(readings: Sequence[str], ask: Ask) -> IdentifyAnswer:
    """What a part is, from readings as typed.

    Args:
        readings: RED:BLACK[@STATE]=VALUE
        ask: leads, meter, level

    Raises:
        UsageError: a reading that cannot be read, names an unknown lead, or would harm the part
    """
    return Running(ask, readings).answer()


def next_command(answer: IdentifyAnswer) -> str:
    """What to type next, once it is settled."""
    if not answer.settled or answer.device in ("short", "resistor", "switch", "changeover switch"):
        return ""
    words = ["xref find --same"]
    if answer.device == "emitter":
        words.append("--kind emitter")
    if answer.vf_v is not None:
        words.append(f"--vf {answer.vf_v:.3g}V" + (f"@{answer.vf_at}" if answer.vf_at else ""))
    output = "logic" if "logic" in answer.device else next((o for d, o in OUTPUTS.items() if d in answer.device), "")
    if output and " or " not in answer.device:
        words.append(f"--output {output}")
    words.append(f"--leads {len(answer.leads)}")
    return " ".join(words) if len(words) > 2 else ""


def leads_agreed(answer: IdentifyAnswer) -> bool:
    """True when every hypothesis above one in a hundred gives the leads the same functions."""
    from xref.tasks.identify_part import LIKELY

    others = [item for item in answer.alternatives if item.probability > LIKELY]
    if "unknown" in answer.leads.values() or sum(not item.same for item in others) >= LISTED:
        return False
    return all(item.leads == answer.leads for item in others)


def save_part(answer: IdentifyAnswer, name: str, *, kind: str = "", grid: tuple[float, float] | None = None,
              lead_map: str = "", seen_from: str = "component", notes: str = "") -> str:  # fmt: skip
    """Write the settled part into the user's parts folder; returns the path.

    Raises:
        UsageError: neither settled nor agreed on the leads, or nothing that the library holds
        DataError: the name is taken, or the file would be wrong
        StorageError: the folder cannot be written
    """
    if not (answer.settled or leads_agreed(answer)):
        step = answer.next_reading
        how = f"; next reading: {step.how}" if step is not None else ""
        raise UsageError(f"not settled: a part is saved once its leads are known{how}", "--save")
    from xref.library import newpart
    from xref.library.store import open_library
    from xref.places import parts_dir
    from xref.tasks.identify_part import part_text
    from xref.tasks.part import pinouts, taken_names

    text = part_text(answer, name, kind=kind, grid=grid, lead_map=lead_map, seen_from=seen_from, notes=notes)
    shipped, own = taken_names(open_library())
    ready = newpart.draft(text, parts_dir(), pinouts(), name="the new part", stem=name, shipped=shipped, own=own)
    newpart.write(ready)
    return str(ready.path)


def resumed(session: IdentifySession, more: Sequence[str] = ()) -> Running:
    """The identification that was broken off, with further readings."""
    pairs = tuple((one, other) for one, _, other in (word.partition(":") for word in session.together))
    ask = Ask(labels=session.leads, meter=session.meter, settle=session.settle, together=pairs, supply=session.supply)
    return Running(ask, [*session.readings, *more], session.skipped)


def session_of(running: Running) -> IdentifySession:
    """What is kept of an identification."""
    from xref.job.session import IdentifySession

    ask = running.ask
    return IdentifySession(
        leads=ask.labels, meter=ask.meter, settle=ask.settle, supply=ask.supply,
        readings=tuple(show_reading(reading) for reading in running.bench.readings),
        skipped=tuple(show_reading(replace(reading, value=0.0)).partition("=")[0] + "#" + reading.mode
                      for reading in running.skipped),
        together=tuple(f"{one}:{other}" for one, other in ask.together),
    )  # fmt: skip


def keep_meter(typed: Meter, *, forget: bool = False) -> MeterAnswer:
    """Save what was typed over what was saved before, and show the meter.

    Raises:
        UsageError: a figure that no multimeter has
        StorageError: the folder cannot be written
    """
    from xref.job.session import load_meter, meter_path, save_meter

    old = Meter() if forget else load_meter() or Meter()
    new = Meter(
        diode=typed.diode if typed.diode is not None else old.diode,
        open=typed.open if typed.open is not None else old.open,
        overload=typed.overload if typed.overload is not None else old.overload,
        ohms_red=typed.ohms_red if typed.ohms_red != "unknown" else old.ohms_red,
    )
    check_meter(new)
    if forget or typed != Meter():
        save_meter(new)
    return meter_answer(new, str(meter_path()) if new != Meter() else "")


def meter_answer(meter: Meter, saved: str = "") -> MeterAnswer:
    """The user's meter with what is assumed for it, and printed figures of others."""
    return MeterAnswer(
        diode_ma=None if meter.diode is None else meter.diode * 1e3,
        open_v=meter.open, overload_v=meter.overload, ohms_red=meter.ohms_red, saved=saved,
        assumed=meter_model(meter).assumed,
        printed=tuple(
            PrintedFigures(meter=item.name, source=item.source, diode_ma=item.current * 1e3, open_v=item.open_volts,
                           overload_v=item.overload, note=item.note)
            for item in PRINTED
        ),
    )  # fmt: skip
