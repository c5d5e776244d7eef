"""A process that works at the shelf and says what it tries and what was confirmed, one JSON line each.

``python worker.py SEED OPERATIONS ITEMS``: random additions, takings, returns and scrappings. Run by the tests, which
kill it at any moment or compare its lines with what the database holds afterwards.
"""

from __future__ import annotations

import json
import os
import random
import sys

from pieces import piece

from xref.errors import NotFound, UsageError
from xref.stock.place import engine
from xref.stock.store import Stock


def say(**words: object) -> None:
    """One line, out of this process before anything else happens."""
    os.write(1, (json.dumps(words) + "\n").encode())


def main() -> None:
    """Work until all is done."""
    seed, operations, items = (int(word) for word in sys.argv[1:4])
    chance = random.Random(seed)
    stock = Stock(engine())
    for number in range(operations):
        kind = chance.choice(("add", "take", "take", "return", "scrap", "import"))
        item, count = chance.randint(1, items), chance.randint(1, 3)
        key = f"{seed}.{number}"
        say(try_=kind, item=item, count=count, key=key)
        try:
            if kind == "add":
                new = stock.add([], [piece(count, place=key)])
                say(done="add", item=new[0].id, change=count, key=key)
            elif kind == "import":
                many = stock.add([], [piece(each, place=key) for each in (1, 2, 3)])
                say(done="import", items=[item.id for item in many], key=key)
            elif kind == "take":
                stock.take(item, count, key)
                say(done="take", item=item, change=-count, key=key)
            elif kind == "return":
                stock.give_back(item, count, key)
                say(done="return", item=item, change=count, key=key)
            else:
                stock.scrap(item, count, key)
                say(done="scrap", item=item, change=-count, key=key)
        except (NotFound, UsageError):
            say(refused=kind, key=key)
    say(end=True)


if __name__ == "__main__":
    main()
