"""The text of an identification, for the bench."""

from __future__ import annotations

from xref.cli.output import table, wrap
from xref.model.answers.identify import IdentifyAnswer, MeterAnswer, OtherDevice
from xref.quantity import show

MARK = "! "


def identify_text(answer: IdentifyAnswer, *, asking: bool = False) -> str:
    """The answer at 80 columns; ``asking``: only what the dialogue does not say itself."""
    state = "settled" if answer.settled else "not settled"
    lines = [wrap(f"{answer.device}   {state}, probability {_chance(answer.probability)}")]
    if answer.settled or answer.probability > 0.05:
        lines += ["", table(("lead", "function"), list(worded(answer.device, answer.leads).items()))]
    lines += _others(answer)
    if answer.because:
        lines += ["", "what says so:", *(f"  {line}" for line in answer.because)]
    if answer.unexplained:
        lines += ["", "does not suit (read again):", *(wrap(line, first="  ", indent="    ")
                                                       for line in answer.unexplained)]  # fmt: skip
    if answer.vf_v is not None and answer.settled:
        at = f" at {answer.vf_at}" if answer.vf_at else ", meter current not known"
        lines += ["", f"forward voltage {answer.vf_v:.3g} V{at}"]
    if answer.assumed:
        lines += ["", wrap("assumed: " + "; ".join(answer.assumed) + ". Save yours once: xref meter", indent="  ")]
    if not asking:
        lines += [wrap(warning, first=MARK, indent="  ") for warning in answer.warnings]
    lines += _next(answer, asking)
    return "\n".join(lines)


def _others(answer: IdentifyAnswer) -> list[str]:
    same = [item for item in answer.alternatives if item.same]
    rest = [item for item in answer.alternatives if not item.same]
    lines = []
    if same and answer.settled:
        lines += ["", "no further reading that can be taken tells these apart from it:"]
        lines += [wrap(_one(item), first="  ", indent="    ") for item in same]
    if rest and not answer.settled:
        lines += ["", "also possible:"]
        lines += [wrap(f"{_chance(item.probability)}  {_one(item)}", first="  ", indent="    ") for item in rest[:4]]
    return lines


def _one(item: OtherDevice) -> str:
    leads = worded(item.device, item.leads)
    return f"{item.device}: " + ", ".join(f"{label} {function}" for label, function in leads.items())


DIODE = {"C": "cathode of the detector (C)", "E": "anode of the detector (E)"}
"""What a photodiode's leads are beside the emitter's: the keys stay those of other detectors."""


def worded(device: str, leads: dict[str, str]) -> dict[str, str]:
    """Lead functions in words where the letters alone mislead: a photodiode has no collector."""
    if "photodiode" not in device or not device.startswith("emitter"):
        return leads
    if " or " in device:
        return {label: f"{text} (photodiode: {_diode(text)})" if _diode(text) != text else text
                for label, text in leads.items()}  # fmt: skip
    return {label: _diode(text) for label, text in leads.items()}


def _diode(text: str) -> str:
    """Each function word of a lead (K+E, C or E) with a photodiode's name for it."""
    return " or ".join(" + ".join(DIODE.get(word, word) for word in each.split("+")) for each in text.split(" or "))


def _next(answer: IdentifyAnswer, asking: bool) -> list[str]:
    if answer.saved:
        name = answer.saved
        return ["", f"saved: {name}", *([f"next: {answer.next_command}"] if answer.next_command else [])]
    if answer.next_reading is not None:
        return [] if asking else ["", wrap(f"next reading: {answer.next_reading.how}", indent="  ")]
    if answer.settled:
        if answer.next_command:
            return ["", f"next: {answer.next_command}"]
        if answer.device == "short":
            return ["", wrap("a link or a closed switch: move it and read again, like 1:2@pressed=OL")]
        return []
    return ["", "no further reading tells anything; read the doubtful ones again"]


def _chance(value: float) -> str:
    return "0.999+" if value > 0.9994 else f"{value:.3f}"


def meter_text(answer: MeterAnswer) -> str:
    """The user's meter and the printed examples."""

    def said(value: float | None, unit: str, factor: float = 1.0) -> str:
        return "not known" if value is None else show(value * factor, unit)

    lines = [
        "your meter" + (f" (saved: {answer.saved})" if answer.saved else ""),
        f"  diode-test current   {said(answer.diode_ma, 'A', 1e-3)}",
        f"  open-circuit volts   {said(answer.open_v, 'V')}",
        f"  overload above       {said(answer.overload_v, 'V')}",
        f"  red lead on ohms     {answer.ohms_red if answer.ohms_red != 'unknown' else 'not known'}",
    ]
    if answer.assumed:
        lines.append(wrap("assumed: " + "; ".join(answer.assumed), indent="  "))
    rows = []
    for item in answer.printed:
        over = ", ".join(f"{value:g} V" for value in item.overload_v) or "not printed"
        volts = "not printed" if item.open_v is None else f"{item.open_v:g} V"
        rows.append((item.meter, f"{item.diode_ma:g} mA", volts, over + (f" ({item.note})" if item.note else "")))
    lines += ["", "as manuals print it:", table(("meter", "current", "open", "overload above"), rows)]
    lines += ["sources: " + "; ".join(f"{item.meter} {item.source}" for item in answer.printed)]
    lines[-1] = wrap(lines[-1], indent="  ")
    lines += ["", "save yours: xref meter --diode 1mA --open 3V --overload 2V --ohms-red plus"]
    return "\n".join(lines)
