"""300 part files with something wrong in each, made from a good one with a fixed seed: twelve kinds of mistake."""

from __future__ import annotations

import random
from collections.abc import Callable, Iterator

from tests.library.samples import GOOD

COUNT = 300
NUMBERS = ("50", "1.0", "1.2", "1.5", "30", "100", "0.3")


def malformed() -> Iterator[tuple[str, bytes]]:
    """(name, content) of each file; every one must be refused."""
    kinds: list[Callable[[random.Random], bytes]] = [
        _type, _unit, _not_finite, _twice, _bomb, _deep, _control, _large, _encoding, _unknown, _syntax, _foreign,
    ]  # fmt: skip
    for number in range(COUNT):
        make = kinds[number % len(kinds)]
        rng = random.Random(f"{make.__name__} {number}")
        yield f"{number:03d}{make.__name__}.yaml", make(rng)


def _swap(rng: random.Random, new: str) -> bytes:
    """The good file with one of its numbers replaced."""
    spots = [
        (number, f": {number}{end}") for number in NUMBERS for end in (",", "\n", "}") if f": {number}{end}" in GOOD
    ]
    number, spot = rng.choice(spots)
    return GOOD.replace(spot, spot.replace(number, new), 1).encode()


def _type(rng: random.Random) -> bytes:
    return _swap(rng, rng.choice(["many", "[1, 2]", "{a: 1}", "yes", "0x10", "1_000", "12:30", "1/2", '""', "--1"]))


def _unit(rng: random.Random) -> bytes:
    if rng.random() < 0.5:
        return _swap(rng, rng.choice(["20mA", "1.2V", "3 mm", "470R", "5%", "1,2", "1.2.3"]))
    return GOOD.replace("if_max_ma: 50", f"if_max_ma: {rng.randrange(10, 90) * 1000}").encode()  # 60 A for 60 mA


def _not_finite(rng: random.Random) -> bytes:
    return _swap(rng, rng.choice([".nan", "nan", "NaN", ".inf", "-.inf", "inf", "1e999", "-1e999", "Infinity"]))


def _twice(rng: random.Random) -> bytes:
    lines = GOOD.split("\n")
    keys = [i for i, line in enumerate(lines) if ":" in line and not line.lstrip().startswith(("-", "main"))]
    at = rng.choice([i for i in keys if i + 1 < len(lines) and not lines[i].endswith(":")])
    return "\n".join([*lines[: at + 1], lines[at], *lines[at + 1 :]]).encode()


def _bomb(rng: random.Random) -> bytes:
    width, height = rng.randrange(5, 12), rng.randrange(5, 30)
    levels = [f"l0: &l0 [{', '.join(['x'] * width)}]"]
    levels += [f"l{i}: &l{i} [{', '.join([f'*l{i - 1}'] * width)}]" for i in range(1, height)]
    return "\n".join(levels).encode()


def _deep(rng: random.Random) -> bytes:
    depth = rng.choice([21, 50, 1000, 30_000])
    form = rng.choice(["[", "{a: ", "- ", "? "])
    if form == "- ":
        return ("parts:\n" + "- " * depth + "x\n").encode()
    if form == "? ":
        return ("parts:\n" + "? " * depth + "x\n").encode()
    return ("parts: " + form * depth + "x" + {"[": "]", "{a: ": "}"}[form] * depth + "\n").encode()


def _control(rng: random.Random) -> bytes:
    odd = rng.choice(
        ["\x1b[31m", "\x07", "\x00", "\x9b2J", "\u202e", "\u2028", "\ufeff", '"\\e]0;x\\a"', '"\\x07"', '"\\0"']
    )
    return GOOD.replace("Invented Works", odd if odd.startswith('"') else f"Invented{odd} Works").encode()


def _large(rng: random.Random) -> bytes:
    form = rng.randrange(5)
    if form == 0:
        return GOOD.replace("Invented Works", "W" * 10_000_000).encode()
    if form == 1:
        return GOOD.replace("Invented Works", "W" * rng.randrange(100_001, 900_000)).encode()
    if form == 2:
        return ("format: 1\n" + "".join(f"k{i}: 1\n" for i in range(60_000))).encode()
    if form == 3:
        return GOOD.replace("[RS100L]", "[" + "a," * 400_000 + "b]").encode()
    head = "format: 1\nsources: {main: {title: x}}\ncommon:\n  provenance:\n" + "".join(
        f"    k{i}: printed\n" for i in range(9_000)
    )
    return (head + "parts:\n" + "".join(f"  - part: P{i}\n" for i in range(9_000))).encode()


def _encoding(rng: random.Random) -> bytes:
    form = rng.randrange(5)
    if form == 0:
        return GOOD.encode("utf-16")
    if form == 1:
        return GOOD.encode("utf-32")
    if form == 2:
        return GOOD.replace("Works", "Werke für Größen").encode("latin-1")
    if form == 3:
        return GOOD.replace("Works", "中村").encode("shift_jis")
    return rng.randbytes(rng.randrange(10, 5000)) + b"\xff"


def _unknown(rng: random.Random) -> bytes:
    keys = ["emitter", "if_max_ma", "vf_v", "detector", "coupling", "geometry", "maker", "parts", "sources", "size_mm"]
    key = rng.choice(keys)
    place = rng.randrange(1, len(key))
    wrong = rng.choice([key[:place] + key[place + 1 :], key[:place] + "q" + key[place:], key.upper(), key + "_x"])
    return GOOD.replace(f"{key}:", f"{wrong}:", 1).encode()


def _syntax(rng: random.Random) -> bytes:
    form = rng.randrange(6)
    if form == 0:
        return GOOD.replace("    emitter:", "\temitter:").encode()
    if form == 1:
        return GOOD.replace("{min: 1.0,", "{min: 1.0").encode()[: rng.randrange(300, 420)]
    if form == 2:
        return GOOD.replace("  kind:", "      kind:").encode()
    if form == 3:
        return GOOD.replace('"12"', '"12').encode()
    if form == 4:
        return rng.choice([b"", b"\n\n", b"# only a remark\n", b"just words\n", b"- a\n- b\n", b"42\n", b"null\n"])
    return GOOD.replace("maker:", rng.choice(["maker", "@maker:", "`maker:", "%maker:", "maker: : x:"])).encode()


def _foreign(rng: random.Random) -> bytes:
    new = rng.choice(
        [
            "!!python/object/apply:os.system [ls]", "!!float 1", "!local x", "!!binary aGk=", "&a x", "*a",
            "{<<: {a: 1}}", "{? [a]: b}",
        ]
    )  # fmt: skip
    if rng.random() < 0.2:
        return (GOOD + rng.choice(["---\nformat: 1\n", "...\n---\na: 1\n"])).encode()
    return GOOD.replace("Invented Works", new).encode()
