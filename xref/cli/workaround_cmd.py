"""``xref workaround``: make do with what still works, and know the price."""

from __future__ import annotations

import typer


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("workaround", epilog='Example: xref workaround ring-selector.yaml --try "jumper INNER OUTER"')(
        workaround
    )


def workaround(
    file: str = typer.Argument(..., help="Network file. With --ask: the file to write."),
    max_actions: int = typer.Option(3, "--max-actions", help="Most changes in one plan, 1 to 4."),
    tried: list[str] = typer.Option(
        [], "--try", help='Judge your own plan instead: "jumper A B", "lift CONTACT". Once for each change.'
    ),
    option: int = typer.Option(1, "--option", min=1, help="Which plan to show in full and to draw."),
    draw: bool = typer.Option(False, "--draw", help="Draw every mode, before and after."),
    brief: bool = typer.Option(False, "--brief", help="No drawing at all."),
    svg: str = typer.Option("", "--svg", help="Also write the drawing to this file."),
    force: bool = typer.Option(False, "--force", help="Overwrite the SVG file."),
    ask: bool = typer.Option(False, "--ask", help="Ask for the network, question by question, and write FILE."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """Plan jumpers and lifted contacts around a dead sensor, and say what is lost."""
    from xref.cli.output import emit, note
    from xref.cli.workaround_ask import ask_and_write
    from xref.cli.workaround_text import decisive, drawings, ladders, workaround_text
    from xref.errors import UsageError
    from xref.tasks.workaround import workaround as plan

    if ask:
        ask_and_write(file)
    result = plan(file, max_actions=max_actions, tried=tuple(tried), show=max(5, option))
    options = result.answer.options
    if option > len(options):
        raise UsageError(f"there {'is' if len(options) == 1 else 'are'} only {len(options)}", "--option")
    panels = ladders(result.before, result.after[option - 1], options[option - 1])
    if svg:
        from xref.cli.files import write_new
        from xref.draw.network_svg import network_svg

        write_new(svg, network_svg(panels, result.before.machine), force=force, option="--svg")
        note(f"drawing written to {svg}")
    text = workaround_text(result.answer, option)
    if not brief:
        shown = panels if draw else decisive(panels, result.before, result.answer, options[option - 1])
        text += f"\n\n{drawings(shown)}"
        if len(shown) < len(panels):
            text += "\n\nBefore, after and every mode: --draw. As a file: --svg FILE."
    emit(result.answer, text, as_json=json)
