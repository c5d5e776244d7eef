"""Answers about the shelf as text at 80 columns."""

from __future__ import annotations

from xref.cli.output import table, wrap
from xref.model.answers.stock import BoardLine, Done, Imported, Labels, Piece, Shelf, Shown, WhereAnswer, Written

MOST = 500
"""Characters of one text that are shown; --json gives all."""

WORDS = {"add": "added", "take": "taken", "return": "back on the shelf", "scrap": "scrapped", "set": "changed"}


def done_text(answer: Done) -> str:
    """What was kept."""
    lines = []
    for board in answer.boards:
        lines.append(wrap(f"{WORDS[answer.action]}: {_board(board)}", indent="  ", first=""))
    for piece in answer.pieces:
        lines.append(wrap(f"{WORDS[answer.action]}: {_sentence(piece)}", indent="  ", first=""))
    if answer.boards and answer.action == "scrap" and answer.change:
        lines.append(f"{-answer.change} pieces went with it")
    lines += [wrap(note, first="! ", indent="  ") for note in answer.notes]
    if answer.action == "add" and len(answer.pieces) == 1:
        lines.append(f"next: xref stock label {answer.pieces[0].reference}")
    elif answer.action == "add" and answer.boards:
        lines.append(f"next: xref stock add PART --board {answer.boards[0].reference}")
    return "\n".join(lines)


def _sentence(piece: Piece) -> str:
    words = [f"{piece.reference}  {clip(piece.part, 60)}", f"{piece.left} left", piece.condition]
    words.append("tested" if piece.tested else "not tested")
    words += [*piece.measured, *([clip(piece.where, 60)] if piece.where else [])]
    return ", ".join([*words, *([clip(piece.board, 60)] if piece.board else [])])


def _board(board: BoardLine) -> str:
    return f"{board.reference}  {clip(board.source, 60)}" + (f", {clip(board.place, 60)}" if board.place else "")


def shelf_text(answer: Shelf) -> str:
    """A list."""
    if answer.boards:
        held = [
            (b.reference, clip(b.source, 30), str(b.pieces), clip(b.place, 40) + _scrapped(b)) for b in answer.boards
        ]
        return table(("board", "from", "left", "place"), held)
    if not answer.pieces:
        return "Nothing in stock that matches." if answer.entries == 0 else ""
    rows = [
        (piece.reference, clip(piece.part, 22), piece.kind, str(piece.left), "yes" if piece.tested else "no",
         _place(piece))
        for piece in answer.pieces
    ]  # fmt: skip
    lines = [table(("piece", "part", "kind", "left", "tested", "where"), rows)]
    shown = len(answer.pieces)
    more = "" if shown == answer.entries else f"; {shown} shown, --limit 0 shows all"
    lines.append(f"{answer.left} pieces in {answer.entries} entries{more}")
    return "\n".join(lines)


def _place(piece: Piece) -> str:
    words = [clip(piece.where, 40), clip(piece.board, 40)]
    if piece.condition in ("doubtful", "dead"):
        words.append(piece.condition)
    return ", ".join(word for word in words if word) or "place not noted"


def _scrapped(board: BoardLine) -> str:
    return " (scrapped)" if board.state == "scrapped" else ""


def shown_text(answer: Shown) -> str:
    """One piece or board in full."""
    lines = []
    if answer.piece is not None:
        piece = answer.piece
        lines.append(
            f"{piece.reference}  {clip(piece.part)}  ({piece.kind}{'' if piece.known else ', described here'})"
        )
        rows = [("left", str(piece.left)), ("place", piece.where or "not noted"), ("board", piece.board),
                ("condition", f"{piece.condition}, {'tested' if piece.tested else 'not tested'}"),
                ("measured", "; ".join(piece.measured)), ("notes", piece.notes), ("added", piece.added)]  # fmt: skip
        lines += [wrap(clip(text), first=f"  {word:10}", indent=" " * 12) for word, text in rows if text]
    elif answer.board is not None:
        board = answer.board
        lines.append(f"{board.reference}  {clip(board.source)}{_scrapped(board)}")
        rows = [("place", board.place or "not noted"), ("photo", board.photo), ("notes", board.notes),
                ("added", board.added)]  # fmt: skip
        lines += [wrap(clip(text), first=f"  {word:10}", indent=" " * 12) for word, text in rows if text]
        lines += [wrap(_sentence(each), first="  ", indent="    ") for each in answer.on_board]
    lines.append("history")
    for event in answer.history:
        change = f" {event.change:+d}, {event.left} left" if event.change else ""
        note = f"  {clip(event.note, 100)}" if event.note else ""
        lines.append(wrap(f"{event.at}  {event.action}{change}{note}", first="  ", indent="      "))
    if answer.piece is not None:
        lines.append(f"next: xref part {answer.piece.reference}, or xref fit ORIGINAL {answer.piece.reference}")
    return "\n".join(lines)


def labels_text(answer: Labels) -> str:
    """Labels in frames, to be cut out or copied by hand."""
    frames = []
    for lines in answer.labels:
        edge = "+" + "-" * 34 + "+"
        frames.append("\n".join([edge, *(f"| {clip(line, 32):32} |" for line in lines), edge]))
    return "\n".join(frames)


def where_text(answer: WhereAnswer) -> str:
    """Own shelf first, then scrap equipment with its evidence."""
    lines = [f"Your own shelf ({answer.kind})"]
    if answer.own:
        rows = [(str(own.left), clip(own.board or own.source or "-", 30), clip(own.where or "place not noted", 60))
                for own in answer.own]  # fmt: skip
        lines.append(table(("left", "board", "place"), rows))
    else:
        lines.append("  nothing left, or never noted: xref stock add")
    lines += ["", "Scrap equipment in which such parts are usually found"]
    for item in answer.equipment:
        lines.append(wrap(f"{item.equipment}: {item.found}", first="- ", indent="  "))
        lines.append(wrap(f"how many: {item.how_many}; form: {item.form}", first="    ", indent="    "))
        lines.append(wrap(f"[{item.evidence}] {item.source}", first="    ", indent="    "))
    lines += ["", *(wrap(note, first="", indent="  ") for note in answer.notes)]
    lines += [wrap(caution, first="! ", indent="  ") for caution in answer.cautions]
    return "\n".join(lines)


def imported_text(answer: Imported) -> str:
    """What came in, or every problem."""
    if answer.problems:
        shown = [clip(problem) for problem in answer.problems[:50]]
        rest = len(answer.problems) - len(shown)
        tail = [f"and {rest} more (--json shows all)"] if rest else []
        return "\n".join([*shown, *tail, f"{len(answer.problems)} problems: nothing was changed"])
    word = "would come" if answer.dry_run else "came"
    return f"{answer.entries} entries ({answer.pieces} pieces) and {answer.boards} boards {word} onto the shelf"


def written_text(answer: Written, word: str) -> str:
    """A file written or restored."""
    lines = [f"{word}: {answer.entries} entries ({answer.pieces} pieces), {answer.boards} boards: {answer.path}"]
    return "\n".join([*lines, *(wrap(note, first="! ", indent="  ") for note in answer.notes)])


def clip(text: str, most: int = MOST) -> str:
    """One line, shortened; the length is said where much is left out."""
    folded = " ".join(text[: 4 * most].split())
    if len(folded) <= most and len(text) <= 4 * most:
        return folded
    if most < 60:
        return folded[: most - 3] + "..."
    return f"{folded[: most - 30]}... ({len(text)} characters)"
