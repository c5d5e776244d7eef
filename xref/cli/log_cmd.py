"""``xref log``: what was measured after the repair, and earlier jobs."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from xref.job.records import Record


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("log", epilog="Example: xref log arm-park.yaml --donor RPR-220 --lit 0.2V --dark 4.8V")(log)


def log(
    what: str = typer.Argument(..., help="Job file to keep a record of; or: list, show."),
    item: str = typer.Argument("", help="With show: the record's number; with list: a machine or part."),
    lit: str = typer.Option("", help="Output volts after the repair, bright target."),
    dark: str = typer.Option("", help="Output volts after the repair, dark target."),
    emitter: str = typer.Option("", help="Volts across the emitter."),
    supply: str = typer.Option("", help="Supply volts at the sensor."),
    donor: str = typer.Option("", help="Donor, where the file does not name one."),
    note: str = typer.Option("", help="A word for the next technician."),
    date: str = typer.Option("", help="Date of the repair, 2026-11-25; else the file's, else today."),
    write: bool = typer.Option(False, help="Also write the results below the marker line of the job file."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """Keep the readings after a repair with a verdict; list and show earlier records."""
    from xref.cli.output import emit
    from xref.errors import UsageError
    from xref.tasks import log as task

    if what == "list":
        found = task.records(item)
        emit(found, _list(found), as_json=json)
        if not found:
            raise typer.Exit(1)
        return
    if what == "show":
        if not item.isascii() or not item.isdigit():
            raise UsageError(f"{item[:20]!r} is not the number of a record; xref log list shows them", "log show")
        record = task.record(int(item[:9]))
        emit(record, _one(record), as_json=json)
        return
    typed = {"lit": lit, "dark": dark, "emitter": emitter, "supply": supply}
    after = {name: text for name, text in typed.items() if text}
    kept = task.log(what, after, donor=donor, note=note, date=date, write=write)
    emit(kept, f"{_one(kept)}\n\n{_next(kept, what)}", as_json=json)


def _next(kept: Record, job: str) -> str:
    """What comes after the record: the label only for a repair that is as expected."""
    from shlex import quote

    from xref.cli.output import wrap
    from xref.tasks.log import AS_EXPECTED

    if kept.verdict == AS_EXPECTED and {"lit", "dark"} <= set(kept.after):
        text = "put the label of the sheet inside the machine"
    elif kept.verdict == AS_EXPECTED or kept.verdict.startswith("not compared"):
        text = f"read the output lit and dark, then: xref log {quote(job)} --lit ... --dark ..."
    else:
        text = f"do not close the machine; find the cause, what to read where: xref expect {quote(job)}"
    return wrap(text, first="next: ", indent="      ")


def _list(records: list[Record]) -> str:
    from xref.cli.output import table

    if not records:
        return "No record yet. After a repair: xref log JOB --lit ... --dark ..."
    rows = [
        (str(r.number), r.date, r.machine[:24] or "-", r.donor, f"for {r.original or 'a blank part'}: {r.verdict}")
        for r in records
    ]
    return table(("no", "date", "machine", "donor", "what"), rows)


def _one(record: Record) -> str:
    from xref.cli.output import wrap

    lines = [wrap(f"record {record.number}, {record.date}: {record.job}", indent="  ", first="")]
    lines.append(wrap(record.machine or "not said", first="machine: ", indent="  "))
    lines.append(wrap(f"{record.donor} in place of {record.original or 'a blank part'}", indent="  ", first=""))
    for name, text in record.after.items():
        wanted = record.expected.get(name, "nothing expected")
        lines.append(wrap(f"{text}   ({wanted})", first=f"  {name}: ", indent="    "))
    lines.append(wrap(record.verdict, first="verdict: ", indent="  "))
    lines += [wrap(text, first="changed: ", indent="  ") for text in record.changes]
    if record.note:
        lines.append(wrap(record.note, first="note: ", indent="  "))
    return "\n".join(lines)
