"""The smallest network that lets a donor of another kind or sense speak to the board: a short list, computed.

Each entry is a stage of one transistor, one gate or one resistor. What the stage itself needs is taken from one general
purpose part of its kind; the figures and where they come from stand in one block.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.adapt.signal import Chain, signal
from xref.model.answers.fit import Added, Fit, Signal, ValueChange
from xref.model.base import weakest
from xref.physics.logic_input import family_thresholds
from xref.physics.standard_values import nearest, next_below

# A small NPN transistor as every drawer has one: current gain at least 100, forced gain 10 for saturation, VBE 0.8 V at
# most when on and 0.5 V when off, VCE(sat) 0.3 V. Common practice, no source; chosen on the safe side.
GAIN_LEAST, FORCED_GAIN, VBE_ON, VBE_OFF, VCE_SAT = 100.0, 10.0, 0.8, 0.5, 0.3

STAGE_BASIS = "the transistor's figures are common practice, no source: gain 100, VCE(sat) 0.3 V"

GATE = "74HC14"
GATE_DRIVE = 4e-3
"""Current that one 74HC output may carry at its printed levels [A] (74HC00, Philips 2003-06-30)."""

GATE_DROP = 0.33
"""Distance of a loaded 74HC output from its rails at GATE_DRIVE [V] (same sheet, 4.5 V, 25 to 85 °C)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Glue:
    """What is added, the signal with it, and which lead no longer goes straight to its pad."""

    added: tuple[Added, ...]
    signal: Signal
    values: tuple[ValueChange, ...]
    detour_lead: str = ""
    warnings: tuple[str, ...] = ()


def glue(link: Chain, answer: Fit, emitter_ohm: float) -> Glue | None:
    """The first entry of the list that gives a clean signal where the plain way does not; None when none does."""
    if answer.signal is None or answer.signal.clean is not False:
        return None
    for stage in (_inverter, _schmitt):
        found = stage(link, answer, emitter_ohm)
        if found is not None and found.signal.clean is not False:
            return found
    return None


def lit_low(link: Chain) -> bool:
    """Whether the donor, wired plainly, pulls its node low when lit."""
    if link.data.logic is not None:
        return link.data.logic.low_when_lit
    return link.board.side == "collector"


def pull_up_for(link: Chain, answer: Fit) -> Added | None:
    """A transistor where a logic output was, on a board without a load of its own, needs a pull-up."""
    board = link.board.site.output
    plays_out = any(c.function == "C" and c.pad and "OUT" in c.net.upper() for c in answer.connections)
    if link.data.logic is not None or board.load is not None or not plays_out:
        return None
    value = answer.values[-1].now_ohm if answer.values and answer.values[-1].where == "load" else link.board.load_ohm
    return Added(
        what="pull-up resistor",
        between=("OUT", "supply"),
        why="the old logic output drove the line; a transistor only pulls it down",
        value_ohm=value,
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
        between=("emitter supply", "end of the emitter line"),
        why=f"the board watches the emitter current: {(was - now) * 1e3:.3g} mA must flow beside the emitter",
        value_ohm=nearest(board.emitter_supply / (was - now)),
    )


def _out_lead(answer: Fit) -> str:
    for function in ("OUT", "C"):
        for connection in answer.connections:
            if connection.function == function:
                return connection.lead
    return ""


def _inverter(link: Chain, answer: Fit, emitter_ohm: float) -> Glue | None:
    """One NPN transistor for a logic output of the wrong sense; the board's load becomes its collector load."""
    board, logic = link.board, link.data.logic
    if logic is None or lit_low(link) == board.lit_low or board.side != "collector":
        return None
    supply = board.supply
    collector = (
        supply * (1 + link.ranges.supply) / board.load_ohm / (1 - link.ranges.load) + link.thresholds.current_low
    )
    base = collector / FORCED_GAIN
    if logic.kind == "totem-pole":
        high = logic.voh_min if logic.voh_min is not None else supply - 1.0
        resistor = next_below((high - VBE_ON) / base)
        parts = [Added(what="resistor", between=(f"lead {_out_lead(answer)} (OUT)", "base of the transistor"),
                       why=f"base current {(high - VBE_ON) / resistor * 1e3:.2g} mA", value_ohm=resistor)]  # fmt: skip
    else:
        whole = (supply * (1 - link.ranges.supply) - VBE_ON) / base
        pull = next_below(whole / 5) if logic.pull_up is None else logic.pull_up
        if whole <= pull:
            return None
        resistor = next_below(whole - pull)
        sink = supply / pull
        if sink > logic.iol:
            return None
        parts = [Added(what="resistor", between=(f"lead {_out_lead(answer)} (OUT)", "base of the transistor"),
                       why="sets the base current", value_ohm=resistor)]  # fmt: skip
        if logic.pull_up is None:
            parts.append(Added(what="pull-up resistor", between=(f"lead {_out_lead(answer)} (OUT)", "supply"),
                               why="an open collector gives no high level by itself", value_ohm=pull))  # fmt: skip
    parts.insert(0, Added(
        what="NPN transistor, current gain 100 or more", between=("OUT pad (C)", "0V (E)", "base resistor"),
        why="turns the sense round; the board's load stays as its collector load",
    ))  # fmt: skip
    off = logic.vol_max < VBE_OFF
    leak_high = supply * (1 - link.ranges.supply) - board.load_ohm * (1 + link.ranges.load) * (
        1e-6 + link.thresholds.current_high
    )
    plain = signal(link, emitter_ohm, board.load_ohm)
    levels = link.thresholds.vil >= VCE_SAT and leak_high >= link.thresholds.vih and off
    reserve = plain.light_reserve or 0.0
    made = replace(
        plain, low_max_v=VCE_SAT, high_min_v=leak_high, clean=levels and reserve >= 1.0,
        limited_by="threshold current of the logic output" if levels else "levels of the inverter",
        basis=weakest(plain.basis, "assumed"),
    )  # fmt: skip
    return Glue(added=tuple(parts), signal=made, values=answer.values, detour_lead=_out_lead(answer),
                warnings=(STAGE_BASIS,))  # fmt: skip


def _schmitt(link: Chain, answer: Fit, emitter_ohm: float) -> Glue | None:
    """Schmitt gates between detector and board: one turns the sense, two keep it; the detector has its own load."""
    board = link.board
    if link.data.logic is not None or link.transfer is None or not 2.0 <= board.supply <= 6.0:
        return None
    if board.supply * (1 + link.ranges.supply) / board.load_ohm > GATE_DRIVE:
        return None
    own = replace(link, thresholds=family_thresholds(GATE, board.supply))
    own_site = replace(board.site.output, lit="low", load_side="C")
    own = replace(own, board=replace(board, site=replace(board.site, output=own_site), side="collector", lit_low=True))
    from xref.adapt.values import choose

    chosen = choose(own, change=("load",))
    if chosen.signal.clean is False or chosen.best.reserve < 1.0:
        return None
    gates = 1 if not board.lit_low else 2
    lead = _out_lead(answer)
    words = "turns the sense round" if gates == 1 else "two in a row keep the sense"
    return Glue(
        added=(
            Added(what=f"{gates} gate{'s' if gates > 1 else ''} of a {GATE}, its other inputs tied to 0V",
                  between=(f"lead {lead}", "OUT pad", "supply", "0V"), why=f"clean edges and full levels; {words}"),
            Added(what="load resistor", between=(f"lead {lead}", "supply"), why="the detector's own load at the gate",
                  value_ohm=chosen.best.load_ohm),
        ),
        signal=replace(chosen.signal, low_max_v=GATE_DROP,
                       high_min_v=board.supply * (1 - link.ranges.supply) - GATE_DROP),
        values=answer.values,
        detour_lead=lead,
        warnings=("fit 100 nF across the supply of the gate, close to it (common practice, no source)",),
    )  # fmt: skip


def photodiode_stage(link: Chain, answer: Fit) -> tuple[Added, ...]:
    """A photodiode with one transistor makes a phototransistor of the same three nets."""
    if link.data.part.output != "photodiode" or not any(c.net for c in answer.connections):
        return ()
    anode = next((c.lead for c in answer.connections if c.function in ("A2", "E")), "anode")
    return (
        Added(
            what=f"NPN transistor, current gain {GAIN_LEAST:g} or more",
            between=("C pad (collector)", "E pad (emitter)", f"lead {anode} of the photodiode (base)"),
            why="the photodiode's current alone is a hundredth of what a phototransistor gives",
        ),
    )
