"""In which scrap equipment small optical sensors and switches are found.

Evidence: S a maker's or service text, H a tear-down or hobby page, C common practice without a page. A count is that
of the machine named, not of its class. The form is common practice unless the text named gives it.
"""

from __future__ import annotations

from typing import Literal, NamedTuple

Evidence = Literal["S", "H", "C"]

WORDS: dict[str, str] = {
    "S": "maker's or service text",
    "H": "tear-down or hobby page",
    "C": "common practice, no source",
}


class Find(NamedTuple):
    """One class of equipment."""

    equipment: str
    kinds: tuple[str, ...]
    found: str
    how_many: str
    form: str
    evidence: Evidence
    source: str


FINDS: tuple[Find, ...] = (
    Find("laser printer, large office model", ("slotted", "switch"),
         "slotted sensors with plastic flags; normally open cover switches; a row of small switches for the paper size",
         "18 sensors as sold, 30 with every option fitted",
         "slotted modules with a 3-pin connector, snapped in; snap-action switches with lever or plunger",
         "S", "Xerox Phaser 4500 service text, pages 43 and 45 (easymanua.ls)"),
    Find("laser printer, medium", ("slotted", "switch"),
         "slotted sensors in the paper path; switches that read the tray size",
         "9 or more sensors; 3 + 3 switches for length and width",
         "3-pin slotted modules; small push or detector switches under levers",
         "S", "HP 5550 service text, page 193 (easymanua.ls)"),
    Find("laser printer, rear door", ("switch",), "cover switch", "1", "snap-action, works as an interlock",
         "S", "Xerox Phaser 4600 service text"),
    Find("printers in general", ("switch",), "snap-action switches", "a few in each", "with lever",
         "H", "a magazine's article on what to save from printers (makezine)"),
    Find("impact printer", ("switch", "slotted"), "paper-end switch; sensor for the carriage's home position",
         "1 + 1", "lever or leaf switch; slotted sensor", "S", "Epson LQ-200 and AP-3000 service text, page 48"),
    Find("inkjet printer", ("slotted",), "reader of the carriage's clear strip; reader of the paper feed's disc",
         "1 + 1", "slotted, two channels, logic output: not a plain pair",
         "H", "two tear-down pages, one of the Epson DX4050"),
    Find("copier, finisher or sorter", ("slotted", "switch"), "slotted sensors with feelers; switches",
         "about 17", "slotted modules", "S", "Lexmark C910 finisher service text, page 376"),
    Find("copier, body", ("slotted",), "sensor of the paper-end feeler", "1 a tray", "slotted module",
         "S", "Ricoh D017 service text, page 684 (easymanua.ls)"),
    Find("copier, body", ("switch",), "door switches", "not counted", "snap-action", "C", WORDS["C"]),
    Find("flat-bed scanner", ("slotted", "switch"), "home-position sensor", "1",
         "slotted sensor with a flag on the carriage, or a snap-action switch", "C", WORDS["C"]),
    Find("fax, thermal", ("reflective", "switch"),
         "reflective sensors with feelers; switches for paper end, cover, hook and the cutter's home position",
         "2 reflective + 4 switches", "reflective part in a holder; small push or lever switches",
         "S", "Brother FAX-275 service text, page 26"),
    Find("fax", ("slotted", "switch"), "detection switches; slotted sensors", "2 switches, several sensors",
         "lever detector switches; slotted", "S", "Panasonic KX-FT63 page 121 and KX-FLB802 page 53, service texts"),
    Find("floppy drive, 3.5 inch", ("switch", "slotted"),
         "disk type, disk present, write protect, track zero", "4 places",
         "small push or detector switches, or slotted pairs", "H", "a page that takes a floppy drive apart, part 2"),
    Find("floppy drive, 5.25 inch", ("pair", "emitter", "detector"), "emitter and detector of the index hole", "1 pair",
         "lone emitter and lone phototransistor", "H", "a weblog post of 2010-06-19"),
    Find("optical disc drive of a computer", ("switch",), "tray open, tray closed, end of the sled", "2 or 3",
         "leaf or detector switch with 2 pins", "C", WORDS["C"]),
    Find("ball mouse", ("pair", "emitter", "detector"), "emitter and double detector on each chopper wheel",
         "2, with a wheel 3", "2-lead emitter facing a 3-lead double phototransistor",
         "H", "an electronics forum's page (elektroda, news 4074952)"),
    Find("optical mouse", ("switch", "pair", "emitter", "detector"),
         "switches of the buttons; emitter and double detector of the wheel", "up to 5 switches, 1 pair",
         "snap-action, often sold as changeover though some types fitted only close; 2-lead emitter with a 4-lead "
         "double phototransistor", "H", "a how-to page on taking an optical mouse apart, step 5 (instructables)"),
    Find("vending machine, columns", ("switch",), "two cam switches a column; sold-out, base and selection switches",
         "2 or more a column", "lever, made for 3 to 10 A: poor for logic signals",
         "S", "u700 service text, page 8 (manualshelf)"),
    Find("vending machine, stacks", ("switch",), "three cam switches together on each motor", "3 a motor", "lever",
         "S", "Dixie-Narco S90 service text, page 13 (manualshive)"),
    Find("vending or ticket machine, coin and ticket path", ("slotted", "pair"), "sensors across the path", "several",
         "pairs with a wide gap", "C", WORDS["C"]),
    Find("vending machine", ("switch",), "snap-action switches", "not given", "the maker names this use for the AV3",
         "S", "Panasonic AV3 data sheet"),
    Find("refrigerator or appliance door", ("switch",), "door switch", "not given",
         "plunger; the maker names this use for the D3D", "S", "Omron D3D data sheet"),
    Find("knitting machine", ("slotted",), "rotary encoder of the carriage, two channels", "1",
         "two-channel encoder (its end sensors are magnetic, not optical)",
         "H", "a hobby page of 2015-02 on Brother KH-950i and KH-930; hardware notes of an open project"),
    Find("sewing machine", ("slotted", "reflective", "switch"), "needle-position sensor on the shaft; pedal switch",
         "1 or 2", "slotted or reflective with a disc on the shaft; lever switch",
         "S", "patent text WO 87/00875 A1; a retrofit page of 2014-11-03 shows a reflective part (H)"),
    Find("arcade joystick and buttons", ("switch",), "switches", "4 a stick, 1 a button",
         "lever snap-action; leaf switches in old ones", "H", "two hobby pages"),
    Find("arcade trackball or spinner", ("slotted",), "encoders", "2 channels an axis",
         "small boards with two slotted sensors around a chopper wheel", "H", "two hobby pages"),
    Find("washing machine, industrial panel", ("switch",), "snap-action and reed switches", "not counted", "various",
         "C", WORDS["C"]),
)  # fmt: skip

CAUTIONS: tuple[str, ...] = (
    "Pull the mains plug and wait before opening anything; capacitors in supplies and flash units stay charged: "
    "measure, discharge through a resistor.",
    "Laser printers, scanners and optical drives hold lasers and high voltage: leave their covers on while powered.",
    "Take nothing from a machine that is still in use: its cover switches protect people.",
)

NOTES: tuple[str, ...] = (
    "Interlock switches carry mains or 24 V motor currents: their silver contacts are poor donors for logic signals.",
    "A slotted module with a connector often holds its own resistor or amplifier: test it as a logic output before you "
    "use it as a bare pair (common practice, no source).",
    "Mark loose clear parts the day they come out: emitter, detector and visible LED look alike (common practice, no "
    "source).",
)


def found_in(kind: str) -> list[Find]:
    """The classes of equipment for a kind, best evidence first."""
    return sorted((find for find in FINDS if kind in find.kinds), key=lambda find: "SHC".index(find.evidence))
