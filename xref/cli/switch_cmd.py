"""``xref switch``: identify, find, fit and spare, by what joins when."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

from xref.errors import one_of

if TYPE_CHECKING:
    from xref.model.contact_need import ContactNeed

DRIVES = "logic, ladder, outputs, supplies, lamp, motor, coil, mains or interlock."
LOAD = "Circuit: open voltage/closed current, 5V/0.5mA or 230VAC/2A."
BETWEEN = "While it moves: open (lets go first), joined (makes first) or any."
JSON = "One JSON document on stdout."


def register(app: typer.Typer) -> None:
    """Add the command with its sub-commands."""
    sub = typer.Typer(
        no_args_is_help=True, rich_markup_mode=None, help="Find and wire small switches by what joins when."
    )
    sub.command("identify", epilog="Example: xref switch identify --leads 3 1:2@left=0 1:3@left=OL 2:3@right=0")(
        identify
    )
    sub.command("find", epilog="Example: xref switch find --joins left=1:2 --joins right=2:3 --load 5V/0.5mA")(find)
    sub.command("fit", epilog="Example: xref switch fit OS202011MS2QN1 5MD1 --load 12V/50mA")(fit)
    sub.command("spare", epilog="Example: xref switch spare OS202011MS2QN1 --used 1,2,3")(spare)
    app.add_typer(sub, name="switch")


def identify(
    readings: list[str] = typer.Argument(
        None, metavar="READING...", help="1:2@left=0, 2:3@left=OL, 1:2@left-right=OL ..."
    ),
    leads: str = typer.Option("", help="How many leads, or their names: 6 or C,1,2; else those that are read."),
    positions: str = typer.Option("", help="All positions in order: left,middle,right."),
    returns_to: str = typer.Option("", help="The position to which it springs back."),
    bounce: str = typer.Option("", help="Longest bounce that you measured, 5ms."),
    job: str = typer.Option("", "--job", help="Job file whose loose readings come first."),
    json: bool = typer.Option(False, "--json", help=JSON),
) -> None:
    """Infer poles, throws, commons and timing from continuity readings; asks for the next one."""
    from xref import quantity
    from xref.cli.output import emit
    from xref.cli.switch_text import identity_text
    from xref.tasks.switch import identify as ask
    from xref.tasks.switch_typed import typed_leads

    names = tuple(word.strip() for word in positions.split(",") if word.strip())
    answer = ask(
        typed_leads(leads) if leads else (),
        readings or [],
        job=job,
        positions=names,
        returns_to=returns_to,
        bounce=quantity.parse(bounce, "s") if bounce else None,
    )
    emit(answer, identity_text(answer), as_json=json)


def find(
    joins: list[str] = typer.Option([], help="What joins in a position: left=1:2,4:5; mid=none. Once a position."),
    rest: str = typer.Option("", help="The position of --joins to which it must spring back."),
    between: str = typer.Option("", help=BETWEEN),
    load: str = typer.Option("", help=LOAD),
    drives: str = typer.Option("", help=DRIVES),
    ohm_max: str = typer.Option("", help="Contact resistance that the circuit stands, 10R."),
    ladder: str = typer.Option("", help="Resistor ladder, SUPPLY/PULLUP:R1,R2: 5V/10k:0,1k,2k2."),
    doubled: bool = typer.Option(False, help="Two contacts in parallel for each one."),
    leads: str = typer.Option("", help="Number of leads."),
    pitch: str = typer.Option("", help="Lead pitch, 2.5mm."),
    body: str = typer.Option("", help="Room for the body, 13x5x6mm."),
    action: str = typer.Option(
        "", help="slide, snap-action, leaf, tactile, push, reed, rotary, detector, toggle or dip."
    ),
    springs: str = typer.Option("", help="back or stays."),
    force: str = typer.Option("", help="Operating force, 0.5N."),
    travel: str = typer.Option("", help="Travel, 2mm."),
    bounce: str = typer.Option("", help="Longest bounce allowed, 5ms."),
    mount: str = typer.Option("", help="through-hole, smd or panel/wired."),
    origin: str = typer.Option("all", "--from", help="published, stock or all."),
    limit: int = typer.Option(10, min=0, help="How many candidates; 0 for all."),
    refused: bool = typer.Option(False, help="Show the refused parts and why."),
    json: bool = typer.Option(False, "--json", help=JSON),
) -> None:
    """Search switches that contain the wanted behaviour and suit the circuit."""
    from xref.cli.output import emit
    from xref.cli.switch_text import found_text
    from xref.tasks.switch import find as ask
    from xref.tasks.switch import like_for_like
    from xref.tasks.switch_typed import typed_want

    want = typed_want(
        joins=joins, rest=rest, need=_need(between, load, drives, ohm_max, ladder, doubled), leads=leads, pitch=pitch,
        body=body, action=action, springs=springs, force=force, travel=travel, bounce=bounce, mount=mount,
    )  # fmt: skip
    answer = ask(want, origin=origin, limit=limit)
    emit(answer, found_text(answer, show_refused=refused, mains=load if like_for_like(want) else ""), as_json=json)
    if not answer.candidates:
        raise typer.Exit(1)


def fit(
    original: str = typer.Argument(..., help="Part name, part or job file, or 'blank' with --joins."),
    donor: str = typer.Argument(..., help="Part name, stock:17 or part file."),
    joins: list[str] = typer.Option([], help="Blank original: what joins in a position, left=1:2,4:5."),
    rest: str = typer.Option("", help="Blank original: the position to which it springs back."),
    between: str = typer.Option("", help=BETWEEN),
    load: str = typer.Option("", help=LOAD),
    drives: str = typer.Option("", help=DRIVES),
    ohm_max: str = typer.Option("", help="Contact resistance that the circuit stands, 10R."),
    ladder: str = typer.Option("", help="Resistor ladder, SUPPLY/PULLUP:R1,R2: 5V/10k:0,1k,2k2."),
    doubled: bool = typer.Option(False, help="Two contacts in parallel for each one."),
    lever: str = typer.Option("", help="The donor's lever, tried in place: same or reversed."),
    site: str = typer.Option("", "--site", "--job", help="Site or job file with the board side."),
    map_text: str = typer.Option("", "--map", help="Pads as seen: '1 2 3 / 4 5 6', '.' for no pad."),
    grid: str = typer.Option("", help="Grid of the pads, ACROSSxDOWN: 2.5x2.5mm."),
    seen_from: str = typer.Option("component", help="Side that --map was read from: component or solder."),
    donor_map: str = typer.Option("", help="The donor's leads as they stand, from above."),
    donor_grid: str = typer.Option("", help="Grid of the donor's leads."),
    tolerance: str = typer.Option("1mm", help="How far the donor's middle may be off."),
    reach: str = typer.Option("", help="How far a lead may be bent; else from its free length."),
    solder_side: bool = typer.Option(False, help="Put the donor on the solder side."),
    view: str = typer.Option("both", help="Side to draw: component, solder or both."),
    ascii: bool = typer.Option(False, "--ascii", help="Plain ASCII drawing."),
    json: bool = typer.Option(False, "--json", help=JSON),
) -> None:
    """Solve how a switch goes in: leads to pads, positions to positions, wires, proof."""
    from xref import quantity
    from xref.cli.fit_text import fit_text
    from xref.cli.output import ascii_only, emit
    from xref.tasks.switch_fit import FitOptions, SwitchQuestion
    from xref.tasks.switch_fit import fit as ask
    from xref.tasks.switch_typed import typed_joins

    one_of(seen_from, ("component", "solder"), "--seen-from")
    one_of(view, ("component", "solder", "both"), "--view")
    options = FitOptions(
        tolerance_mm=quantity.parse(tolerance, "mm"),
        reach_mm=quantity.parse(reach, "mm") if reach else None,
        solder_side=solder_side,
    )
    answered = ask(
        SwitchQuestion(
            original=original, donor=donor, site_file=site, map_text=map_text, seen_from=seen_from, donor_map=donor_map,
            grid_mm=quantity.parse_grid(grid) if grid else None,
            donor_grid_mm=quantity.parse_grid(donor_grid) if donor_grid else None,
            joins=typed_joins(joins), rest=rest, options=options,
            need=_need(between, load, drives, ohm_max, ladder, doubled, lever),
        )
    )  # fmt: skip
    emit(answered.fit, "" if json else fit_text(answered, view=view, ascii=ascii_only(ascii)), as_json=json)
    if not answered.fit.possible:
        raise typer.Exit(1)


def spare(
    original: str = typer.Argument(..., help="Part name, stock:17 or part file."),
    used: str = typer.Option(..., help="The leads that the board is wired to: 1,2,3."),
    between: str = typer.Option("", help=BETWEEN),
    drives: str = typer.Option("", help=DRIVES),
    site: str = typer.Option("", "--site", "--job", help="Site or job file: what the switch protects."),
    json: bool = typer.Option(False, "--json", help=JSON),
) -> None:
    """Unused contacts of a switch as its own donor."""
    from xref.cli.output import emit
    from xref.cli.switch_text import spare_text
    from xref.tasks.switch_spare import safety_of
    from xref.tasks.switch_spare import spare as ask

    names = [word.strip() for word in used.split(",") if word.strip()]
    answer = ask(original, names, _need(between, "", drives, "", "", False), safety=safety_of(site))
    emit(answer, spare_text(answer), as_json=json)
    if not answer.ways:
        raise typer.Exit(1)


def _need(
    between: str, load: str, drives: str, ohm_max: str, ladder: str, doubled: bool, lever: str = ""
) -> ContactNeed:
    from xref.tasks.switch_typed import typed_need

    return typed_need(
        between=between, load=load, drives=drives, ohm_max=ohm_max, ladder=ladder, doubled=doubled, lever=lever
    )
