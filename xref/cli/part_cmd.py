"""``xref part``: everything known of a part; list, sources, check and add."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any

import typer
from typer.core import TyperGroup

from xref.errors import UsageError, XrefError

if TYPE_CHECKING:
    from xref.dialogue import Question
    from xref.library.interview import Interview
    from xref.library.newpart import Draft

JSON = typer.Option(False, "--json", help="One JSON document on stdout.")
KINDS = ("reflective", "slotted", "pair", "emitter", "detector", "switch")


class NameOrCommand(TyperGroup):
    """``xref part NAME`` is short for ``xref part show NAME``."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Put ``show`` in front unless a command of the group is named."""
        first = next((word for word in args if not word.startswith("-")), "")
        if first and first not in self.commands:
            args = ["show", *args]
        parsed: list[str] = super().parse_args(ctx, args)
        return parsed


def register(app: typer.Typer) -> None:
    """Add the command group."""
    group = typer.Typer(cls=NameOrCommand, no_args_is_help=True, rich_markup_mode=None)
    group.command("show", epilog="Example: xref part show TCRT5000")(show)
    group.command("list", epilog="Example: xref part list --kind slotted --wired")(listing)
    group.command("sources", epilog="Example: xref part sources TCRT5000")(sources)
    group.command("check", epilog="Example: xref part check drawer.yaml")(check)
    group.command("add", epilog="Example: xref part add --from drawer.csv")(add)
    app.add_typer(group, name="part", help="Everything known of a part (xref part NAME); list, sources, check, add.")


def show(
    name: list[str] = typer.Argument(help="Part number as far as you can read it, stock:ID, or a part file."),
    view: str = typer.Option("component", help="Drawing seen from: component or solder."),
    ascii: bool = typer.Option(False, "--ascii", help="Draw with plain ASCII."),
    json: bool = JSON,
) -> None:
    """Everything known of a part, with conditions, basis and source."""
    from xref.cli.output import ascii_only, emit
    from xref.cli.part_text import part_text
    from xref.tasks.part import show as ask

    answer = ask(" ".join(name))
    drawing = ""
    if answer.part.geometry.wired and not json:
        from xref.draw.text import draw_part

        drawing = draw_part(answer.part, view=_view(view), ascii=ascii_only(ascii))
    emit(answer, "" if json else part_text(answer, drawing), as_json=json)


def listing(
    text: str = typer.Argument("", help="The name holds this."),
    kind: str = typer.Option("", help="reflective, slotted, pair, emitter, detector or switch."),
    maker: str = typer.Option("", help="The maker's name holds this."),
    output: str = typer.Option("", help="phototransistor, photodarlington, photodiode or logic."),
    origin: str = typer.Option("", "--from", help="published or user."),
    wired: bool = typer.Option(False, "--wired", help="Only parts with every lead known by its place."),
    json: bool = JSON,
) -> None:
    """List parts, filtered."""
    from xref.cli.output import emit
    from xref.cli.part_text import list_text
    from xref.tasks.part import listing as ask

    _one_of("--kind", kind, KINDS)
    _one_of("--from", origin, ("published", "user"))
    answer = ask(kind=kind, maker=maker, output=output, text=text, origin=origin, wired=wired)
    emit(answer, list_text(answer), as_json=json)
    if not answer.parts:
        raise typer.Exit(1)


def sources(
    text: str = typer.Argument("", help="Title, document number or part name holds this."), json: bool = JSON
) -> None:
    """List every document with its parts."""
    from xref.cli.output import emit
    from xref.cli.part_text import documents_text
    from xref.tasks.part import documents

    answer = documents(text=text)
    emit(answer, documents_text(answer), as_json=json)
    if not answer.documents:
        raise typer.Exit(1)


def check(
    paths: list[Path] = typer.Argument(None, help="Part files or folders; default: the shipped and your own parts."),
    json: bool = JSON,
) -> None:
    """Check part files: every problem in one run, one line each."""
    from xref.cli.output import emit
    from xref.cli.part_text import check_text
    from xref.tasks.part import check as ask

    answer = ask(paths or None)
    emit(answer, check_text(answer), as_json=json)
    if answer.problems:
        raise typer.Exit(3)


def add(
    source: Path = typer.Option(None, "--from", help="A part file (.yaml) or a table (.csv) instead of questions."),
    yes: bool = typer.Option(False, "--yes", "-y", help="Write without asking again."),
    json: bool = JSON,
) -> None:
    """Add a part to your own parts: by questions, or from a file, all of it or nothing."""
    from xref.cli.output import emit, note
    from xref.cli.part_text import add_text
    from xref.tasks.part import added, from_answers, from_file, interview

    if source is not None:
        ready = from_file(source)
        wanted = yes or not sys.stdin.isatty() or _confirmed(ready)
    else:
        talk = interview()
        while True:
            _ask_all(talk)
            try:
                ready = from_answers(talk.answers)
            except XrefError as error:
                note(f"  {error}")
                talk.back()
                continue
            if yes or _confirmed(ready):
                wanted = True
                break
            if not _again("Back to the questions? [y/N] "):
                wanted = False
                break
            talk.back()
    answer = added(ready, write=wanted)
    emit(answer, add_text(answer), as_json=json)
    if not wanted:
        raise typer.Exit(1)


def _ask_all(talk: Interview) -> None:
    """Put each question until all are answered; ``back`` returns to the one before."""
    from xref.cli.output import ask_line, note

    note("Empty or ? where you do not know; back for the question before;\nCtrl-C stops without writing.")
    while (question := talk.current()) is not None:
        reply = ask_line(_prompt(talk, question))
        try:
            if reply.strip().lower() == "back":
                if not talk.back():
                    note("  this is the first question")
            else:
                talk.give(reply)
        except UsageError as error:
            note(f"  {error}")


def _prompt(talk: Interview, question: Question) -> str:
    """The question as shown, with its choices or an example."""
    lines = []
    if question.key == "pinout":
        lines += _arrangements(talk.answers["offers"])
    elif question.choices:
        lines += [f"  {number} {choice}" for number, choice in enumerate(question.choices, 1)]
    text = question.text
    if question.key == "labels":
        text = f"Lead labels for {_order(talk)} in this order; leave empty for the functions"
    like = f" (like {question.example})" if question.example else ""
    return "\n".join([*lines, f"{text}{like}: "])


def _order(talk: Interview) -> str:
    """The functions in the order that labels are asked for."""
    if talk.answers.get("pinout"):
        from xref.tasks.part import pinouts

        return " ".join(lead.function for lead in pinouts()[talk.answers["pinout"]].leads)
    return " ".join(word for word in str(talk.answers["map"]).replace("/", " ").split() if word != ".")


def _arrangements(names: list[str]) -> list[str]:
    """Each known arrangement as a small drawing from the component side, numbered."""
    from xref.tasks.part import pinouts

    known = pinouts()
    lines = ["Seen from the component side:"]
    for number, name in enumerate(names, 1):
        lines += [f" {number}", *_small(known[name])]
    return [*lines, " 0 none of these"]


def _small(pinout: Any) -> list[str]:
    """Rows of functions with the spread in mm: small enough to put several on a screen."""
    xs = sorted({lead.at_mm[0] for lead in pinout.leads})
    ys = sorted({lead.at_mm[1] for lead in pinout.leads}, reverse=True)
    words = {lead.at_mm: lead.function for lead in pinout.leads}
    size = max(len(word) for word in words.values()) + 4
    rows = ["    " + "".join(words.get((x, y), ".").ljust(size) for x in xs).rstrip() for y in ys]
    return [*rows, f"    {xs[-1] - xs[0]:g} mm across, {ys[0] - ys[-1]:g} mm down"]


def _confirmed(ready: Draft) -> bool:
    """Show the file and ask."""
    from xref.cli.output import note

    note(f"\n{ready.path}:\n{ready.text}")
    if ready.hides:
        note(f"It will stand in front of the shipped {', '.join(ready.hides)}.")
    return _again("Write it? [y/N] ")


def _again(text: str) -> bool:
    from xref.cli.output import ask_line

    return ask_line(text).strip().lower() in ("y", "yes")


def _one_of(option: str, word: str, words: tuple[str, ...]) -> None:
    if word and word not in words:
        raise UsageError(f'"{word}" is not one of: {", ".join(words)}', option)


def _view(word: str) -> Any:
    _one_of("--view", word, ("component", "solder"))
    return word
