"""What is done at the shelf, on the own file and on a server alike."""

from __future__ import annotations

import threading

import pytest
from pieces import piece, profile

from xref.errors import NotFound, StorageError, UsageError
from xref.model.stock import Board
from xref.stock import query
from xref.stock.place import engine
from xref.stock.store import Stock
from xref.tasks import stock_shelf


def _stock() -> Stock:
    return Stock(engine())


def test_take_and_return_keep_count(shelf: str) -> None:
    """What is taken is gone, what is put back is there, and no more can be taken or put back than there is."""
    stock = _stock()
    made = stock.add([], [piece(3)])[0]

    stock.take(made.id, 2, "arm park")
    with pytest.raises(NotFound, match="only 1 left, 2 wanted"):
        stock.take(made.id, 2)
    stock.give_back(made.id, 1)
    with pytest.raises(UsageError, match="1 of it is out"):
        stock.give_back(made.id, 2)
    after, gone = stock.scrap(made.id)

    assert (after.count, gone) == (0, 2)
    events = query.history(stock.engine, made.id)
    assert [(event.action, event.change, event.left) for event in events] == [
        ("add", 3, 3), ("take", -2, 1), ("return", 1, 2), ("scrap", -2, 0),
    ]  # fmt: skip
    assert events[1].note == "arm park"
    stock.engine.close()


def test_last_piece_goes_to_one(shelf: str) -> None:
    """Twenty clients want the last piece at the same moment: exactly one gets it."""
    stock = _stock()
    made = stock.add([], [piece(1)])[0]
    start = threading.Barrier(20)
    outcomes: list[str] = []

    def client(number: int) -> None:
        mine = _stock()
        mine.engine.ready()
        start.wait()
        try:
            mine.take(made.id, 1, f"bench {number}")
            outcomes.append("got it")
        except NotFound:
            outcomes.append("none left")
        except StorageError as error:
            outcomes.append(error.message)
        finally:
            mine.engine.close()

    threads = [threading.Thread(target=client, args=(number,)) for number in range(20)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()

    assert sorted(outcomes) == ["got it"] + ["none left"] * 19
    assert query.item(stock.engine, made.id).count == 0
    stock.engine.close()


def test_all_or_nothing(shelf: str) -> None:
    """One piece that cannot be kept takes back the whole addition, its new board too."""
    stock = _stock()
    stock.add([], [piece(1)])
    board = Board(id=-1, source="ring controller")

    with pytest.raises(NotFound, match="no such board"):
        stock.add([board], [piece(2, board=board), piece(1, board=Board(id=99, source=""))])

    assert len(query.dump(stock.engine).items) == 1
    assert query.boards(stock.engine, scrapped=True) == []
    stock.engine.close()


def test_scrapped_board_takes_its_pieces(shelf: str) -> None:
    """A board goes with all on it; nothing can be put on it afterwards; its history stays."""
    stock = _stock()
    board = Board(id=-1, source="outer ring controller", place="shelf 2")
    one, two = stock.add([board], [piece(2, board=board), piece(5, board=board, name="arm sensor")])
    assert one.board is not None

    _, gone = stock.scrap_board(one.board.id, "burnt")

    assert gone == 7
    assert [query.item(stock.engine, item.id).count for item in (one, two)] == [0, 0]
    with pytest.raises(UsageError, match="scrapped"):
        stock.add([], [piece(1, board=Board(id=one.board.id, source=""))])
    with pytest.raises(NotFound, match="scrapped already"):
        stock.scrap_board(one.board.id)
    assert query.board(stock.engine, one.board.id)[0].state == "scrapped"
    stock.engine.close()


def test_one_of_several_gets_its_own_entry(shelf: str) -> None:
    """A reading on one of four equal pieces stands for that piece alone; no piece appears or vanishes."""
    stock = _stock()
    made = stock.add([], [piece(4, place="bag 1")])[0]
    own = profile(measured={"slot": {"gap_mm": 3.1}})

    single = stock.set(made.id, profile=own, one=True, tested=True)

    assert single.id != made.id
    assert (single.count, single.tested, single.place) == (1, True, "bag 1")
    assert query.item(stock.engine, made.id).count == 3
    assert query.item(stock.engine, made.id).profile.measured == {}
    assert query.item(stock.engine, single.id).profile.measured == {"slot": {"gap_mm": 3.1}}
    stock.engine.close()


@pytest.mark.parametrize("count", [0, -1, 1_000_001, 10**12])
def test_impossible_counts(shelf: str, count: int) -> None:
    """A count that nobody can mean is refused before anything is written."""
    stock = _stock()
    made = stock.add([], [piece(3)])[0]

    for act in (stock.take, stock.give_back, stock.scrap):
        with pytest.raises(UsageError, match="expected 1 to"):
            act(made.id, count)
    with pytest.raises(UsageError, match="expected 1 to"):
        stock.add([], [piece(count)])

    assert query.item(stock.engine, made.id).count == 3
    stock.engine.close()


@pytest.mark.parametrize("number", [0, 2, 2**31, 2**63, 10**30])
def test_unknown_ids(shelf: str, number: int) -> None:
    """An id that is not there is said to be not there, however large it is."""
    stock = _stock()
    stock.add([], [piece(1)])

    for ask in (lambda: stock.take(number), lambda: query.item(stock.engine, number),
                lambda: query.board(stock.engine, number)):  # fmt: skip
        with pytest.raises(NotFound):
            ask()
    stock.engine.close()


def test_list_filters(shelf: str) -> None:
    """Text, kind, place and board narrow the list; % and _ are letters like others; used-up entries hide."""
    stock = _stock()
    board = Board(id=-1, source="ring controller", place="shelf 2")
    stock.add(
        [board], [piece(2, board=board), piece(1, name="50%_sensor", place="drawer 9"), piece(1, place="Drawer 9")]
    )
    stock.take(3)

    def found(**filters: object) -> list[int]:
        return [item.id for item in query.listed(stock.engine, **filters)[0]]  # type: ignore[arg-type]

    assert found() == [1, 2]
    assert found(used_up=True) == [1, 2, 3]
    assert found(text="%") == [2]
    assert found(text="STEP") == [1]
    assert found(text="ring") == [1]
    assert found(place="shelf") == [1]
    assert found(place="DRAWER", used_up=True) == [2, 3]
    assert found(board=1) == [1]
    assert found(kind="reflective") == []
    assert query.listed(stock.engine, limit=1)[1:] == (2, 3)
    stock.engine.close()


def test_who_waits_too_long_is_told(shelf: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """A writer that gets no turn says so and has changed nothing; a reader does not wait at all."""
    monkeypatch.setattr("xref.stock.local.WAIT_S", 0.2)
    monkeypatch.setattr("xref.stock.postgres.WAIT_MS", 200)
    stock, other = _stock(), _stock()
    stock.add([], [piece(3)])

    with stock.engine.changing():
        with pytest.raises(StorageError, match=r"has been writing for half a minute; nothing was changed"):
            other.take(1)
        assert query.item(other.engine, 1).count == 3

    assert other.take(1).count == 2
    stock.engine.close()
    other.engine.close()


def test_empty_stock_writes_nothing(home: object, tmp_path: object) -> None:
    """Looking into a stock that was never begun makes no file."""
    from pathlib import Path

    assert stock_shelf.listing().pieces == ()
    assert stock_shelf.boards().boards == ()
    with pytest.raises(NotFound):
        stock_shelf.show("stock:1")
    assert not list(Path(str(home)).glob("stock*"))
