"""What a search sees of the shelf. Apart from the other questions, because a search needs none of their classes."""

from __future__ import annotations

from collections.abc import Collection
from typing import TYPE_CHECKING, Any, NamedTuple

if TYPE_CHECKING:
    from xref.stock.link import Engine


class Group(NamedTuple):
    """Equal pieces that a search sees as one: what they are, the piece to offer, and how many more there are."""

    part: str
    name: str
    kind: str
    packed: str
    overlay: str
    shape: str
    tested: int
    item: int
    left: int
    place: str
    board: int | None
    board_place: str
    source: str
    elsewhere: int


BY_PIECE, BY_LOOK = "p.id", "p.part, p.shape, p.kind"
"""Which pieces are equal: those with the same measured values, or all that differ only in measured VF and IC."""

_GROUPS = """
select p.part, p.name, p.kind, p.packed, p.overlay, p.shape, g.tested, i.id, i.quantity, substr(i.place, 1, 80),
       i.board_id, coalesce(substr(b.place, 1, 80), ''), coalesce(substr(b.source, 1, 80), ''), g.pieces - i.quantity
from (
    select {key}, case when i.condition = 'doubtful' then 0 else i.tested end as tested,
           min(case i.condition when 'good' then 0 when 'used' then 1 else 2 end * 3000000000 + i.id) as best,
           sum(i.quantity) as pieces
    from stock_profile p join stock_item i on i.profile_id = p.id
    where i.quantity > 0 and i.condition <> 'dead' {also}
    group by {key}, case when i.condition = 'doubtful' then 0 else i.tested end
) g
join stock_item i on i.id = g.best % 3000000000
join stock_profile p on p.id = i.profile_id
left join stock_board b on b.id = i.board_id
"""
# One line for equal pieces: the best kept, then the longest on the shelf, is the one to offer.


def groups(
    engine: Engine, kind: str | None = None, *, key: str = BY_PIECE, without: Collection[str] = ()
) -> list[Group]:
    """What is left, equal pieces together; used up and dead ones are not in it.

    Args:
        kind: only this kind
        key: which pieces are equal, BY_PIECE or BY_LOOK
        without: types to leave out, as far as their pieces differ from them only in measured VF and IC
    """
    if not engine.ready():
        return []
    values: dict[str, Any] = {f"without{place}": name for place, name in enumerate(without)}
    also = ""
    if kind:
        also += " and p.kind = :kind"
        values["kind"] = kind
    if without:
        holders = ", ".join(f":without{place}" for place in range(len(without)))
        also += f" and (p.shape <> '' or p.part not in ({holders}))"
    with engine.reading() as link:
        rows = link.rows(_GROUPS.format(key=key, also=also), **values)
    return [Group(*row) for row in rows]
