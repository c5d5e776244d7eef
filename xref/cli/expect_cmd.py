"""``xref expect``: what to read at each point, before anything is measured."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from xref.model.answers.assess import ExpectAnswer


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("expect", epilog="Example: xref expect arm-park.yaml")(expect)


def expect(
    site: str = typer.Argument(..., help="Site or job file."),
    original: str = typer.Option("", "--for", help="The part that is fitted, where known."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """A table for this very board: point, probes, and what a good, weak and dead part shows."""
    from xref.cli.output import emit
    from xref.job.file import load_job, site_of
    from xref.tasks.assess import expect as ask

    job = load_job(site)
    answer = ask(site_of(job, site), original=original, named=job.original)
    emit(answer, _text(answer, site), as_json=json)


def _text(answer: ExpectAnswer, site: str) -> str:
    from xref.cli.output import wrap

    lines = [wrap(caution, first="! ", indent="  ") for caution in answer.cautions]
    for row in answer.rows:
        lines += [
            "",
            f"{row.point}, {row.state}   ({row.meter})",
            f"  red on {row.red_probe}, black on {row.black_probe}",
            wrap(row.good, first="  good  ", indent="        "),
            wrap(row.weak, first="  weak  ", indent="        "),
            wrap(row.dead, first="  dead  ", indent="        "),
        ]
        if row.caution:
            lines.append(wrap(row.caution, first="  ! ", indent="    "))
    if answer.assumed:
        lines += ["", f"Assumed (measure to replace) [{answer.basis}]:"]
        lines += [wrap(text, first="  - ", indent="    ") for text in answer.assumed]
    lines += ["", f"next: xref assess {site} --emitter ... --lit ... --dark ..."]
    return "\n".join(lines)
