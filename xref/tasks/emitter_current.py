"""What the old emitter resistor would do with each stand-in: VF decides no match, but with it the current is set."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from xref.adapt.electrical import electrics, emitter_diode
from xref.adapt.signal import Board, board_of
from xref.model.answers.find import Check, FindAnswer, Found, Verdict
from xref.physics.series import current_limit, series_current
from xref.physics.standard_values import nearest
from xref.quantity import show

if TYPE_CHECKING:
    from xref.library.store import Library
    from xref.model.part import Part
    from xref.model.site import Site

ALIKE = 0.1
"""Currents that differ by no more than this share count as the same: two resistor tolerances of 5 %."""


def with_emitter_current(answer: FindAnswer, site: Site, part: Part | None, library: Library) -> FindAnswer:
    """The answer with one more check a candidate: emitter current with the old resistor, and the resistor to keep it.

    Only where the board's emitter supply and resistor are known. The check has no share in the score, because a
    resistor is changed easily.

    Args:
        answer: what was found
        site: the board side
        part: the original where it is known; its current is then the one to keep
        library: where the candidates are looked up
    """
    emitter = site.emitter
    if not emitter.resistor or emitter.supply is None:
        return answer
    board = board_of(site)
    wanted = None if part is None else _current(part, board, board.emitter_ohm)
    return replace(answer, candidates=tuple(_with(found, board, wanted, library) for found in answer.candidates))


def _with(found: Found, board: Board, wanted: float | None, library: Library) -> Found:
    from xref.tasks.references import resolve

    donor = resolve(found.reference, library)
    if donor.kind in ("detector", "switch"):
        return found
    check = _check(donor, board, wanted)
    return replace(found, checks=(*found.checks, check))


def _current(part: Part, board: Board, ohms: float) -> float:
    """Emitter current of a part with that resistor on this board [A]."""
    return series_current(
        board.emitter_supply, ohms + (part.emitter.resistor_ohm or 0.0), emitter_diode(part, []),
        count=board.in_series, driver_drop=board.driver_drop,
    )  # fmt: skip


def _check(donor: Part, board: Board, wanted: float | None) -> Check:
    current = _current(donor, board, board.emitter_ohm)
    most = electrics(donor).if_max
    limit = None if most is None else current_limit(board.temp_c[1], if_max=most)
    words = f"IF {current * 1e3:.3g} mA with the old {show(board.emitter_ohm, 'ohm')}"
    verdict: Verdict = "meets"
    if limit is not None and current > limit:
        verdict, words = "fails", f"{words}, above its limit of {limit * 1e3:.3g} mA"
    elif wanted is not None and abs(current / wanted - 1) > ALIKE:
        verdict = "near"
    ohms = None if wanted is None or verdict == "meets" else _resistor(donor, board, wanted)
    if wanted is not None and ohms is not None:
        words += f"; {show(ohms, 'ohm')} keeps the {wanted * 1e3:.3g} mA of before"
    return Check(
        quantity="emitter current",
        wanted=None if wanted is None else round(wanted * 1e3, 3),
        offered=round(current * 1e3, 3),
        unit="mA",
        verdict=verdict,
        share=0.0,
        why=words,
    )


def _resistor(donor: Part, board: Board, wanted: float) -> float | None:
    """Nearest standard resistor (E24) that gives the wanted current [ohm]; None where the supply is too low for it."""
    drop = board.driver_drop + board.in_series * emitter_diode(donor, []).vf(wanted)
    ohms = (board.emitter_supply - drop) / wanted - (donor.emitter.resistor_ohm or 0.0) if wanted > 0 else 0.0
    return nearest(ohms, "E24") if ohms > 0 else None
