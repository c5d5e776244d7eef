"""``xref demo``: the whole job once, on the fraction collector, through the functions that the commands call."""

from __future__ import annotations

import typer


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("demo", epilog="Example: xref demo")(demo)


def demo(ascii: bool = typer.Option(False, "--ascii", help="Plain ASCII drawings.")) -> None:
    """The whole job once: a blank sensor of a college lab's fraction collector, from readings to wiring."""
    from xref.cli.demo_story import story
    from xref.cli.output import ascii_only, say

    for text in story(ascii=ascii_only(ascii)):
        say(text)
