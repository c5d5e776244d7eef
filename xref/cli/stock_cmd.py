"""``xref stock``: salvaged boards and what is left on them."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Any

import typer

from xref.errors import UsageError

JSON = typer.Option(False, "--json", help="One JSON document on stdout.")
COUNT = typer.Option("1", "--count", "-n", help="How many pieces.")
NOTE = typer.Option("", help="A remark for the history.")
PIECE = typer.Argument(help="Number on the label: stock:17 or 17.")

PLACE = typer.Option(None, help="Where it lies: drawer 3.")
CONDITION = typer.Option(None, help="good, used, doubtful or dead (kept for its housing, never offered).")
TESTED = typer.Option(None, "--tested/--not-tested", help="It was tried and works.")
NOTES = typer.Option(None, help="Anything worth knowing.")
OUTPUT = typer.Option("", help="transistor, darlington, diode or logic.")
LOGIC = typer.Option("", help="high-when-lit or low-when-lit.")
LEADS = typer.Option("", help="Number of leads, or what each does: '1=A 2=K 3=C 4=E'.")
MAP = typer.Option("", help="Where the leads stand, rows top to bottom: 'A C / K E'.")
GRID = typer.Option("", help="Lead grid ACROSSxDOWN, 5.5x2.54mm.")
SEEN = typer.Option("component", help="For --map: component or solder.")
JOINS = typer.Option("", help="Switch: which leads join when: 'left=1:2 right=2:3'.")
VF = typer.Option("", help="Measured forward voltage, 1.12V@10mA.")
IC = typer.Option("", help="Measured collector current, 0.5mA@10mA or 0.3V/33k@10mA.")
VCE = typer.Option("", help="For --ic: collector voltage, 5V.")
DISTANCE = typer.Option("", help="For --ic: distance of the target, 3mm.")
TARGET = typer.Option("", help="For --ic: the target, 'white card'.")
DARK = typer.Option("", help="Measured dark current, 100nA.")
CONTACT = typer.Option("", help="Switch: measured contact resistance, 0.08R.")
BODY = typer.Option("", help="Body by calipers, 10.2x5.8x7mm.")
GAP = typer.Option("", help="Slot width by calipers, 3.1mm.")


def register(app: typer.Typer) -> None:
    """Add the command group."""
    group = typer.Typer(no_args_is_help=True, rich_markup_mode=None)
    group.command("add", epilog="Example: xref stock add TCRT5000 --new-board 'ring controller' --place 'drawer 3'")(
        add
    )
    group.command("list", epilog="Example: xref stock list --kind slotted --place drawer")(listing)
    group.command("show", epilog="Example: xref stock show stock:17")(show)
    group.command("take", epilog="Example: xref stock take 17 --note 'arm park, collector 2'")(take)
    group.command("return", epilog="Example: xref stock return 17")(give_back)
    group.command("scrap", epilog="Example: xref stock scrap board:7")(scrap)
    group.command("set", epilog="Example: xref stock set 17 --vf 1.12V@10mA --one")(change)
    group.command("label", epilog="Example: xref stock label 17 18 board:7")(label)
    group.command("where", epilog="Example: xref stock where slotted")(where)
    group.command("import", epilog="Example: xref stock import drawer.csv --dry-run")(import_)
    group.command("export", epilog="Example: xref stock export shelf.csv")(export)
    group.command("backup", epilog="Example: xref stock backup /media/stick/shelf.sqlite")(backup)
    group.command("restore", epilog="Example: xref stock restore /media/stick/shelf.sqlite")(restore)
    app.add_typer(group, name="stock", help="Salvaged boards and what is left on them.")


def add(
    part: list[str] = typer.Argument(None, help="Part number as printed; without one, questions are asked."),
    count: str = COUNT,
    board: str = typer.Option("", help="Board that it is on: board:7 or 7."),
    new_board: str = typer.Option("", "--new-board", help="A new board: from what it is."),
    photo: str = typer.Option("", help="For --new-board: where its photo lies."),
    place: str = PLACE,
    condition: str = CONDITION,
    tested: bool = TESTED,
    notes: str = NOTES,
    file: str = typer.Option("", help="A part file that describes it."),
    kind: str = typer.Option("", help="Unknown part: reflective, slotted, pair, emitter, detector or switch."),
    reading: list[str] = typer.Option(None, help="Meter reading on the loose part, 1:2=1.08V; repeat."),
    output: str = OUTPUT, logic: str = LOGIC, leads: str = LEADS, map: str = MAP, grid: str = GRID,
    seen_from: str = SEEN, joins: str = JOINS, vf: str = VF, ic: str = IC, vce: str = VCE, distance: str = DISTANCE,
    target: str = TARGET, dark: str = DARK, contact: str = CONTACT, body: str = BODY, gap: str = GAP,
    json: bool = JSON,
) -> None:  # fmt: skip
    """Put a board or pieces on the shelf; without a part, by questions."""
    from xref.cli.output import emit
    from xref.cli.stock_text import done_text
    from xref.model.stock import Board
    from xref.tasks.stock import board_id
    from xref.tasks.stock_entry import Entry
    from xref.tasks.stock_shelf import add as ask

    name = " ".join(part or ())
    if not (name or kind or file or new_board):
        from xref.cli.stock_ask import interview

        interview(as_json=json)
        return
    if board and new_board:
        raise UsageError("--board is one that is there, --new-board another: give one of them")
    new = None
    if new_board:
        new = Board(id=-1, source=new_board, place=place or "", photo=photo, notes="" if name or kind else notes or "")
    held = new if new is not None else Board(id=board_id(board), source="") if board else None
    values = _values(vf, ic, vce, distance, target, dark, contact, body, gap)
    entries = []
    if name or kind or file:
        entries.append(Entry(
            part=name, count=_count(count), board=held, place="" if new is not None else place or "",
            condition=condition or "used", tested=bool(tested), notes=notes or "", file=file, kind=kind,
            output=output, logic=logic, leads=leads, map=map, grid=grid, seen_from=seen_from, joins=joins,
            readings=tuple(reading or ()), values=values,
        ))  # fmt: skip
    answer = ask(entries, new)
    emit(answer, done_text(answer), as_json=json)


def listing(
    text: str = typer.Argument("", help="The name, the notes or the board hold this."),
    kind: str = typer.Option("", help="reflective, slotted, pair, emitter, detector or switch."),
    place: str = typer.Option("", help="The place holds this."),
    board: str = typer.Option("", help="What is on board:7."),
    boards: bool = typer.Option(False, "--boards", help="The boards instead of the pieces."),
    all: bool = typer.Option(False, "--all", help="Also what is used up, and scrapped boards."),
    limit: int = typer.Option(50, min=0, help="How many lines; 0 for all."),
    json: bool = JSON,
) -> None:
    """What is left, and where it lies."""
    from xref.cli.output import emit
    from xref.cli.stock_text import shelf_text
    from xref.tasks import stock_shelf

    if boards:
        answer = stock_shelf.boards(scrapped=all)
    else:
        _kind(kind)
        answer = stock_shelf.listing(text=text, kind=kind, place=place, board=board, used_up=all, limit=limit)
    emit(answer, shelf_text(answer), as_json=json)
    if not answer.pieces and not answer.boards:
        raise typer.Exit(1)


def show(reference: str = typer.Argument(help="stock:17 or board:7."), json: bool = JSON) -> None:
    """One piece or board, and what happened to it."""
    from xref.cli.output import emit
    from xref.cli.stock_text import shown_text
    from xref.tasks.stock_shelf import show as ask

    answer = ask(reference)
    emit(answer, shown_text(answer), as_json=json)


def take(reference: str = PIECE, count: str = COUNT, note: str = NOTE, json: bool = JSON) -> None:
    """Take pieces off the shelf."""
    from xref.cli.output import emit
    from xref.cli.stock_text import done_text
    from xref.tasks.stock_shelf import take as ask

    answer = ask(reference, _count(count), note)
    emit(answer, done_text(answer), as_json=json)


def give_back(reference: str = PIECE, count: str = COUNT, note: str = NOTE, json: bool = JSON) -> None:
    """Put back pieces that were taken."""
    from xref.cli.output import emit
    from xref.cli.stock_text import done_text
    from xref.tasks.stock_shelf import give_back as ask

    answer = ask(reference, _count(count), note)
    emit(answer, done_text(answer), as_json=json)


def scrap(
    reference: str = typer.Argument(help="stock:17, or board:7 with all that is on it."),
    count: str = typer.Option("", "--count", "-n", help="How many pieces; without it all that are left."),
    note: str = NOTE,
    json: bool = JSON,
) -> None:
    """Throw pieces, or a whole board, away; the history stays."""
    from xref.cli.output import emit
    from xref.cli.stock_text import done_text
    from xref.tasks.stock_shelf import scrap as ask

    answer = ask(reference, _count(count) if count else None, note)
    emit(answer, done_text(answer), as_json=json)


def change(
    reference: str = PIECE,
    one: bool = typer.Option(False, "--one", help="Only one of several equal pieces; it gets an id of its own."),
    board: str = typer.Option("", help="Board that it is on: board:7, or none."),
    place: str = PLACE, condition: str = CONDITION, tested: bool = TESTED, notes: str = NOTES,
    output: str = OUTPUT, logic: str = LOGIC, leads: str = LEADS, map: str = MAP, grid: str = GRID,
    seen_from: str = SEEN, joins: str = JOINS, vf: str = VF, ic: str = IC, vce: str = VCE, distance: str = DISTANCE,
    target: str = TARGET, dark: str = DARK, contact: str = CONTACT, body: str = BODY, gap: str = GAP,
    json: bool = JSON,
) -> None:  # fmt: skip
    """Correct an entry, or add what was measured since."""
    from xref.cli.output import emit
    from xref.cli.stock_text import done_text
    from xref.tasks.stock import board_id
    from xref.tasks.stock_entry import Entry
    from xref.tasks.stock_shelf import change as ask

    typed = {"place": place, "condition": condition, "tested": tested, "notes": notes}
    fields: dict[str, Any] = {key: value for key, value in typed.items() if value is not None}
    if board:
        fields["board"] = None if board == "none" else board_id(board)
    entry = Entry(output=output, logic=logic, leads=leads, map=map, grid=grid, seen_from=seen_from, joins=joins,
                  values=_values(vf, ic, vce, distance, target, dark, contact, body, gap))  # fmt: skip
    answer = ask(reference, entry, fields, one=one)
    emit(answer, done_text(answer), as_json=json)


def label(
    references: list[str] = typer.Argument(help="stock:17, board:7, as many as needed."), json: bool = JSON
) -> None:
    """What to write on the bag or on the board."""
    from xref.cli.output import emit
    from xref.cli.stock_text import labels_text
    from xref.tasks.stock_shelf import labels

    answer = labels(references)
    emit(answer, labels_text(answer), as_json=json)


def where(
    kind: str = typer.Argument(help="reflective, slotted, pair, emitter, detector or switch."), json: bool = JSON
) -> None:
    """In which equipment such parts are found; your own boards first."""
    from xref.cli.output import emit
    from xref.cli.stock_text import where_text
    from xref.tasks.stock_where import where as ask

    _kind(kind)
    answer = ask(kind)
    emit(answer, where_text(answer), as_json=json)


def import_(
    file: Path = typer.Argument(help="A table (.csv) or an export (.json)."),
    dry_run: bool = typer.Option(False, "--dry-run", help="Check only; nothing is written."),
    renumber: bool = typer.Option(False, "--renumber", help="Give all pieces and boards new ids."),
    json: bool = JSON,
) -> None:
    """Put what a file holds on the shelf: all of it, or nothing.

    Every problem is named with its line.
    """
    from xref.cli.output import emit
    from xref.cli.stock_text import imported_text
    from xref.tasks.stock_files import import_file

    answer = import_file(file, dry_run=dry_run, renumber=renumber)
    emit(answer, imported_text(answer), as_json=json)
    if answer.problems:
        raise typer.Exit(3)


def export(
    file: str = typer.Argument(help="Ends in .csv (pieces and boards) or .json (history too); - for stdout."),
    force: bool = typer.Option(False, "--force", help="Replace an existing file."),
    json: bool = JSON,
) -> None:
    """Write the whole stock in an open format."""
    from xref.cli.files import write_new
    from xref.cli.output import emit
    from xref.cli.stock_text import written_text
    from xref.tasks.stock_files import exported

    answer, text = exported(file)
    if file == "-":
        sys.stdout.write(text)
        return
    write_new(file, text, force=force)
    emit(answer, written_text(answer, "exported"), as_json=json)


def backup(
    file: Path = typer.Argument(help="Where to; it must not exist."),
    json: bool = JSON,
) -> None:
    """Make a copy that can be restored, checked before it counts."""
    from xref.cli.output import emit
    from xref.cli.stock_text import written_text
    from xref.tasks.stock_files import backup as ask

    answer = ask(file)
    emit(answer, written_text(answer, "backup"), as_json=json)


def restore(
    file: Path = typer.Argument(
        None, help="A backup or a JSON export; without it: the last automatic copy and all since."
    ),
    yes: bool = typer.Option(False, "--yes", "-y", help="Do not ask."),
    json: bool = JSON,
) -> None:
    """Put a backup in the place of the stock.

    What is there now is kept aside.
    """
    from xref.cli.output import emit
    from xref.cli.stock_text import written_text
    from xref.tasks.stock_files import restore as ask
    from xref.tasks.stock_files import restore_plan

    if not yes:
        if not sys.stdin.isatty():
            raise UsageError("restore replaces the stock: add --yes")
        sys.stderr.write(restore_plan(file) + "\nReplace? [y/N] ")
        sys.stderr.flush()
        if sys.stdin.readline().strip().lower() not in ("y", "yes"):
            raise typer.Exit(1)
    answer = ask(file)
    emit(answer, written_text(answer, "restored"), as_json=json)


def _values(vf: str, ic: str, vce: str, distance: str, target: str, dark: str, contact: str, body: str,
            gap: str) -> dict[str, str]:  # fmt: skip
    typed = {"vf": vf, "ic": ic, "vce": vce, "distance": distance, "target": target, "dark": dark, "contact": contact,
             "body": body, "gap": gap}  # fmt: skip
    return {word: text for word, text in typed.items() if text}


def _count(text: str) -> int:
    if not (text.isascii() and text.isdigit() and len(text) <= 7 and int(text)):
        raise UsageError(f"{text[:20]!r} is not a number of pieces: expected 1 to 1000000", "--count")
    return int(text)


def _kind(word: str) -> None:
    from xref.tasks.stock_entry import KINDS

    if word and word not in KINDS:
        import difflib

        near = difflib.get_close_matches(word, KINDS, 1)
        tail = f"; nearest: {near[0]}" if near else ""
        raise UsageError(f"{word[:30]!r} is not one of {', '.join(KINDS)}{tail}", "KIND")
