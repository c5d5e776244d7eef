"""``xref meter``: save what your multimeter does, once."""

from __future__ import annotations

import typer


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("meter", epilog="Example: xref meter --diode 1mA --open 3V --overload 2V --ohms-red plus")(meter)


def meter(
    diode: str = typer.Option("", help="Current of the diode test, 1mA."),
    open_volts: str = typer.Option("", "--open", help="Open-circuit voltage of the diode test, 3V."),
    overload: str = typer.Option("", help="Shows overload above this, 2V."),
    ohms_red: str = typer.Option("", help="On ohms the red lead is plus or minus (try a known diode)."),
    forget: bool = typer.Option(False, "--forget", help="Forget the saved meter first."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """Save your meter's figures, or show them with printed examples."""
    from xref.cli.identify_cmd import typed_meter
    from xref.cli.identify_text import meter_text
    from xref.cli.output import emit
    from xref.tasks.identify import keep_meter

    answer = keep_meter(typed_meter(diode, open_volts, overload, ohms_red), forget=forget)
    emit(answer, meter_text(answer), as_json=json)
