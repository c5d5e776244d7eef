"""Where such parts are found: the own shelf first, then classes of scrap equipment."""

from __future__ import annotations

from xref.model.answers.stock import Holder, Scrap, WhereAnswer
from xref.stock.harvest import CAUTIONS, NOTES, WORDS, found_in
from xref.stock.query import holders
from xref.tasks.stock_shelf import opened


def where(kind: str) -> WhereAnswer:
    """Where to look for parts of a kind.

    Raises:
        StorageError: the stock cannot be read
    """
    with opened() as stock:
        own = holders(stock.engine, kind)
    return WhereAnswer(
        kind=kind,
        own=tuple(
            Holder(
                board="" if board is None else f"{board.reference} {board.source}".rstrip(),
                source="" if board is None else board.source,
                where=place or ("" if board is None else board.place),
                left=left,
            )
            for board, place, left in own
        ),
        equipment=tuple(
            Scrap(
                equipment=find.equipment, found=find.found, how_many=find.how_many, form=find.form,
                evidence=find.evidence, source=find.source,
            )
            for find in found_in(kind)
        ),
        cautions=CAUTIONS,
        notes=("evidence: " + "; ".join(f"{letter} = {words}" for letter, words in WORDS.items()), *NOTES),
    )  # fmt: skip
