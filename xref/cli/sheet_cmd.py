"""``xref sheet``: the job on paper."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from xref.draw.shapes import Figure
    from xref.model.answers.sheet import Sheet


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("sheet", epilog="Example: xref sheet arm-park.yaml --donor RPR-220 --out arm-park.pdf")(sheet)


def sheet(
    job: str = typer.Argument(..., help="Job file with the site."),
    donor: str = typer.Option("", help="Donor, where the file does not name one."),
    out: str = typer.Option("", help="File to write: .pdf, .html or .svg; else job name with .pdf."),
    paper: str = typer.Option("A4", help="A4 or letter."),
    plot: bool = typer.Option(False, help="Show the level plot here as well."),
    with_plots: bool = typer.Option(False, help="Print the plots even where they need a page more."),
    ascii: bool = typer.Option(False, "--ascii", help="Plain ASCII plot."),
    force: bool = typer.Option(False, help="Overwrite the file."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """One page for the soldering station: drawings, wires, order of work, readings to take, how to undo it."""
    from dataclasses import replace
    from pathlib import Path
    from typing import Literal

    from xref.cli.output import ascii_only, emit, wrap
    from xref.draw.plot_text import text_plot
    from xref.errors import UsageError
    from xref.paper.sheet import pages
    from xref.tasks.log import earlier
    from xref.tasks.sheet import sheet as ask

    size: Literal["A4", "letter"]
    if paper == "A4":
        size = "A4"
    elif paper == "letter":
        size = "letter"
    else:
        raise UsageError(f"{paper!r} is not one of A4, letter", "--paper")
    target = out or f"{Path(job).stem}.pdf"
    if Path(target).suffix not in (".pdf", ".html", ".svg"):
        raise UsageError(f"{target!r} does not end in .pdf, .html or .svg", "--out")
    made = ask(job, donor=donor, paper=size)
    laid = pages(made)
    # one page is what hangs over the bench; plots are for the desk
    alone = laid if with_plots or len(laid) == 1 or not made.plots else pages(replace(made, plots=()))
    fewer, laid = len(alone) < len(laid), alone if len(alone) < len(laid) else laid
    written = _write(target, laid, force)
    remark = "" if made.fit is None else made.fit.donor_remark
    lines = [wrap(remark, first="! ", indent="  ")] if remark else []
    lines += [wrap(f"{', '.join(written)}: {len(laid)} page{'s' if len(laid) > 1 else ''}, {paper}")]
    if fewer:
        lines.append("plots left out to keep one page: --with-plots prints, --plot shows them")
    lines += _signal(made)
    lines += [wrap(text, indent="  ", first="") for text in earlier(made.machine, made.original, made.donor)]
    if plot:
        lines += [text_plot(item, ascii=ascii_only(ascii)) for item in made.plots]
    lines.append(wrap(_next(made, job), indent="      ", first="next: "))
    emit({"written": written, "pages": len(laid), "sheet": made}, "\n".join(lines), as_json=json)


def _signal(made: Sheet) -> list[str]:
    """The verdict on the signal, as on the sheet."""
    from xref.cli.output import wrap
    from xref.paper.sheet import SIGNAL_WORDS

    if made.verdict is None:
        return []
    lines = [SIGNAL_WORDS[made.verdict.clean]]
    return lines + [wrap(text, indent="    ", first="  - ") for text in made.verdict.lines]


def _next(made: Sheet, job: str) -> str:
    """What to do with the sheet."""
    from shlex import quote

    if made.verdict is not None and made.verdict.clean is False:
        return f"look for another donor: xref find --site {quote(job)}; the sheet is for trying on the bench only"
    return f"print it at 100 %, check its ruler; after the repair: xref log {quote(job)} --lit ... --dark ..."


def _write(target: str, laid: list[Figure], force: bool) -> list[str]:
    """Write the pages in the form that the file name asks for; an SVG holds one page, so more pages are numbered."""
    from pathlib import Path

    from xref.cli.files import write_new

    suffix = Path(target).suffix
    if suffix == ".pdf":
        from xref.paper.pdf import pdf

        write_new(target, pdf(laid), force=force, option="--out")
        return [target]
    if suffix == ".html":
        from xref.paper.html import html

        write_new(target, html(laid), force=force, option="--out")
        return [target]
    from xref.draw.svg import svg

    names = [target] if len(laid) == 1 else [f"{target[:-4]}-{number}.svg" for number in range(1, len(laid) + 1)]
    for name, page in zip(names, laid, strict=True):
        write_new(name, svg(page), force=force, option="--out")
    return names
