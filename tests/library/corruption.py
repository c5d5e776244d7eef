"""How markings fail, written down before the measure was tried on it (common practice, no source).

One mishap is the usual case (60 %), two are common (30 %), three are a bad day (10 %). Each mishap is drawn with the
weight beside it. A mishap that does not apply to the text (no look-alike left, too short) is drawn again.
"""

from __future__ import annotations

import random

LOOKALIKES = ("O0QD", "I1L", "S5", "B8", "Z2", "G6")
MISHAPS = {"look-alike": 5, "first worn": 2, "last worn": 3, "one illegible": 2, "separator": 3, "swapped": 1}
HOW_MANY = {1: 60, 2: 30, 3: 10}


def corrupt(name: str, rng: random.Random) -> str:
    """The name as somebody reads it off a worn part."""
    count = rng.choices(list(HOW_MANY), list(HOW_MANY.values()))[0]
    text = name
    done = 0
    while done < count or text == name:
        mishap = rng.choices(list(MISHAPS), list(MISHAPS.values()))[0]
        changed = _apply(text, mishap, rng)
        if changed != text:
            text, done = changed, done + 1
    return text


def _apply(text: str, mishap: str, rng: random.Random) -> str:
    place = rng.randrange(len(text))
    if mishap == "look-alike":
        spots = [i for i, c in enumerate(text.upper()) if any(c in group for group in LOOKALIKES)]
        if not spots:
            return text
        place = rng.choice(spots)
        group = next(group for group in LOOKALIKES if text[place].upper() in group)
        return text[:place] + rng.choice([c for c in group if c != text[place].upper()]) + text[place + 1 :]
    if mishap == "separator":
        if rng.random() < 0.5:
            return text.replace("-", "", 1).replace(" ", "", 1)
        return text[:place] + rng.choice("- ") + text[place:] if place else text
    if len(text) < 5:
        return text
    if mishap == "first worn":
        return text[rng.choice((1, 1, 2)) :]
    if mishap == "last worn":
        return text[: -rng.choice((1, 1, 2))]
    if mishap == "one illegible":
        return text[:place] + text[place + 1 :]
    return text[: place - 1] + text[place] + text[place - 1] + text[place + 1 :] if place else text
