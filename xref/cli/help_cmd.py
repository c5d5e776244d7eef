"""``xref help TOPIC``: plain pages, each number with its source."""

from __future__ import annotations

import typer


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("help", epilog="Example: xref help views")(show)


def show(topic: str = typer.Argument("", help="Topic; without one, the list of topics.")) -> None:
    """Plain pages: measuring, reading pinouts and views, choosing resistors, safety."""
    import difflib

    from xref.cli.output import say
    from xref.errors import UsageError
    from xref.guide import page, topics

    names = topics()
    if not topic:
        say("\n".join(f"{name:10} {line}" for name, line in names.items()) + "\n\nnext: xref help start")
        return
    if topic not in names:
        near = difflib.get_close_matches(topic, list(names), 1)
        tail = f"; nearest: {near[0]}" if near else f"; topics: {', '.join(names)}"
        raise UsageError(f"no topic {topic!r}{tail}", "help")
    say(page(topic))
