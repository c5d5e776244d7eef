"""The smallest network that lets a donor of another kind or sense speak to the board: a short list, computed.

Each entry is a stage of one transistor, one gate or one resistor. What the stage itself needs is taken from one general
purpose part of its kind; the figures and where they come from stand in one block.

The ends of an added component are named: ``lead 3`` (of the donor), ``pad C``, ``supply``, ``0V``, or a node of the
stage such as ``base of Q1``. A component with unlike ends says which is which: ``collector: pad C``.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.adapt.original import Original
from xref.adapt.signal import HIGH_VF, Chain, logic_at, signal, usual_vf
from xref.model.answers.fit import Added, Fit, Signal, ValueChange
from xref.model.base import weakest
from xref.model.part import Part
from xref.physics.detector import Detector
from xref.physics.logic_input import family_thresholds, own_thresholds
from xref.physics.logic_output import LogicPoint
from xref.physics.standard_values import nearest, next_below

# A small NPN transistor as every drawer has one: current gain at least 100, forced gain 10 for saturation, VBE 0.8 V at
# most when on and 0.5 V when off, VCE(sat) 0.3 V. Common practice, no source; chosen on the safe side.
GAIN_LEAST, GAIN_TYPICAL, GAIN_MOST, FORCED_GAIN, VBE_ON, VBE_OFF, VCE_SAT = 100.0, 200.0, 400.0, 10.0, 0.8, 0.5, 0.3

STAGE_BASIS = "the transistor's figures are common practice, no source: gain 100 to 400, VCE(sat) 0.3 V"
NPN = "NPN transistor Q1, current gain 100 or more"

GATE = "74HC14"
GATE_DRIVE = 4e-3
"""Current that one 74HC output may carry at its printed levels [A] (74HC00, Philips 2003-06-30)."""

GATE_DROP = 0.33
"""Distance of a loaded 74HC output from its rails at GATE_DRIVE [V] (same sheet, 4.5 V, 25 to 85 °C)."""

THRESHOLD = "threshold current of the logic output"

DECOUPLE = "fit 100 nF across the supply of the gate, close to it (common practice, no source)"


@dataclass(frozen=True, slots=True, kw_only=True)
class Glue:
    """What is added, the signal with it, and which lead no longer goes straight to its pad."""

    added: tuple[Added, ...]
    signal: Signal
    values: tuple[ValueChange, ...]
    detour_lead: str = ""
    warnings: tuple[str, ...] = ()


def glue(link: Chain, answer: Fit, emitter_ohm: float, may: tuple[str, ...] = ()) -> Glue | None:
    """The first entry of the list that gives a clean signal where the plain way does not; None when none does.

    Args:
        link: donor and board
        answer: the wiring, with the values chosen for the plain way
        emitter_ohm: the chosen emitter resistor [ohm]
        may: what may be altered besides
    """
    if answer.signal is None or answer.signal.clean is not False:
        return None
    for stage in (_pull_up, _inverter, _schmitt):
        found = stage(link, answer, emitter_ohm, may)
        if found is not None and found.signal.clean is not False:
            return found
    return None


def lit_low(link: Chain) -> bool:
    """Whether the donor, wired plainly, pulls its node low when lit."""
    if link.data.logic is not None:
        return link.data.logic.low_when_lit
    return link.board.side == "collector"


def pull_up_for(link: Chain, original: Original, load_ohm: float) -> Added | None:
    """A transistor where a logic output was, on a board without a load of its own, needs a pull-up."""
    asks = [pad for pad in original.pads if "OUT" in pad.functions]
    output = link.data.part.output or ""
    if not asks or link.board.site.output.load is not None or output.startswith("logic"):
        return None
    return Added(
        what="pull-up resistor",
        between=(f"pad {asks[0].label}", "supply"),
        why="the old logic output drove the line; a transistor only pulls it down",
        value_ohm=load_ohm,
    )


def dummy_load(link: Chain, emitter_ohm: float) -> Added | None:
    """A supervised emitter line keeps its current when the new emitter takes less."""
    board = link.board
    if not board.site.emitter.current_watched:
        return None
    was, now = link.forward_current(board.emitter_ohm), link.forward_current(emitter_ohm)
    if now >= 0.97 * was:
        return None
    return Added(
        what="dummy load",
        between=("emitter supply", "0V"),
        why=f"the board watches the emitter current: {(was - now) * 1e3:.3g} mA must flow beside the emitter; place it "
        "behind the point where the board watches",
        value_ohm=nearest(board.emitter_supply / (was - now)),
    )


def _lead(answer: Fit, *functions: str) -> tuple[str, str] | None:
    """Name of the donor's lead with the first of these functions, and its pad."""
    for function in functions:
        for connection in answer.connections:
            if function in connection.function.split("+"):
                return connection.lead, connection.pad
    return None


def _only_emitter(answer: Fit) -> tuple[ValueChange, ...]:
    """The board's load keeps its value where a stage stands between."""
    return tuple(value for value in answer.values if value.where == "emitter resistor")


def _pull_up(link: Chain, answer: Fit, emitter_ohm: float, _: tuple[str, ...]) -> Glue | None:
    """An open collector of the right sense on a load to 0 V: a pull-up makes its high level."""
    board, logic = link.board, link.data.logic
    out = _lead(answer, "OUT")
    if logic is None or logic.kind != "open-collector" or board.side == "collector" or out is None:
        return None
    if lit_low(link) != board.lit_low:
        return None
    supply = board.supply * (1 - link.ranges.supply)
    load = board.load_ohm * (1 - link.ranges.load)
    need = link.thresholds.vih / load + link.thresholds.current_high + logic.leak_max
    if link.thresholds.vih >= 0.95 * supply:
        return None
    pull = next_below((supply - link.thresholds.vih) / need / (1 + link.ranges.load))
    most = board.supply * (1 + link.ranges.supply)
    if (most - logic.vol_max) / (pull * (1 - link.ranges.load)) + link.thresholds.current_low > logic.iol:
        return None
    hardest = pull * (1 + link.ranges.load)
    high = (supply / hardest - logic.leak_max - link.thresholds.current_high) / (1 / hardest + 1 / load)
    point = logic_at(link, emitter_ohm, board.load_ohm)
    levels = logic.vol_max <= link.thresholds.vil and high >= link.thresholds.vih
    held = levels and point.valid and _light_holds(link, emitter_ohm, point)
    made = replace(
        signal(link, emitter_ohm, board.load_ohm), low_max_v=logic.vol_max, high_min_v=high, clean=held,
        limited_by="levels with the pull-up" if not levels else HIGH_VF if held is None else THRESHOLD,
    )  # fmt: skip
    added = Added(what="pull-up resistor", between=(f"lead {out[0]}", "supply"),
                  why="an open collector gives no high level by itself", value_ohm=pull)  # fmt: skip
    return Glue(added=(added,), signal=made, values=_only_emitter(answer))


def _inverter(link: Chain, answer: Fit, emitter_ohm: float, may: tuple[str, ...]) -> Glue | None:
    """One NPN transistor for a logic output of the wrong sense; the board's load becomes its collector load."""
    board, logic, out = link.board, link.data.logic, _lead(answer, "OUT")
    if logic is None or out is None or lit_low(link) == board.lit_low or board.side != "collector":
        return None
    parts = _base_drive(link, out[0])
    if parts is None:
        return None
    lead, pad = out
    stage = Added(
        what=NPN, between=(f"collector: pad {pad}", "base: base of Q1", "emitter: 0V"),
        why="turns the sense round; the board's load stays as its collector load",
    )  # fmt: skip
    emitter_ohm, values = _emitter_for_logic(link, emitter_ohm, may, answer)
    supply, limits = board.supply * (1 - link.ranges.supply), link.thresholds
    # dark current of the transistor, 1 uA: assumed, far above what a small one leaks
    high = supply - board.load_ohm * (1 + link.ranges.load) * (1e-6 + limits.current_high)
    scale = 1 - link.ranges.supply if limits.follows_supply else 1.0
    point = logic_at(link, emitter_ohm, board.load_ohm)
    levels = limits.vil * scale >= VCE_SAT and high >= limits.vih * scale and logic.vol_max < VBE_OFF
    served = logic.supply_min <= board.supply <= logic.supply_max
    held = levels and served and _light_holds(link, emitter_ohm, point)
    plain = signal(link, emitter_ohm, board.load_ohm)
    made = replace(
        plain, low_max_v=VCE_SAT, high_min_v=high, clean=held,
        limited_by="levels of the inverter" if not levels else HIGH_VF if held is None else THRESHOLD,
        basis=weakest(plain.basis, "assumed"),
    )  # fmt: skip
    return Glue(added=(stage, *parts), signal=made, values=values, detour_lead=lead,
                warnings=(STAGE_BASIS,))  # fmt: skip


def _light_holds(link: Chain, emitter_ohm: float, point: LogicPoint) -> bool | None:
    """Whether the light switches the logic output both ways; None: not for a piece with the highest VF."""
    if point.dark_reserve < 1 or point.bright_reserve >= 1:
        return point.dark_reserve >= 1
    usual = logic_at(usual_vf(link), emitter_ohm, link.board.load_ohm)
    return None if usual.bright_reserve >= 1 else False


def _emitter_for_logic(
    link: Chain, emitter_ohm: float, may: tuple[str, ...], answer: Fit
) -> tuple[float, tuple[ValueChange, ...]]:
    """The emitter resistor for a logic output that only has to switch a base: its levels do not count."""
    from xref.adapt.values import choose

    change = tuple(word for word in may if word in ("emitter resistor", "across"))
    if not change:
        return emitter_ohm, _only_emitter(answer)
    # levels at the base that every output reaches: only the light is left to decide
    free = replace(link, thresholds=own_thresholds(1.0, 1.0))
    chosen = choose(replace(free, board=replace(link.board, side="collector")), change=change)
    return chosen.best.emitter_ohm, tuple(c for c in chosen.changes if c.where == "emitter resistor")


def _base_drive(link: Chain, lead: str) -> list[Added] | None:
    """Resistors between a logic output and the base of an NPN transistor that switches the board's load."""
    board, logic = link.board, link.data.logic
    assert logic is not None
    most, least = board.supply * (1 + link.ranges.supply), board.supply * (1 - link.ranges.supply)
    collector = most / board.load_ohm / (1 - link.ranges.load) + link.thresholds.current_low
    base = collector / FORCED_GAIN
    why = f"base current at least {base * 1e3:.2g} mA, a tenth of the collector's"
    if logic.kind == "totem-pole":
        high = logic.voh_min if logic.voh_min is not None else least - 1.0
        if high <= VBE_ON:
            return None
        resistor = next_below((high - VBE_ON) / base)
        return [Added(what="resistor", between=(f"lead {lead}", "base of Q1"), why=why, value_ohm=resistor)]
    whole = (least - VBE_ON) / (base + logic.leak_max)
    pull = next_below(whole / 5) if logic.pull_up is None else logic.pull_up
    if whole <= pull or most / pull > logic.iol:
        return None
    parts = [Added(what="resistor", between=(f"lead {lead}", "base of Q1"), why=why,
                   value_ohm=next_below(whole - pull))]  # fmt: skip
    if logic.pull_up is None:
        parts.append(Added(what="pull-up resistor", between=(f"lead {lead}", "supply"),
                           why="an open collector gives no high level by itself", value_ohm=pull))  # fmt: skip
    return parts


def _schmitt(link: Chain, answer: Fit, emitter_ohm: float, may: tuple[str, ...]) -> Glue | None:
    """Schmitt gates between detector and board: one turns the sense, two keep it; the detector has its own load."""
    board, limits = link.board, link.thresholds
    out = _lead(answer, "C") if board.side == "collector" else _lead(answer, "E")
    if link.data.logic is not None or link.transfer is None or out is None or not 2.0 <= board.supply <= 6.0:
        return None
    most = board.supply * (1 + link.ranges.supply) / board.load_ohm / (1 - link.ranges.load)
    if most + max(limits.current_low, limits.current_high) > GATE_DRIVE:
        return None
    high = board.supply * (1 - link.ranges.supply) - GATE_DROP
    scale = 1 - link.ranges.supply if limits.follows_supply else 1.0
    if limits.vil * scale < GATE_DROP or high < limits.vih * scale:
        return None
    own_output = replace(board.site.output, lit="low" if lit_low(link) else "high")
    own_board = replace(board, site=replace(board.site, output=own_output), lit_low=lit_low(link))
    own = replace(link, thresholds=family_thresholds(GATE, board.supply), board=own_board)
    from xref.adapt.values import choose

    chosen = choose(own, change=("load", *(word for word in may if word == "emitter resistor")))
    if chosen.signal.clean is False:
        return None
    gates = 1 if lit_low(link) != board.lit_low else 2
    lead, pad = out
    words = "turns the sense round" if gates == 1 else "two in a row keep the sense"
    rail = "supply" if board.side == "collector" else "0V"
    return Glue(
        added=(
            Added(what=f"{gates} gate{'s' if gates > 1 else ''} of a {GATE}, its other inputs tied to 0V",
                  between=(f"input: lead {lead}", f"output: pad {pad}", "VCC: supply", "GND: 0V"),
                  why=f"clean edges and full levels; {words}"),
            Added(what="load resistor", between=(f"lead {lead}", rail), why="the detector's own load at the gate",
                  value_ohm=chosen.best.load_ohm),
        ),
        signal=replace(chosen.signal, low_max_v=GATE_DROP, high_min_v=high),
        values=tuple(value for value in chosen.changes if value.where == "emitter resistor"),
        detour_lead=lead,
        warnings=(DECOUPLE,),
    )  # fmt: skip


def stands_in(donor: Part, original: Original) -> bool:
    """Whether a photodiode goes where the board wants a transistor."""
    return donor.output == "photodiode" and any("C" in pad.functions for pad in original.pads)


def with_transistor(link: Chain) -> Chain:
    """The chain with a photodiode and one transistor in place of a phototransistor."""
    assert link.data.detector is not None
    detector = Detector(kind="phototransistor", dark_25c=link.data.detector.dark_25c * GAIN_MOST)
    t = link.transfer
    gained = t and replace(t, low=t.low * GAIN_LEAST, typical=t.typical * GAIN_TYPICAL, high=t.high * GAIN_MOST,
                           basis=weakest(t.basis, "assumed"))  # fmt: skip
    return replace(link, transfer=gained, data=replace(link.data, detector=detector),
                   assumed=(*link.assumed, STAGE_BASIS))  # fmt: skip


def photodiode_stage(answer: Fit) -> tuple[tuple[Added, ...], str]:
    """A photodiode with one transistor makes a phototransistor of the same three nets; and the lead that detours."""
    cathode, anode = _lead(answer, "K2", "C"), _lead(answer, "A2", "E")
    if cathode is None or anode is None:
        cathode, anode = _lead(answer, "K"), _lead(answer, "A")
    if cathode is None or anode is None:
        return (), ""
    stage = Added(
        what=NPN,
        between=(f"collector: pad {cathode[1]}", f"base: lead {anode[0]}", f"emitter: pad {anode[1]}"),
        why="the photodiode's current alone is a hundredth of what a phototransistor gives",
    )
    return (stage,), anode[0]


def outside_ends(added: tuple[Added, ...]) -> set[str]:
    """The places outside the stage to which wires run."""
    ends = {end.split(": ")[-1] for item in added for end in item.between}
    return {end for end in ends if end.startswith(("lead ", "pad ")) or end in ("supply", "0V", "emitter supply")}
