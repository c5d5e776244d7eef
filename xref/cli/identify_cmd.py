"""``xref identify``: which lead is which, from meter readings on the loose part."""

from __future__ import annotations

import sys
from dataclasses import replace
from typing import TYPE_CHECKING

import typer

from xref.errors import UsageError, XrefError

if TYPE_CHECKING:
    from xref.model.answers.identify import IdentifyAnswer
    from xref.model.job import Job, Meter
    from xref.tasks.identify import Running


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("identify", epilog="Example: xref identify --leads 4 1:2=1.08V 2:1=OL 3:4@lit=6.8k")(identify)


def identify(
    readings: list[str] = typer.Argument(
        None, help="RED:BLACK[@lit|@dark|@5V/10k|@POSITION]=VALUE, like 1:2=1.08V 2:1=OL 3:4@lit=6.8k."
    ),
    leads: str = typer.Option("", help="Number of leads, 2 to 8 (7 and 8 only with --together)."),
    labels: str = typer.Option("", help="Your own labels instead of 1, 2, ...: red,black,white."),
    together: str = typer.Option("", help="Leads known to belong to one half: 1:2,3:4."),
    meter_current: str = typer.Option("", help="Current of your meter's diode test, 1mA."),
    open_volts: str = typer.Option("", "--open", help="Open-circuit voltage of the diode test, 3V."),
    overload: str = typer.Option("", help="Your meter shows overload above this, 2V."),
    ohms_red: str = typer.Option("", help="On ohms the red lead is plus or minus."),
    settle: str = typer.Option("", help="Probability at which it is settled, 0.99."),
    no_supply: bool = typer.Option(False, "--no-supply", help="Never ask for an own supply with a resistor."),
    ask: bool = typer.Option(False, "--ask", help="Ask for one reading at a time."),
    resume: bool = typer.Option(False, "--resume", help="Go on where you broke off."),
    job: str = typer.Option("", help="Job file: its meter and its loose readings."),
    save: str = typer.Option("", help="Save as a part of yours under this name."),
    kind: str = typer.Option("", help="For --save: pair, reflective or slotted."),
    map: str = typer.Option("", help="For --save: where the leads stand, '1 2 / 3 4'."),
    grid: str = typer.Option("", help="For --save with --map: ACROSSxDOWN, 5.5x2.54mm."),
    seen_from: str = typer.Option("component", help="For --map: component or solder."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """Say which lead is which, and which reading to take next."""
    from xref.cli.identify_text import identify_text
    from xref.cli.output import emit, note, wrap
    from xref.job.session import drop_session
    from xref.tasks.identify import Running, ask_from, meter_for

    if seen_from not in ("component", "solder"):
        raise UsageError(f"{seen_from[:12]!r} is neither component nor solder", "--seen-from")
    step = _step(map, grid, seen_from) if save else None

    read = _job(job)
    given = [*(read.readings.loose if read is not None else ()), *(readings or ())]
    interactive = ask or resume or (not given and not json and sys.stdin.isatty())
    if resume:
        running = _resumed(given)
    else:
        meter = meter_for(typed_meter(meter_current, open_volts, overload, ohms_red), read)
        running = Running(ask_from(leads, labels, together, settle, meter, supply=not no_supply, job=read), given)
    if interactive:
        from xref.cli.identify_ask import dialogue

        answer = dialogue(running)
    else:
        answer = running.answer()
    try:
        answer = _saved(answer, save, kind, map, step, seen_from)
    except XrefError:
        # the readings are worth more than the file: what they say is shown, and a dialogue's are kept
        if not json:
            emit(answer, identify_text(answer), as_json=False)
        if interactive:
            note(wrap("not saved; the readings are kept: xref identify --resume --save NAME", indent="  "))
        raise
    emit(answer, identify_text(answer), as_json=json)
    if interactive:
        drop_session()
    nothing_known = set(answer.leads.values()) == {"unknown"} and answer.settled
    if nothing_known or (not answer.settled and answer.next_reading is None):
        raise typer.Exit(1)


def typed_meter(current: str, open_volts: str, overload: str, ohms_red: str) -> Meter:
    """The meter as far as options give it."""
    from xref import quantity
    from xref.model.job import Meter

    if ohms_red not in ("", "plus", "minus"):
        raise UsageError(f"{ohms_red[:12]!r} is neither plus nor minus", "--ohms-red")
    return Meter(
        diode=quantity.parse(current, "A", default_unit=False) if current else None,
        open=quantity.parse(open_volts, "V") if open_volts else None,
        overload=quantity.parse(overload, "V") if overload else None,
        ohms_red="plus" if ohms_red == "plus" else "minus" if ohms_red == "minus" else "unknown",
    )


def _job(path: str) -> Job | None:
    if not path:
        return None
    from xref.job.file import load_job

    return load_job(path)


def _resumed(given: list[str]) -> Running:
    from xref.job.session import load_session
    from xref.tasks.identify import resumed

    return resumed(load_session(), given)


def _step(lead_map: str, grid: str, seen_from: str) -> tuple[float, float] | None:
    """The grid of a map, looked at before the first reading is asked for.

    Raises:
        UsageError: a grid or a map that cannot be, or one without the other
    """
    from xref import quantity
    from xref.library.newpart import places_of

    if bool(lead_map) != bool(grid):
        raise UsageError("--map and --grid go together: --map '1 2 / 3 4' --grid 5.5x2.54mm", "--map")
    if not grid:
        return None
    step = quantity.parse_grid(grid)
    places_of(lead_map, step, seen_from)
    return step


def _saved(
    answer: IdentifyAnswer, name: str, kind: str, lead_map: str, step: tuple[float, float] | None, seen_from: str
) -> IdentifyAnswer:
    """Write the part file when asked; the answer then names it and what to type next."""
    if not name:
        return answer
    from xref.tasks.identify import save_part
    from xref.tasks.identify_part import without_output

    path = save_part(answer, name, kind=kind, grid=step, lead_map=lead_map, seen_from=seen_from)
    quoted = f"'{name}'" if " " in name else name
    command = f"xref fit {quoted} DONOR" if lead_map else answer.next_command or f"xref part {quoted}"
    said = without_output(answer)
    return replace(answer, saved=path, next_command=command, warnings=(*answer.warnings, *([said] if said else [])))
