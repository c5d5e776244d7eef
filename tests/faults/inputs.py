"""Bad input made from good: real command lines, files and answers, each with a few things gone wrong. Seeded.

The good ones are the examples that every command's own help shows, the example files that are shipped, and part files
of ``parts_db``; so a new command or option is attacked as soon as it exists.
"""

from __future__ import annotations

import random
import re
import shlex
from functools import cache
from pathlib import Path
from typing import Any

ROOT = Path(__file__).parents[2]
EXAMPLES = ROOT / "xref" / "examples"

MORE = """
find --site arm-park.yaml --limit 2
find --for TCRT5000 --refused --json
fit arm-park.yaml RPR-220 --json
fit blank RPR-220 --map "A C / K E" --grid 5.5x2.54mm --seen-from solder --svg out.svg
fit TCRT5000 same
fit part.yaml TCRT5000
identify --leads 3 1:2=1.08V 2:1=OL 1:3@lit=6.8k 1:3@5V/10k=0.4V --json
identify --job arm-park.yaml
meter --diode 1mA --open 3V --overload 2V --ohms-red plus
meter
expect arm-park.yaml --json
assess arm-park.yaml --json
assess --supply 5V --lit 4.6V --dark 4.9V --test clean=better --input 74HC14 --load 10k
part TCRT5000
part show part.yaml
part list --kind slotted --wired
part sources vishay
part check part.yaml
part add --from part.yaml --yes
part add --from table.csv --yes
switch identify --leads 3 1:2@left=0 1:3@left=OL 2:3@right=0
switch find --joins left=1:2 --joins right=2:3 --load 5V/0.5mA --limit 3
switch fit OS202011MS2QN1 5MD1 --load 12V/50mA
switch spare OS202011MS2QN1 --used 1,2,3
workaround ring-selector.yaml --max-actions 2
workaround ring-selector.yaml --svg w.svg
sheet arm-park.yaml --donor RPR-220 --out a.html --force
sheet arm-park.yaml --donor RPR-220 --plot --ascii
log arm-park.yaml --donor RPR-220 --lit 0.2V --dark 4.8V
log list
log show 1
help views
stock list
"""

WORDS = (
    "", " ", "-", "--", "---", "-1", "0", "1", "2.5", "1e999", "nan", "inf", "1,5V", "1.18V@", "@", "=", ":", "1:1=0",
    "1:2@=5", "1:2=", "x" * 3000, "9" * 400, "0." + "0" * 400 + "1", "\x1b[31mred\x1b]0;t\x07", "\x9b31m",
    "\u202eevil", "\udcff", "٣V", "５Ｖ", "1µA", "2kΩ", "../../x", "/", ".", "..", "~", "$(touch x)", "`id`", "%s%n%d",
    "{0.__class__}", "1e-320V", "-0V", "1V@1A@1A", "5V/0", "5V/0R", "0V/10k", "stock:1", "stock:-1",
    "stock:" + "9" * 30, "stock:x", "arm-park.yaml", "ring-selector.yaml", "part.yaml", "table.csv", "nothing.yaml",
    "TCRT5000", "CNY70", "GP1S53V", "OS202011MS2QN1", "same", "blank", "list", "show", "add", "check", "find", "fit",
    "--json", "--help", "--ascii", "--force", "--yes", "--resume", "\t", "a\nb", "A C / K E", "A C\nK E", ". . / . .",
    "A A / A A", "5.5x2.54mm", "0x0mm", "-1x2mm", "1e308x1e308mm", "1x2x3x4mm", "10.2x5.8x7", "25C", "-300C", "1e9C",
    "1.08V", "OL", "6.8k", "mid=none", "left=1:2", "left=1:2,2:3", "=1:2", "left=", "😀", "ß", "İ", "a\u0301",
    "\ufeff", "2026-13-45", "2026-11-25", "100%", "{}", "[]", "null", "'", '"', "\\", "#", "&a", "*a",
    "!!python/object/apply:os.system ['touch x']", "<<", "1:2:3=4", "1e400k", "4k7k", "1/0", "5V/10k@1mA", "lit",
    "dark", "yes", "no", "reflective", "slotted", "switch", "E96",
)  # fmt: skip
"""What people, scripts and bad luck put where a value is expected."""

LIKELY = (
    "1", "2", "3", "4", "6", "0.5V", "1.08V", "1.2V@20mA", "5V", "12V", "24V", "20mA", "0.3mA@10mA", "0.3V/33k@10mA",
    "OL", "6.8k", "10k", "220R", "0R", "1M", "3mm", "0.1mm", "30mm", "5.5x2.54mm", "2.54x2.54mm", "10.2x5.8x7mm",
    "3x3x3mm", "1mm", "0mm", "9mm", "25C", "-40C", "100C", "1:2=1.08V", "2:1=OL", "3:4@lit=6.8k", "3:4@dark=OL",
    "1:3@5V/10k=4.9V", "1:2=0", "left=1:2", "right=2:3", "left=1:2,4:5", "mid=none", "1:2@left=0", "2:3@right=OL",
    "A C / K E", "K A / E C", "A C E / K . .", "1 2 3 / 4 5 6", "reflective", "slotted", "switch", "pair",
    "transistor", "logic", "solder", "component", "emitter", "load", "5V/0.5mA", "230VAC/2A", "20mV/0.1mA",
    "5V/10k:0,1k,2k2", "open", "joined", "any", "E12", "TCRT5000", "CNY70", "RPR-220", "EE-SX1041", "GP1S53V",
    "OPB704", "OS202011MS2QN1", "5MD1", "same", "blank", "stock:1", "high", "low", "up", "side", "yes", "no",
    "published", "stock", "all", "jumper INNER OUTER", "lift INNER", "out.svg", "out.html", "50ms", "0.5N", "74HC14",
)  # fmt: skip
"""Values that are right somewhere, so that what they break lies behind the parser."""

LINES = (
    *WORDS,
    "back",
    "back",
    "?",
    "unknown",
    "skip",
    "stop",
    "y",
    "n",
    "1",
    "2",
    "3",
    "4",
    "1.1V",
    "OL",
    "OL",
    "help",
)
"""What is typed at a prompt."""


@cache
def good_lines() -> tuple[tuple[str, ...], ...]:
    """Good command lines: the example of every command's help, and more."""
    found = [tuple(shlex.split(line)) for line in MORE.splitlines() if line]
    for _, command in commands():
        found += [tuple(shlex.split(text)[1:]) for text in examples_of(command)]
    return tuple(dict.fromkeys(found))


def examples_of(command: Any) -> list[str]:
    """The example lines below a command's help."""
    text = command.epilog or ""
    return [part.strip() for part in text.replace("Examples:", "Example:").split("Example:")[1:] if part.strip()]


@cache
def commands() -> tuple[tuple[tuple[str, ...], Any], ...]:
    """(path of words, parser's command) of every command and sub-command."""
    from typer.main import get_command

    from xref.cli.main import COMMANDS, build

    found: list[tuple[tuple[str, ...], Any]] = []

    def walk(path: tuple[str, ...], command: Any) -> None:
        if getattr(command, "commands", None):
            for name, inner in command.commands.items():
                walk((*path, name), inner)
        else:
            found.append((path, command))

    for name in COMMANDS:
        walk((name,), get_command(build(name)).commands[name])
    return tuple(found)


@cache
def options() -> tuple[str, ...]:
    """Every option word of every command."""
    return tuple(sorted({word for _, command in commands() for item in command.params for word in item.opts}))


@cache
def _options(args: tuple[str, ...]) -> tuple[str, ...]:
    """The options of the command that these words name, or all."""
    mine = [c for path, c in commands() if path == args[: len(path)]]
    return tuple(sorted({word for item in mine[0].params for word in item.opts})) if mine else options()


def command_line(rng: random.Random) -> list[str]:
    """A good command line with up to four things gone wrong."""
    args = list(rng.choice(good_lines()))
    for _ in range(rng.choice((0, 1, 1, 1, 1, 2, 2, 3))):
        words = LIKELY if rng.random() < 0.6 else WORDS
        at = rng.randrange(len(args)) if args else 0
        mishap = rng.randrange(8)
        if mishap == 0 and args:
            del args[at]
        elif mishap in (1, 2) and len(args) > 1:
            args[max(at, 1)] = rng.choice(words)
        elif mishap == 3 and args:
            args[at] = damaged(args[at], rng)
        elif mishap == 4:
            args += [rng.choice(_options(tuple(args))), rng.choice(words)]
        elif mishap == 5:
            args.append(rng.choice(words))
        elif mishap == 6 and args:
            args.insert(at, args[at])
        elif mishap == 7:
            other = rng.choice(good_lines())
            args[at:] = other[rng.randrange(len(other)) :]
    return [_tethered(word.replace("\0", "")) for word in args]


def _tethered(word: str) -> str:
    """The word without a path that leads out of the test's own folder: what a user names is written."""
    if word.count("..") > 2:
        word = word.replace("..", ".")
    head, mark, tail = word.partition("=")
    if mark and head.startswith("--"):
        return head + mark + _tethered(tail)
    # the system hands over what is not UTF-8 as these surrogates and no others
    word = word.replace("\ud800", "\udcff")
    return word.lstrip("/") if len(word) > 1 else word


def damaged(text: str, rng: random.Random) -> str:
    """A text with one character changed, lost, doubled or foreign, or cut short."""
    at = rng.randrange(len(text) + 1)
    foreign = rng.choice("\x00\x01\x07\x1b\x7f\x85\x9b\u202e\u2028\ud800'\"\\:=@/,.-+ \t\n0eExV%{}[]#&*!|>~^µΩ５😀")
    kind = rng.randrange(5)
    if kind == 0:
        return text[:at] + text[at + 1 :]
    if kind == 1:
        return text[:at] + foreign + text[at + 1 :]
    if kind == 2:
        return text[:at] + foreign + text[at:]
    if kind == 3:
        return text[:at] + text[max(at - 3, 0) : at] * rng.choice((2, 50)) + text[at:]
    return text[:at]


def damaged_file(text: str, rng: random.Random) -> bytes:
    """A file with up to five lines, keys, values or bytes gone wrong."""
    lines = text.splitlines()
    mild = rng.random() < 0.5
    for _ in range(rng.choice((1, 1, 1, 2, 3, 5))):
        if not lines:
            break
        at = rng.randrange(len(lines))
        kind = 9 if mild else rng.randrange(9)
        if kind == 0:
            del lines[at]
        elif kind == 1:
            lines.insert(at, rng.choice(lines))
        elif kind in (2, 3):
            head, mark, tail = lines[at].partition(": ")
            if mark:
                lines[at] = head + mark + rng.choice((rng.choice(WORDS), damaged(tail, rng)))
        elif kind == 4:
            lines[at] = damaged(lines[at], rng)
        elif kind == 5:
            lines[at] = " " * rng.randrange(9) + lines[at].lstrip()
        elif kind == 6:
            other = rng.randrange(len(lines))
            lines[at], lines[other] = lines[other], lines[at]
        elif kind == 7:
            number = rng.choice(("0", "-1", "1e308", "1e-308", ".nan", "99999", "1e999", "0.0001", '""', "[]", "{}"))
            spots = [i for i, char in enumerate(lines[at]) if char.isdigit()]
            if spots:
                spot = rng.choice(spots)
                lines[at] = lines[at][:spot] + number + lines[at][spot + 1 :]
        elif kind == 9:
            _mild(lines, rng)
        else:
            lines[at] = lines[at] + rng.choice(
                (" &a", " *a", " !!python/name:os.system", ": {", ": [", "'", '"', " #", " |")
            )
    raw = rng.choice(("\n", "\n", "\n", "\r\n", "\r")).join(lines).encode("utf-8", "surrogatepass")
    if rng.random() < 0.15 and raw and not mild:
        at = rng.randrange(len(raw))
        raw = rng.choice(
            (raw[:at], raw[:at] + bytes([rng.randrange(256)]) + raw[at + 1 :], b"\xff\xfe" + raw, b"\xef\xbb\xbf" + raw)
        )
    return raw


_NUMBER = re.compile(r"(?<![\w.])\d+(?:\.\d+)?")


def _mild(lines: list[str], rng: random.Random) -> None:
    """A change that the reader lets through: another number, a key less, the value of another key."""
    spots = [(at, found) for at, line in enumerate(lines) for found in _NUMBER.finditer(line)]
    words = [(at, line.partition(": ")) for at, line in enumerate(lines) if ": " in line and not line.endswith(":")]
    kind = rng.randrange(4)
    if kind < 2 and spots:
        at, found = rng.choice(spots)
        number = float(found[0]) * rng.choice((0, 0.001, 0.1, 0.5, 0.9, 1.1, 2, 10, 1000)) + rng.choice((0, 0, 1, -1))
        lines[at] = f"{lines[at][: found.start()]}{number:g}{lines[at][found.end() :]}"
    elif kind == 2 and words:
        del lines[rng.choice(words)[0]]
    elif words:
        (at, (head, mark, _)), (_, (_, _, tail)) = rng.choice(words), rng.choice(words)
        lines[at] = head + mark + tail


TABLE = """\
part,kind,maker,output,emitter.vf_v.typ,emitter.vf_v.if_ma,geometry.lead_count,geometry.size_mm,source.title
RS100,reflective,Invented Works,phototransistor,1.2,20,4,10.2;5.8;7,Ring sensor sheet
RS101,slotted,Invented Works,phototransistor,1.15,10,4,12;6;9,Ring sensor sheet
"""


@cache
def part_files() -> tuple[str, ...]:
    """Texts of some shipped part files, small ones of every kind, those of a single part first."""
    found = []
    for folder in sorted((ROOT / "parts_db").iterdir()):
        texts = sorted((path.read_text("utf-8") for path in folder.glob("*.yaml")), key=len)
        found += texts[:: max(len(texts) // 4, 1)][:4]
    small = [text for text in found if len(text) < 20_000]
    return tuple(sorted(small, key=lambda text: text.count("- part:") != 1))


@cache
def file_cases() -> tuple[tuple[str, str, tuple[str, ...]], ...]:
    """(file name, good text, command line that reads it)."""
    job = (EXAMPLES / "arm-park.yaml").read_text("utf-8")
    network = (EXAMPLES / "ring-selector.yaml").read_text("utf-8")
    found = [
        ("f.yaml", job, ("expect", "f.yaml")),
        ("f.yaml", job, ("assess", "f.yaml")),
        ("f.yaml", job, ("fit", "f.yaml", "RPR-220")),
        ("f.yaml", job, ("identify", "--job", "f.yaml")),
        ("f.yaml", job, ("find", "--site", "f.yaml", "--limit", "1")),
        ("f.yaml", job, ("log", "f.yaml", "--donor", "RPR-220", "--lit", "0.2V", "--write")),
        ("f.yaml", job, ("sheet", "f.yaml", "--donor", "RPR-220", "--out", "s.html", "--force")),
        ("f.yaml", network, ("workaround", "f.yaml", "--max-actions", "2")),
        ("f.yaml", network, ("workaround", "f.yaml", "--max-actions", "1", "--json")),
        ("f.csv", TABLE, ("part", "add", "--from", "f.csv", "--yes")),
    ]
    for text in part_files():
        found += [
            ("f.yaml", text, ("part", "check", "f.yaml")),
            ("f.yaml", text, ("part", "show", "f.yaml")),
            ("f.yaml", text, ("fit", "f.yaml", "CNY70")),
            ("f.yaml", text, ("part", "add", "--from", "f.yaml", "--yes")),
        ]
    return tuple(found)


PROMPTS: tuple[tuple[tuple[str, ...], tuple[str, ...]], ...] = (
    (("identify", "--leads", "4", "--ask"), ("1.08V", "OL", "OL", "6.8k", "OL", "unknown", "show", "0.6V", "back")),
    (("identify", "--leads", "3", "--ask", "1:2=1.08V"), ("OL", "1.1V", "2.2k", "0.9V", "skip", "1:3@lit=5k")),
    (("identify", "--resume"), ("OL", "1.1V", "6.8k", "unknown")),
    (
        ("part", "add"),
        (
            "RS7",
            "Invented Works",
            "1",
            "1",
            "2",
            "4",
            "A K C E",
            "A C / K E",
            "5.5x2.54mm",
            "1.2V",
            "20mA",
            "10x5x6mm",
            "",
            "sheet",
            "12",
            "B",
            "1986",
            "0",
            "?",
            "y",
        ),
    ),
    (
        ("workaround", "new.yaml", "--ask"),
        (
            "collector 2",
            "5V, 0V, INNER, OUTER, STEP",
            "inner, outer",
            "inner sensor",
            "INNER",
            "0V",
            "live",
            "dead",
            "100R",
            "2M",
            "4Hz",
            "10k",
            "STEP",
            "0.8V",
            "2V",
            "2s",
            "lid",
            "none",
            "",
            "yes",
            "no",
            "open",
            "jumper, lift",
        ),
    ),
    (("stock", "add"), ("TCRT5000", "1", "drawer 3", "ring controller", "good", "y", "1.1V", "", "none", "2")),
)
"""A command that asks, and answers that are likely right in some order."""


def dialogue(rng: random.Random) -> tuple[tuple[str, ...], str, int]:
    """A command that asks, what is typed, and the line at which Ctrl-C is pressed (-1: never)."""
    # each answer of identify weighs thousands of hypotheses: fewer and shorter ones
    args, likely = rng.choices(PROMPTS, weights=[1 if args[0] == "identify" else 2 for args, _ in PROMPTS])[0]
    lines, at = [], 0
    for _ in range(rng.randrange(12 if args[0] == "identify" else 45)):
        if rng.random() < 0.75:
            # mostly in order, so that many get far
            at = at + 1 if rng.random() < 0.85 else rng.randrange(len(likely))
            lines.append(likely[(at - 1) % len(likely)])
        else:
            word = rng.choice(LINES)
            lines.append(word if rng.random() < 0.7 else damaged(word, rng))
    stop = rng.randrange(12) if rng.random() < 0.15 else -1
    return args, "\n".join(lines) + rng.choice(("", "\n")), stop
