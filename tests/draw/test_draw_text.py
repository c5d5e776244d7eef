"""Terminal drawings: what they say is read back out of the characters and compared with the part."""

from __future__ import annotations

import re
from dataclasses import replace
from functools import cache

import pytest
from drawing_cases import HOSTILE, LONG, board_of, eight, part, plain_fit, seeded, wired_parts

from xref.draw.svg import fit_svg
from xref.draw.text import draw_fit, draw_part, lead_map_table
from xref.draw.words import columns
from xref.model.answers.fit import Fit
from xref.model.lead import Lead, mirrored
from xref.model.part import Geometry, Part

PILL = re.compile(r"\((\S+(?: [^\s(.┄]+)*?)\)(?=[ :┊]|$)")


def pills(text: str) -> dict[str, tuple[float, float]]:
    """Name in round brackets to (middle column, row) of the picture, before the ruler."""
    found = {}
    lines = text.split("\n")
    start = next(i for i, line in enumerate(lines) if not line)
    stop = next(i for i, line in enumerate(lines) if "one step = 1 mm" in line)
    for row, line in enumerate(lines[start:stop]):
        for match in PILL.finditer(line):
            found[match.group(1)] = (columns(line[: match.start()]) + columns(match.group(0)) / 2, -row)
    return found


@cache
def drawn_by_lot(seed: int, view: str) -> str:
    """The drawing of a fit by lot; two tests read it."""
    board, donor, fit = seeded(seed)
    return draw_fit(fit, original=board, donor=donor, view=view, ascii=True)  # type: ignore[arg-type]


def expected_sides(leads: tuple[Lead, ...]) -> dict[tuple[str, str], tuple[bool, bool]]:
    """For each pair of leads: is the first further left, is it higher? Only pairs that a character can part."""
    out = {}
    for one in leads:
        for other in leads:
            assert one.at_mm is not None
            assert other.at_mm is not None
            if abs(one.at_mm[0] - other.at_mm[0]) > 0.6:
                out["x", f"{one.label} {other.label}"] = (one.at_mm[0] < other.at_mm[0], True)
            if abs(one.at_mm[1] - other.at_mm[1]) > 0.9:
                out["y", f"{one.label} {other.label}"] = (one.at_mm[1] > other.at_mm[1], True)
    return out


@pytest.mark.parametrize("ascii", [True, False])
@pytest.mark.parametrize("view", ["component", "solder"])
def test_label_function_and_side_are_read_back(view: str, ascii: bool) -> None:
    """Every lead of every wired part stands where its pinout puts it, under its own label and function."""
    checked = 0
    for made in wired_parts():
        if any(columns(lead.label) > 12 for lead in made.geometry.leads):
            continue
        text = draw_part(made, view=view, ascii=ascii)  # type: ignore[arg-type]
        leads = made.geometry.leads if view == "component" else mirrored(made.geometry.leads)
        names = {m.label: m.label if m.label == m.function else f"{m.label} {m.function}" for m in leads}
        spots = pills(text)
        assert set(spots) == set(names.values()), made.name
        for (axis, pair), (first, _) in expected_sides(leads).items():
            one, other = ((spots[names[label]]) for label in pair.split(" "))
            assert ((one[0] < other[0]) if axis == "x" else (one[1] > other[1])) is first, (made.name, pair)
        checked += 1
    assert checked > 60


@pytest.mark.parametrize("view", ["component", "solder"])
def test_the_list_gives_the_millimetres(view: str) -> None:
    """The list under the picture gives each lead's place as seen, to 0.001 mm."""
    for made in wired_parts():
        text = draw_part(made, view=view, ascii=False, width=200)  # type: ignore[arg-type]
        leads = made.geometry.leads if view == "component" else mirrored(made.geometry.leads)
        rows = [line for line in text.split("\n") if re.search(r"[-+\d.]+, [-+\d.]+$", line)]
        assert len(rows) == len(leads)
        for lead, row in zip(leads, rows, strict=True):
            x, y = row.rsplit("  ", 1)[1].split(", ")
            assert lead.at_mm is not None
            assert (float(x), float(y)) == pytest.approx(lead.at_mm, abs=0.0006)
            assert row.startswith(lead.label)


def test_the_view_is_said_in_words_and_by_the_emitter_end() -> None:
    """Component and solder side differ in the words and in the side of the emitter end."""
    sensor = part("S", [("1", "A", (-3, 1)), ("2", "K", (-3, -1)), ("3", "C", (3, 1)), ("4", "E", (3, -1))])

    above, below = (draw_part(sensor, view=view, ascii=True) for view in ("component", "solder"))  # type: ignore[arg-type]

    assert "COMPONENT SIDE" in above
    assert "MIRRORED" not in above
    assert "SOLDER SIDE" in below
    assert "MIRRORED" in below
    assert above.index("EMITTER end") < above.index("DETECTOR end")
    assert below.index("EMITTER end") > below.index("DETECTOR end")


def test_ascii_is_ascii_and_nothing_is_wider_than_80_columns() -> None:
    """Long, Japanese, Korean and hostile names keep to ASCII when asked, and to 80 columns always."""
    hostile = part(HOSTILE, [(HOSTILE, "A", (0, 0)), ("한국어", "K", (2.54, 0))])
    for made in (eight((*LONG, "g", "h")), hostile):
        board = board_of(eight())
        fit = plain_fit(board, made)
        for ascii in (True, False):
            for text in (draw_part(made, ascii=ascii), draw_fit(fit, original=board, donor=made, ascii=ascii)):
                assert all(columns(line) <= 80 for line in text.split("\n"))
                assert not re.search(r"[\x00-\x09\x0b-\x1f\x7f\u202e]", text)
                assert text.isascii() or not ascii


@pytest.mark.parametrize("seed", range(40))
def test_pads_leads_and_wires_are_all_there(seed: int) -> None:
    """Each pad and lead is in the picture once, each wire has its number in it or is named as left out."""
    board, donor, fit = seeded(seed)
    for view in ("component", "solder"):
        text = drawn_by_lot(seed, view)
        head, _, key = text.partition("one step = 1 mm")
        picture = "\n".join(head.split("\n")[3:])
        for pad in board.pads:
            assert len(re.findall(rf"\[{pad.label}[\] ]", picture)) == 1
        assert len(re.findall(r"\(#?\w+", picture)) == len(donor.geometry.leads)
        left_out = re.search(r"No room here for wire ([\d, ]+)", key)
        missing = set(left_out.group(1).split(", ")) if left_out else set()
        for number in range(1, fit.wire_count + len(fit.links) + 1):
            drawn = re.search(rf"(?<![\d\w#P(\[]){number}(?![\d\w\])])", picture)
            assert drawn or str(number) in missing


def test_few_wires_are_left_without_a_line() -> None:
    """The router finds a way for nearly every wire of boards drawn by lot (our own promise, no outside value)."""
    left, wires = 0, 0
    for seed in range(40):
        _, _, fit = seeded(seed)
        text = drawn_by_lot(seed, "component")
        wires += fit.wire_count + len(fit.links)
        found = re.search(r"No room here for wire ([\d, ]+)", text)
        left += len(found.group(1).split(", ")) if found else 0

    assert left / wires < 0.12


def test_the_lead_map_names_every_way() -> None:
    """Lead, pad, net, way, wire number and length stand in one line each; an open lead is named."""
    board, donor = board_of(eight()), part("D", [("a", "A", (-3.81, 2.54)), ("k", "K", (5, 5)), ("n", "NC", (9, 9))])

    lines = lead_map_table(plain_fit(board, donor)).split("\n")

    assert lines[2].split() == ["a", "A", "1", "N0", "drops", "into", "the", "hole", "-", "-"]
    assert re.split(r"  +", lines[3]) == ["k", "K", "2", "N1", "wire, insulated", "1", "6.7 mm"]
    assert re.split(r"  +", lines[4])[0] == "n"
    assert "stays open" in lines[4]


def test_a_lead_over_a_foreign_pad_is_named() -> None:
    """Same grid, other order: the drawing says which lead must not go into which hole."""
    board = board_of(part("O", [("A", "A", (0, 0)), ("K", "K", (2.54, 0))]))
    donor = part("D", [("1", "K", (0, 0)), ("2", "A", (2.54, 0))])

    text = " ".join(draw_fit(plain_fit(board, donor), original=board, donor=donor, ascii=True).split())

    assert "lead 1 over pad A, lead 2 over pad K" in text
    assert "Power off, supply capacitors discharged, wait a minute." in text


def test_an_unconfirmed_fit_says_so() -> None:
    """A wiring that the independent check did not confirm is never drawn without a word, in text or SVG."""
    board, donor, fit = seeded(3)
    doubtful = replace(fit, verified=False)

    assert "NOT CONFIRMED" in draw_fit(doubtful, original=board, donor=donor)
    assert "NOT CONFIRMED" in fit_svg(doubtful, board, donor)
    assert "NOT CONFIRMED" not in draw_fit(fit, original=board, donor=donor) + fit_svg(fit, board, donor)


def test_what_cannot_be_drawn_is_said() -> None:
    """No places: a list and a sentence. No fit: the reason. No leads: a sentence."""
    board = board_of(eight())
    unplaced = Part(name="U", kind="switch", geometry=Geometry(leads=(Lead(label="1", function="COM"),)))
    no_fit = Fit(
        original="O", donor="U", kind="switch", possible=False, because="pad K has no lead that could serve it"
    )

    assert "No drawing of 1 of 1 leads: their places are unknown." in draw_part(unplaced)
    assert "terminal COM" in draw_part(unplaced)
    assert "not known: nothing to draw" in draw_part(Part(name="N", kind="switch"))
    assert "Does not go in: pad K has no lead" in draw_fit(no_fit, original=board, donor=unplaced)
