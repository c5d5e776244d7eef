"""Sheets as PDF: places, boxes and words are read back with pdfplumber and compared with what went in."""

from __future__ import annotations

import io
import math
import re
from dataclasses import replace
from functools import cache
from typing import Any

import pdfplumber
import pytest
from drawing_cases import HOSTILE, wired_parts
from sheet_cases import by_lot, filled, ordinary, own_place

from xref.draw.words import clean
from xref.model.answers.fit import Added
from xref.model.answers.sheet import Expected, Sheet
from xref.paper.content import order_of_work, undo_of
from xref.paper.pdf import pdf
from xref.paper.sheet import pages

MM = 72 / 25.4
Spot = tuple[float, float]


def opened(sheet: Sheet) -> pdfplumber.PDF:
    """The sheet as a reader of the PDF gets it."""
    return pdfplumber.open(io.BytesIO(pdf(pages(sheet))))


@cache
def printed(seed: int) -> bytes:
    """The PDF of a sheet by lot; two tests look at it."""
    return pdf(pages(by_lot(seed)))


def squares(page: pdfplumber.page.Page, edge_mm: float) -> list[Spot]:
    """Middles in mm (y up) of the filled squares of this size, from left to right on the page."""
    found = [
        ((r["x0"] + r["x1"]) / 2 / MM, (r["y0"] + r["y1"]) / 2 / MM)
        for r in page.rects
        if r["fill"] and abs(r["width"] - edge_mm * MM) < 0.02 and abs(r["height"] - edge_mm * MM) < 0.02
    ]
    return sorted(found)


def centred(spots: list[Spot]) -> list[Spot]:
    """Against their common middle, sorted, so that two sets can be compared."""
    cx, cy = (sum(p[i] for p in spots) / len(spots) for i in (0, 1))
    return [(x - cx, y - cy) for x, y in spots]


def body_text(document: pdfplumber.PDF) -> str:
    """All letters in the order in which they were drawn, without blanks and without the foot of each page."""
    return "".join(
        char["text"]
        for page in document.pages
        for char in page.chars
        if char["text"].strip() and page.height - char["bottom"] > 9.5 * MM
    )


def far_apart(one: list[Spot], other: list[Spot]) -> float:
    """The largest distance from a place of one set to the nearest of the other, both ways."""
    return max(
        max(min(math.dist(p, q) for q in other) for p in one),
        max(min(math.dist(p, q) for q in one) for p in other),
    )


def test_the_true_size_drawing_is_right_for_every_wired_part() -> None:
    """Both 1:1 views of each wired part hold its leads within 0.1 mm of the pinout, the solder view mirrored."""
    drawn: set[object] = set()
    for made in wired_parts():
        # parts of one arrangement give one and the same drawing
        places = frozenset(lead.at_mm for lead in made.geometry.leads)
        if places in drawn:
            continue
        drawn.add(places)
        bare = Sheet(donor=made.name, donor_part=made)
        with opened(bare) as document:
            spots = squares(document.pages[0], 0.5)
        leads = [lead.at_mm for lead in made.geometry.leads if lead.at_mm]
        assert len(spots) == 2 * len(leads), made.name
        above, below = spots[: len(leads)], spots[len(leads) :]
        assert far_apart(centred(above), centred(leads)) < 0.1, made.name
        assert far_apart(centred(below), centred([(-x, y) for x, y in leads])) < 0.1, made.name
    assert len(drawn) > 30


def test_leads_stand_on_their_pads_at_true_size() -> None:
    """A part in its own place: each lead square has the middle of a pad ring."""
    made = next(p for p in wired_parts() if p.kind == "reflective")
    with opened(own_place(made)) as document:
        page = document.pages[0]
        rings = [((c["x0"] + c["x1"]) / 2 / MM, (c["y0"] + c["y1"]) / 2 / MM) for c in page.curves]
        for spot in squares(page, 0.5):
            assert min(math.dist(spot, ring) for ring in rings) < 0.05


@pytest.mark.parametrize("paper", ["A4", "letter"])
def test_the_ruler_measures_50_mm(paper: str) -> None:
    """The line of the ruler is 50 mm on the paper, and the paper has its own size."""
    sizes = {"A4": (210.0, 297.0), "letter": (215.9, 279.4)}
    with opened(replace(ordinary(), paper=paper)) as document:  # type: ignore[arg-type]
        page = document.pages[0]
        lengths = [line["width"] / MM for line in page.lines if line["height"] < 0.01]
        assert min(abs(length - 50.0) for length in lengths) < 0.02
        assert (page.width / MM, page.height / MM) == pytest.approx(sizes[paper], abs=0.05)
        assert "50 mm must measure 50 mm" in " ".join(page.extract_text().split())


def crowding(page: pdfplumber.page.Page) -> list[tuple[str, str]]:
    """Pairs of characters whose boxes overlap by more than a hair, and characters outside the page."""
    chars = sorted((c for c in page.chars if c["text"].strip()), key=lambda c: c["x0"])
    hair = 0.12 * MM
    found = [(c["text"], "edge") for c in chars if c["x0"] < 8 * MM or c["x1"] > page.width - 8 * MM]
    found += [(c["text"], "edge") for c in chars if c["top"] < 8 * MM or c["bottom"] > page.height - 3 * MM]
    for i, one in enumerate(chars):
        for other in chars[i + 1 :]:
            if other["x0"] > one["x1"] - hair:
                break
            if other["x1"] - one["x0"] < hair:
                continue
            if min(one["bottom"], other["bottom"]) - max(one["top"], other["top"]) > hair:
                found.append((one["text"], other["text"]))
    return found


@pytest.mark.parametrize("seed", range(50))
def test_no_text_overlaps_text_or_leaves_the_page(seed: int) -> None:
    """Fifty sheets by lot: long names, umlauts, Chinese, Japanese, Korean, up to 8 leads and 12 wires."""
    with pdfplumber.open(io.BytesIO(printed(seed))) as document:
        for page in document.pages:
            assert not crowding(page)


@pytest.mark.parametrize("seed", range(0, 50, 5))
def test_nothing_is_cut(seed: int) -> None:
    """Every phrase that went in is on the paper, letter for letter, also when it goes on on a second page."""
    sheet = by_lot(seed)
    with pdfplumber.open(io.BytesIO(printed(seed))) as document:
        text = body_text(document)
    wanted = [*sheet.cautions, *sheet.steps, *sheet.undo, *sheet.assumptions, *sheet.sources, *sheet.label, sheet.job]
    wanted += [w for r in sheet.readings for w in (r.point, r.when, r.expect)]
    wanted += [w for wire in sheet.wires for w in (wire.start, wire.end, wire.colour)]
    for phrase in wanted:
        assert "".join(clean(phrase).split()) in text, phrase


def test_an_ordinary_job_fits_on_one_page_at_a_size_to_read() -> None:
    """Four leads, three readings, one cut, two changed parts: one page, no letter under 2.2 mm."""
    with opened(ordinary()) as document:
        assert len(document.pages) == 1
        assert min(char["size"] for char in document.pages[0].chars) / MM >= 2.2 - 1e-3


def test_what_does_not_fit_goes_on_the_next_page() -> None:
    """Sixty readings: a second page, each reading with its own empty box, the table's head repeated."""
    readings = tuple(Expected(point=f"point {i}", when="power on", expect=f"{i} to {i + 1} V") for i in range(60))
    with opened(replace(ordinary(), readings=readings)) as document:
        assert len(document.pages) >= 2
        text = " ".join(page.extract_text() for page in document.pages)
        assert all(f"{i} to {i + 1} V" in text for i in range(60))
        boxes = [r for page in document.pages for r in page.rects if abs(r["width"] - 19 * MM) < 0.1 and not r["fill"]]
        assert len(boxes) == 60
        assert text.count("expect") >= 2


@pytest.mark.parametrize(
    "change",
    [
        {"cautions": tuple(f"caution {i} with a sentence that is long enough to wrap" * 2 for i in range(60))},
        {"label": tuple(f"label line {i}" for i in range(120))},
        {"steps": ("w" * 4000,), "donor": "d" * 500},
        {"readings": (Expected(point="w" * 3000, when="v" * 900, expect="1 V"),)},
        {"fit": None},
        {"donor_part": None, "board": None},
    ],
    ids=["cautions", "label", "long word", "long cells", "no fit", "no part"],
)
def test_absurd_amounts_still_stay_on_the_paper(change: dict[str, Any]) -> None:
    """Sixty cautions, a label of 120 lines, a word of 4000 letters: more pages, no text over text or over the edge."""
    sheet = replace(ordinary(), **change)
    with opened(sheet) as document:
        for page in document.pages:
            assert not crowding(page)
        text = body_text(document)
    for phrase in (*sheet.cautions, *sheet.label, *sheet.steps):
        assert "".join(phrase.split()) in text
    assert text.count("v") >= sum(r.when.count("v") for r in sheet.readings)


def test_an_empty_sheet_is_a_page() -> None:
    """Nothing known yet: one page with a title."""
    with opened(Sheet()) as document:
        assert len(document.pages) == 1
        assert "Job sheet" in document.pages[0].extract_text()


def test_the_sheet_has_all_its_parts() -> None:
    """Job line, cautions, views in words, lead map, wires, changes, steps, readings, undo, label, sources."""
    with opened(ordinary()) as document:
        text = " ".join(document.pages[0].extract_text().split())
    for words in (
        "Job: arm park", "CAUTION", "COMPONENT SIDE", "SOLDER SIDE", "MIRRORED", "Component side, 1:1",
        "Solder side (mirrored), 1:1", "Lead map", "Wires to cut", "Parts to change", "Order of work",
        "Read before closing the case", "To undo", "Label for inside the machine", "Assumed", "Sources", "BK",
        "220 ohm", "4.7 kohm", "page 1 of 1",
    ):  # fmt: skip
        assert words in text, words


def test_a_fit_that_is_not_confirmed_is_never_shown_as_good() -> None:
    """Unconfirmed: it says not to build it. Impossible: it says why, and has no lead map. Remarks are printed."""
    fit = ordinary().fit
    assert fit is not None
    cases = {
        "NOT CONFIRMED by the independent check": replace(fit, verified=False),
        "DOES NOT GO IN: pad K has no lead for it": replace(fit, possible=False, because="pad K has no lead for it"),
        "sleeve bent leads": replace(fit, warnings=("sleeve bent leads",)),
    }
    for words, case in cases.items():
        with opened(replace(ordinary(), fit=case)) as document:
            text = " ".join(" ".join(page.extract_text().split()) for page in document.pages)
            assert words in text
            assert ("Lead map" in text) == case.possible
    with opened(ordinary()) as document:
        assert "NOT CONFIRMED" not in document.pages[0].extract_text()


def test_the_order_of_work_comes_from_the_fit() -> None:
    """A cut in the fit is a step before the part goes in; without cuts, bends and wires there is no such step."""
    sheet = ordinary()
    steps = sheet.steps
    cut = next(i for i, step in enumerate(steps) if "Cut the track: track between pad P1" in step)
    set_in = next(i for i, step in enumerate(steps) if step.startswith("Set the part"))
    assert "Power off" in steps[0]
    assert cut < set_in
    assert any("Bridge the cut track again" in step for step in sheet.undo)

    made = next(p for p in wired_parts() if p.kind == "reflective")
    plain = filled(own_place(made))
    words = " ".join(plain.steps)
    assert not re.search(r"Cut the track|Bend lead|wire \d|link \d|Turn the part|instead of", words)
    assert plain.wires == ()


def test_hostile_text_stays_text() -> None:
    """Tags, escapes and direction marks from a file reach the paper as plain letters or not at all."""
    sheet = replace(ordinary(), machine=HOSTILE, donor=HOSTILE)
    data = pdf(pages(sheet))
    with pdfplumber.open(io.BytesIO(data)) as document:
        text = document.pages[0].extract_text()
        assert "onclick" in text
        assert not document.annots
    assert not re.search(rb"/JavaScript|/OpenAction|/URI|/Launch", data)
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_fonts_are_embedded() -> None:
    """The Latin text of the sheet brings its font with it."""
    from pypdf import PdfReader

    reader = PdfReader(io.BytesIO(pdf(pages(ordinary()))))
    fonts = [font.get_object() for font in reader.pages[0]["/Resources"]["/Font"].values()]
    used = [font for font in fonts if "Vera" in font["/BaseFont"]]
    assert len(used) == 2
    assert all("/FontFile2" in font["/FontDescriptor"] for font in used)


def test_without_reportlab_the_message_says_what_to_do(monkeypatch: pytest.MonkeyPatch) -> None:
    """No reportlab: one line with the way to get it."""
    import sys

    from xref.errors import XrefError

    monkeypatch.setitem(sys.modules, "reportlab.pdfgen.canvas", None)
    with pytest.raises(XrefError) as caught:
        pdf(pages(ordinary()))
    assert str(caught.value) == (
        'a PDF needs reportlab: pip install "xref[paper]"; the HTML and SVG sheets need nothing more'
    )


@pytest.mark.parametrize(
    ("between", "words"),
    [
        (
            ("collector: pad 3", "base: base of Q1", "emitter: 0V"),
            "collector to pad 3, base to its resistor, emitter to 0V",
        ),
        (
            ("collector: pad 2", "base: lead 4", "emitter: pad 1"),
            "collector to pad 2, base to lead 4, emitter to pad 1",
        ),
        (("lead 4", "base of Q1"), "lead 4 to base of Q1"),
    ],
)
def test_each_end_of_an_added_part_has_its_place(between: tuple[str, ...], words: str) -> None:
    """A transistor is soldered by its ends: which end goes where, in the step and in the way back."""
    made = replace(
        ordinary().fit or pytest.fail("no fit"), added=(Added(what="NPN transistor Q1", between=between, why="w"),)
    )

    assert f"Fit NPN transistor Q1: {words}." in order_of_work(made)
    assert f"Take out NPN transistor Q1: {words}." in undo_of(made)
