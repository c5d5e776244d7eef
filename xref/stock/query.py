"""What can be asked of a stock."""

from __future__ import annotations

from typing import Any

from xref.errors import NotFound
from xref.model.stock import Board, Dump, Event, Item, Profile
from xref.stock import forms
from xref.stock.link import Engine, Link

LARGEST_ID = 2_147_483_647


def item(engine: Engine, id: int) -> Item:
    """One piece.

    Raises:
        NotFound: there is none
    """
    if not 0 < id <= LARGEST_ID or not engine.ready():
        raise NotFound("no such piece in stock; xref stock list shows what is there", f"stock:{id}")
    with engine.reading() as link:
        return item_by_id(link, id)


def board(engine: Engine, id: int) -> tuple[Board, list[Item], list[Event]]:
    """One board with its pieces and its history.

    Raises:
        NotFound: there is none
    """
    if not 0 < id <= LARGEST_ID or not engine.ready():
        raise NotFound("no such board; xref stock list --boards shows what is there", f"board:{id}")
    with engine.reading() as link:
        found = board_by_id(link, id)
        pieces = _items(link, "where i.board_id = :board order by i.id", board=id)
        events = link.rows(f"select {forms.EVENT} from stock_history where board_id = :board order by id", board=id)
    return found, pieces, [forms.event_of(row) for row in events]


def history(engine: Engine, id: int) -> list[Event]:
    """What happened to a piece, oldest first."""
    if not engine.ready():
        return []
    with engine.reading() as link:
        rows = link.rows(f"select {forms.EVENT} from stock_history where item_id = :item order by id", item=id)
    return [forms.event_of(row) for row in rows]


def listed(
    engine: Engine, *, text: str = "", kind: str = "", place: str = "", board: int | None = None, used_up: bool = False,
    limit: int = 0,
) -> tuple[list[Item], int, int]:  # fmt: skip
    """Pieces by id; how many entries and pieces the filter leaves in all.

    Args:
        text: the name, notes or board hold this (capitals do not matter)
        kind: a kind of part
        place: the place holds this
        board: id of the board they are on
        used_up: also entries of which nothing is left
        limit: largest number of entries returned, 0 for all
    """
    if not engine.ready():
        return [], 0, 0
    tests: list[str] = []
    values: dict[str, Any] = {}
    if not used_up:
        tests.append("i.quantity > 0")
    if kind:
        tests.append("p.kind = :kind")
        values["kind"] = kind
    if board is not None:
        tests.append("i.board_id = :board")
        values["board"] = board
    if text:
        tests.append(
            "(lower(p.name) like :text escape '!' or lower(i.notes) like :text escape '!'"
            " or lower(coalesce(b.source, '')) like :text escape '!')"
        )
        values["text"] = _holds(text)
    if place:
        tests.append("lower(case when i.place = '' then coalesce(b.place, '') else i.place end) like :place escape '!'")
        values["place"] = _holds(place)
    condition = f"where {' and '.join(tests)}" if tests else ""
    with engine.reading() as link:
        count, pieces = link.rows(f"select count(*), coalesce(sum(i.quantity), 0) {_FROM} {condition}", **values)[0]
        found = _items(link, f"{condition} order by i.id" + (f" limit {int(limit)}" if limit else ""), **values)
    return found, int(count), int(pieces)


def latest_id(engine: Engine) -> int:
    """The highest id of a piece, 0 where there is none."""
    with engine.reading() as link:
        return link.next_id("stock_item") - 1


def boards(engine: Engine, *, scrapped: bool = False) -> list[tuple[Board, int]]:
    """Boards with the number of pieces left on each."""
    if not engine.ready():
        return []
    columns = ", ".join(f"b.{name.strip()}" for name in forms.BOARD.split(","))
    condition = "" if scrapped else "where b.state = 'kept'"
    with engine.reading() as link:
        rows = link.rows(
            f"select {columns}, (select coalesce(sum(quantity), 0) from stock_item where board_id = b.id)"
            f" from stock_board b {condition} order by b.id"
        )
    return [(forms.board_of(row[:-1]), int(row[-1])) for row in rows]


def holders(engine: Engine, kind: str) -> list[tuple[Board | None, str, int]]:
    """Boards and places that still hold pieces of a kind, with their number; the fullest first."""
    if not engine.ready():
        return []
    with engine.reading() as link:
        rows = link.rows(
            "select i.board_id, i.place, sum(i.quantity) from stock_item i"
            " join stock_profile p on p.id = i.profile_id"
            " where p.kind = :kind and i.quantity > 0 and i.condition <> 'dead'"
            " group by i.board_id, i.place order by 3 desc, 1, 2 limit 50",
            kind=kind,
        )
        known = _boards(link, {row[0] for row in rows if row[0] is not None})
    return [(known.get(row[0]), row[1], int(row[2])) for row in rows]


def dump(engine: Engine) -> Dump:
    """Everything, in one unchanging state."""
    if not engine.ready():
        return Dump()
    with engine.reading() as link:
        return dump_of(link)


def dump_of(link: Link) -> Dump:
    """Everything that a transaction sees."""
    boards = [forms.board_of(row) for row in link.rows(f"select {forms.BOARD} from stock_board order by id")]
    events = link.rows(f"select {forms.EVENT} from stock_history order by id")
    return Dump(
        boards=tuple(boards),
        items=tuple(_items(link, "order by i.id")),
        events=tuple(forms.event_of(row) for row in events),
    )


def item_by_id(link: Link, id: int) -> Item:
    """One piece in an open transaction.

    Raises:
        NotFound: there is none
    """
    found = _items(link, "where i.id = :id", id=id) if 0 < id <= LARGEST_ID else []
    if not found:
        raise NotFound("no such piece in stock; xref stock list shows what is there", f"stock:{id}")
    return found[0]


def board_by_id(link: Link, id: int) -> Board:
    """One board in an open transaction.

    Raises:
        NotFound: there is none
    """
    known = _boards(link, {id}) if 0 < id <= LARGEST_ID else {}
    if id not in known:
        raise NotFound("no such board; xref stock list --boards shows what is there", f"board:{id}")
    return known[id]


_FROM = "from stock_item i join stock_profile p on p.id = i.profile_id left join stock_board b on b.id = i.board_id"


def _items(link: Link, tail: str, **values: Any) -> list[Item]:
    columns = ", ".join(f"i.{name.strip()}" for name in forms.ITEM.split(","))
    rows = link.rows(f"select {columns} {_FROM} {tail}", **values)
    profiles: dict[int, Profile] = {
        row[0]: forms.profile_of(row)
        for row in link.among(
            f"select {forms.PROFILE} from stock_profile where id in", "id", sorted({row[2] for row in rows})
        )
    }
    known = _boards(link, {row[1] for row in rows if row[1] is not None})
    return [forms.item_of(row, profiles[row[2]], known.get(row[1])) for row in rows]


def _boards(link: Link, ids: set[int]) -> dict[int, Board]:
    rows = link.among(f"select {forms.BOARD} from stock_board where id in", "id", sorted(ids))
    return {row[0]: forms.board_of(row) for row in rows}


def _holds(text: str) -> str:
    plain = forms.storable("the text", text).lower()
    for odd in "!%_":
        plain = plain.replace(odd, "!" + odd)
    return f"%{plain}%"
