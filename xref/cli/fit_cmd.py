"""``xref fit``: how a donor goes in."""

from __future__ import annotations

import typer

from xref.errors import one_of


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("fit", epilog="Example: xref fit TCRT5000 RPR-220 --view both")(fit)


def fit(
    original: str = typer.Argument(..., help="Part name, site or job file, part file, or 'blank' with --map."),
    donor: str = typer.Argument(..., help="Part name, stock:17, part file, or 'same' to solve the values only."),
    site: str = typer.Option("", "--site", "--job", help="Site or job file with the board side."),
    map_text: str = typer.Option("", "--map", help="Pads as seen: 'A C / K E', '.' for no pad."),
    grid: str = typer.Option("", help="Grid of the pads, ACROSSxDOWN: 5.5x2.54mm."),
    seen_from: str = typer.Option("component", help="Side that --map was read from: component or solder."),
    kind: str = typer.Option("", help="Kind of the original with --map: reflective, slotted ..."),
    upper_left: str = typer.Option("", help="With --grid: upper left lead of ORIGINAL, emitter left: A or K."),
    donor_grid: str = typer.Option("", help="Lead grid of a donor without printed millimetres."),
    donor_upper_left: str = typer.Option("", help="Its upper left lead, emitter left, from above: A or K."),
    tolerance: str = typer.Option("1mm", help="How far the optical axis may move."),
    reach: str = typer.Option("", help="How far a lead may be bent; else from its free length."),
    keep: str = typer.Option("", help="Halves of the original that stay: emitter, detector or housing."),
    solder_side: bool = typer.Option(False, help="Put the donor on the solder side."),
    change: str = typer.Option(
        "", help="What may be altered: 'emitter resistor, load', across (only add in parallel), or nothing."
    ),
    series: str = typer.Option("E24", help="Resistor series: E12, E24 or E96."),
    view: str = typer.Option("both", help="Side to draw: component, solder or both."),
    ascii: bool = typer.Option(False, "--ascii", help="Plain ASCII drawing."),
    alternatives: int = typer.Option(1, min=0, max=4, help="How many next-best ways to list."),
    svg: str = typer.Option("", help="Also write the drawing to this SVG file."),
    force: bool = typer.Option(False, help="Overwrite the SVG file."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """Solve how a donor goes in: leads, wires, cuts, values, proof."""
    from xref import quantity
    from xref.cli.fit_text import fit_text
    from xref.cli.output import ascii_only, emit
    from xref.tasks.fit import FitOptions, Question
    from xref.tasks.fit import fit as ask

    one_of(seen_from, ("component", "solder"), "--seen-from")
    one_of(view, ("component", "solder", "both"), "--view")
    one_of(series, ("E12", "E24", "E96"), "--series")
    one_of(kind, ("", "reflective", "slotted", "pair", "emitter", "detector", "switch"), "--kind")
    one_of(upper_left, ("", "A", "K"), "--upper-left")
    one_of(donor_upper_left, ("", "A", "K"), "--donor-upper-left")
    options = FitOptions(
        tolerance_mm=quantity.parse(tolerance, "mm"),
        reach_mm=quantity.parse(reach, "mm") if reach else None,
        keep=_keep(keep),
        solder_side=solder_side,
        alternatives=alternatives,
    )
    answered = ask(
        Question(
            original=original,
            donor=donor,
            site_file=site,
            map_text=map_text,
            grid_mm=quantity.parse_grid(grid) if grid else None,
            seen_from=seen_from,
            kind=kind,
            upper_left=upper_left,
            donor_grid_mm=quantity.parse_grid(donor_grid) if donor_grid else None,
            donor_upper_left=donor_upper_left,
            change=_change(change),
            series=series,
            options=options,
        )
    )
    if svg and answered.fit.possible:
        from xref.cli.files import write_new
        from xref.draw.svg import fit_svg

        write_new(svg, fit_svg(answered.fit, answered.board, answered.donor), force=force, option="--svg")
    text = "" if json else fit_text(answered, view=view, ascii=ascii_only(ascii), site=_site_file(site, original))
    emit(answered.fit, text, as_json=json)
    if not answered.fit.possible:
        raise typer.Exit(1)


def _site_file(site: str, original: str) -> str:
    return site or (original if original.endswith((".yaml", ".yml")) else "")


def _keep(text: str) -> tuple[str, ...]:
    words = tuple(word.strip() for word in text.split(",") if word.strip())
    for word in words:
        one_of(word, ("emitter", "detector", "housing"), "--keep")
    return words


def _change(text: str) -> tuple[str, ...] | None:
    if not text:
        return None
    from xref.tasks.fit import changes

    return changes(tuple(word.strip() for word in text.split(",")), "--change")
