"""The five questions as Python functions; the commands call the same tasks.

Names and keyword arguments here are stable. Electrical values are SI, lengths are mm. Every function raises the errors
of ``xref.errors``; an honest "none" is an answer, not an error, except where a named part does not exist.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from xref.model.answers.assess import AssessAnswer
    from xref.model.answers.find import FindAnswer
    from xref.model.answers.fit import Fit
    from xref.model.answers.identify import IdentifyAnswer
    from xref.model.answers.workaround import WorkaroundAnswer
    from xref.model.job import Meter
    from xref.model.part import Part
    from xref.model.site import Site


def identify(
    readings: Sequence[str], *, leads: int, meter: Meter | None = None, settle: float = 0.99
) -> IdentifyAnswer:
    """Which lead is which, from readings on the loose part.

    Args:
        readings: ``RED:BLACK[@STATE]=VALUE`` as at the shell, see ``xref help readings``
        leads: number of leads, 2 to 6
        meter: what the user's multimeter does; unknown figures are taken as a band
        settle: probability from which it counts as settled [1]

    Raises:
        UsageError: a reading that cannot be read, or a number of leads that is not 2 to 6

    >>> from xref.model.job import Meter
    >>> mine = Meter(diode=1e-3, open=3.0, overload=2.0, ohms_red="plus")
    >>> answer = identify(["1:2=1.03V", "4:3@lit=0.18V", "3:4@lit=5.2k"], leads=4, meter=mine)
    >>> answer.leads
    {'1': 'A', '2': 'K', '3': 'E', '4': 'C'}
    """
    from xref.model.job import Meter as Unknown
    from xref.tasks.identify import Ask, Running

    labels = tuple(str(number) for number in range(1, leads + 1))
    return Running(Ask(labels=labels, meter=meter or Unknown(), settle=settle), readings).answer()


def assess(site: Site | str | Path, running: Mapping[str, str], *, original: str = "") -> AssessAnswer:
    """Which half, joint or circuit is to blame, from readings in the running machine.

    Args:
        site: the board side, or the path of a site or job file
        running: reading to text, ``{"emitter": "1.12V", "lit": "2.3V", "torch": "reacts"}``
        original: the part that is fitted, where known

    Raises:
        UsageError: an unknown reading or outcome, or a site that has no halves
        NotFound: ``original`` is not known
        DataError: the file is wrong

    >>> from xref.examples import FOLDER
    >>> answer = assess(FOLDER / "arm-park.yaml", {"supply": "5.0V", "emitter": "4.95V", "tap": "no change"})
    >>> answer.verdicts[0].cause
    'the emitter is open'
    """
    from xref.tasks.assess import assess as task

    return task(_site(site), running, original=original)


def find(
    *,
    same: bool = False,
    kind: str = "",
    output: str = "",
    leads: int | None = None,
    vf: float | None = None,
    vf_current: float = 1e-3,
    body_mm: tuple[float, ...] = (),
    grid_mm: tuple[float, float] | None = None,
    gap_mm: float | None = None,
    original: str = "",
    site: Site | str | Path | None = None,
    origin: str = "all",
    limit: int = 10,
) -> FindAnswer:
    """Which part is this (``same``), or what can stand in.

    Args:
        same: which part is this, instead of what can stand in
        kind: reflective, slotted, pair, emitter, detector or switch
        output: phototransistor, photodarlington, photodiode or logic
        leads: number of leads
        vf: forward voltage read at ``vf_current`` [V]
        vf_current: current of the reading [A]
        body_mm: length, width and, where measured, height [mm]
        grid_mm: lead grid, across and down [mm]
        gap_mm: slot width [mm]
        original: the part that the board was made for; its least collector current is the need
        site: the board side; candidates are then judged by fit and signal
        origin: published, stock or all
        limit: number of candidates, 0 for all

    Raises:
        UsageError: nothing to search by
        NotFound: ``original`` is not known
        SafetyRefusal: the site protects people and no number is given
        DataError: the site file is wrong

    >>> answer = find(same=True, kind="reflective", vf=1.03, body_mm=(10.2, 5.8, 7.0), leads=4, origin="published")
    >>> answer.candidates[0].part
    'TCRT5000'
    """
    from xref.model.want import Want
    from xref.tasks.find import find as task

    want = Want(
        same=same, kind=kind, output=output, leads=leads, vf=vf, vf_current=vf_current, body_mm=body_mm,
        grid_mm=grid_mm, gap_mm=gap_mm,
    )  # fmt: skip
    board = None if site is None else _site(site)
    return task(want, origin=origin, original=original, site=board, limit=limit)


def fit(
    original: str,
    donor: str,
    *,
    site_file: str = "",
    map_text: str = "",
    grid_mm: tuple[float, float] | None = None,
    seen_from: str = "component",
    kind: str = "",
) -> Fit:
    """How a donor goes in: leads, wires, cuts, values, proof.

    Args:
        original: part name, site or job file, part file, or 'blank' with ``map_text``
        donor: part name, ``stock:17``, part file, or 'same'
        site_file: site or job file, where ``original`` is a part name
        map_text: pads as seen, ``"A C / K E"``, rows top to bottom
        grid_mm: step of the pads, across and down [mm]
        seen_from: component or solder: the side that the map was read from
        kind: kind of the original, with ``map_text``

    Raises:
        NotFound: a part is not known
        UsageError: pads missing or contradictory
        SafetyRefusal: the sensor protects people and the donor is another number
        DataError: a file is wrong

    >>> answer = fit("blank", "RPR-220", map_text="A C / K E", grid_mm=(5.5, 2.54), seen_from="solder")
    >>> answer.verified, answer.wire_count
    (True, 0)
    """
    from xref.tasks.fit import Question
    from xref.tasks.fit import fit as task

    question = Question(
        original=original, donor=donor, site_file=site_file, map_text=map_text, grid_mm=grid_mm, seen_from=seen_from,
        kind=kind,
    )  # fmt: skip
    return task(question).fit


def workaround(network_file: str | Path, *, max_actions: int = 3) -> WorkaroundAnswer:
    """What can be done with the sensors that still work, and what the machine will no longer notice.

    Args:
        network_file: the network around the sensors, see ``xref help network``
        max_actions: jumpers and lifts in one plan at most

    Raises:
        DataError: the file is wrong
        SafetyRefusal: the dead sensor protects people

    >>> from xref.examples import FOLDER
    >>> answer = workaround(FOLDER / "ring-selector.yaml")
    >>> answer.options[0].actions[0].do
    'jumper'
    """
    from xref.tasks.workaround import workaround as task

    return task(str(network_file), max_actions=max_actions).answer


def part(name: str) -> Part:
    """Everything known of a part, by its name, alias or number.

    Raises:
        NotFound: no such part; the message names the nearest

    >>> part("TCRT5000").emitter.if_max_ma
    60.0
    """
    from xref.library.store import open_library

    return open_library().get(name)


def _site(site: Site | str | Path) -> Site:
    if not isinstance(site, str | Path):
        return site
    from xref.job.file import load_job, site_of

    return site_of(load_job(site), site)
