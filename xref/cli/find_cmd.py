"""``xref find``: which part can stand in, or (``--same``) which part is this."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from xref.errors import QuantityError, UsageError, one_of

if TYPE_CHECKING:
    from xref.model.want import Want

OUTPUTS = {
    "transistor": "phototransistor",
    "darlington": "photodarlington",
    "diode": "photodiode",
    "logic": "logic",
}
KINDS = ("reflective", "slotted", "pair", "emitter", "detector", "switch")


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("find", epilog="Example: xref find --same --kind reflective --vf 1.08V --body 10.2x5.8x7 --leads 4")(
        find
    )


def find(
    kind: str = typer.Option("", help="reflective, slotted, pair, emitter, detector or switch."),
    output: str = typer.Option("", help="transistor, darlington, diode or logic."),
    lit: str = typer.Option("", help="Logic output when light reaches it: low or high."),
    blocked: str = typer.Option("", help="Logic output when the light is blocked: low or high."),
    supply: str = typer.Option("", help="Supply of the board, 5V."),
    leads: str = typer.Option("", help="Number of leads."),
    channels: str = typer.Option("", help="Number of detectors, 1 or 2."),
    vf: str = typer.Option("", help="Forward voltage: 1.08V, 1.08V@1mA or 1.1V@5V/220R."),
    ic: str = typer.Option("", help="Collector current at an emitter current: 0.3mA@10mA or 0.3V/33k@10mA."),
    body: str = typer.Option("", help="Body, 10.2x5.8x7mm."),
    grid: str = typer.Option("", help="Lead grid ACROSSxDOWN, 5.5x2.54mm."),
    gap: str = typer.Option("", help="Slot width, 3.1mm."),
    distance: str = typer.Option("", help="Distance of the target, 3mm."),
    hole: str = typer.Option("", help="Screw hole diameter, 3.2mm."),
    faces: str = typer.Option("", help="Where it looks: up or side."),
    temp: str = typer.Option("25C", help="Temperature of the reading."),
    origin: str = typer.Option("all", "--from", help="published, stock or all."),
    same: bool = typer.Option(False, "--same", help="Which part is this? (instead of: what can stand in)"),
    original: str = typer.Option("", "--for", help="The part that the board was made for."),
    site: str = typer.Option("", "--site", "--job", help="Site or job file with the board side."),
    limit: int = typer.Option(10, min=0, help="How many candidates; 0 for all."),
    refused: bool = typer.Option(False, help="Show the refused parts and why."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """Search published parts and your own stock by what you measured."""
    from xref.cli.find_text import find_text
    from xref.cli.output import emit, progress
    from xref.tasks.find import find as ask

    want = _want(
        kind=kind, output=output, lit=lit, blocked=blocked, supply=supply, leads=leads, channels=channels, vf=vf, ic=ic,
        body=body, grid=grid, gap=gap, distance=distance, hole=hole, faces=faces, temp=temp, same=same,
    )  # fmt: skip
    board, named, change = None, "", None
    if site:
        from xref.job.file import load_job, site_of
        from xref.tasks.fit import changes

        job = load_job(site)
        board, named = site_of(job, site), job.original
        change = changes(job.change, site) if job.change else None
    answer = ask(
        want, origin=origin, original=original, site=board, named=named, change=change, limit=limit,
        progress=progress("fitting candidates"),
    )  # fmt: skip
    emit(answer, find_text(answer, show_refused=refused, site=site, original=original), as_json=json)
    if not answer.candidates:
        raise typer.Exit(1)


def _want(**typed: str | bool) -> Want:
    """The request in SI from the options as typed."""
    from xref import quantity
    from xref.model.want import Want

    text = {name: value for name, value in typed.items() if isinstance(value, str)}
    reading = quantity.parse_at(text["vf"], "V") if text["vf"] else None
    current = quantity.parse_at(text["ic"], "A") if text["ic"] else None
    if current is not None and current.current is None:
        raise QuantityError("say the emitter current that it was read at: 0.3mA@10mA", "--ic")
    vf_current, vf_error, vf_assumed = _meter_current(None if reading is None else reading.current, asked=bool(reading))
    if reading is not None and not 0.2 <= reading.value <= 4.0:
        raise QuantityError(
            f"{reading.value:g} V is no forward voltage of an emitter: expected 0.9 to 2 V or so", "--vf"
        )
    return Want(
        same=bool(typed["same"]),
        kind=one_of(text["kind"], ("", *KINDS), "--kind"),
        output=OUTPUTS.get(one_of(text["output"], ("", *OUTPUTS), "--output"), ""),
        logic=_sense(text["lit"], text["blocked"]),
        leads=_count("--leads", text["leads"], 1, 16),
        channels=_count("--channels", text["channels"], 1, 4),
        vf=None if reading is None else reading.value,
        vf_current=vf_current,
        vf_error=vf_error,
        vf_assumed=vf_assumed,
        temp_c=quantity.parse(text["temp"], "C"),
        ic=None if current is None else current.value,
        ic_if=None if current is None else current.current,
        body_mm=_body(text["body"]),
        grid_mm=quantity.parse_grid(text["grid"]) if text["grid"] else None,
        gap_mm=_length("--gap", text["gap"]),
        distance_mm=_length("--distance", text["distance"]),
        hole_mm=_length("--hole", text["hole"]),
        faces=one_of(text["faces"], ("", "up", "side"), "--faces"),
        supply=quantity.parse(text["supply"], "V") if text["supply"] else None,
    )


def _meter_current(typed: float | None, *, asked: bool) -> tuple[float, float, str]:
    """Current of a VF reading [A], its half width [V], and what was assumed: as typed, the saved meter's, or usual."""
    if typed is not None:
        return typed, 0.01, ""
    from xref.places import meter_file

    if asked and meter_file().exists():
        # only then: the classes of a job cost a search a sixth of its time
        from xref.job.session import load_meter

        meter = load_meter()
        if meter is not None and meter.diode is not None:
            return meter.diode, 0.01, f"meter current: {meter.diode * 1e3:.3g} mA, as you saved it (xref meter)"
    return 1e-3, 0.02, "meter current not given: 0.5 to 1.5 mA assumed, +-0.02 V (save yours: xref meter)"


def _body(text: str) -> tuple[float, ...]:
    from xref import quantity

    size = quantity.parse_size(text) if text else ()
    if size and not 0.5 <= max(size) <= 100:
        raise QuantityError(f"a body of {max(size):g} mm is no small sensor or switch: is the unit right?", "--body")
    return size


def _sense(lit: str, blocked: str) -> str:
    lit = one_of(lit, ("", "low", "high"), "--lit")
    blocked = one_of(blocked, ("", "low", "high"), "--blocked")
    if lit and blocked and lit == blocked:
        raise UsageError(f"the output cannot be {lit} both lit and blocked", "--lit")
    word = lit or {"low": "high", "high": "low"}.get(blocked, "")
    return f"{word}-when-lit" if word else ""


def _count(option: str, text: str, low: int, high: int) -> int | None:
    from xref import quantity

    number = quantity.whole(text, low, high)
    if text and number is None:
        raise UsageError(f"{text[:20]!r} is not a whole number from {low} to {high}", option)
    return number


def _length(option: str, text: str) -> float | None:
    from xref import quantity

    if not text:
        return None
    value = quantity.parse(text, "mm")
    if value <= 0:
        raise QuantityError(f"{text!r} is not above 0; expected a length such as 3.1mm", option)
    return value
