"""Figures as SVG: coordinates are read back from the file and compared with the pinout."""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import replace
from xml.etree import ElementTree

import pytest
from drawing_cases import HOSTILE, board_of, eight, part, plain_fit, seeded, wired_parts

from xref.draw.closeup import close_up
from xref.draw.figure import enlarged, ruler, true_size
from xref.draw.layout import fit_scene, part_scene, seen
from xref.draw.shapes import Figure, Label, overlap, text_width
from xref.draw.svg import svg
from xref.draw.text import draw_fit
from xref.model.part import Part

NS = "{http://www.w3.org/2000/svg}"


def marks(text: str, kind: str) -> dict[str, tuple[float, float]]:
    """Middle of every lead square or pad ring of an SVG, in mm with y up."""
    root = ElementTree.fromstring(text)
    assert root.get("width", "").endswith("mm")
    box = [float(v) for v in root.get("viewBox", "").split()]
    assert float(root.get("width", "").removesuffix("mm")) == box[2]
    found = {}
    for element in root.iter():
        name = element.get("data-is", "")
        if not name.startswith(f"{kind}:"):
            continue
        if element.tag == f"{NS}circle":
            x, y = float(element.get("cx", "")), float(element.get("cy", ""))
        else:
            numbers = [float(v) for v in re.findall(r"-?[\d.]+", element.get("d", ""))]
            x, y = sum(numbers[0::2]) / 4, sum(numbers[1::2]) / 4
        found[name.removeprefix(f"{kind}:")] = (x, -y)
    return found


def relative(spots: dict[str, tuple[float, float]]) -> dict[str, tuple[float, float]]:
    """Places against their common middle, so that the place on the sheet does not matter."""
    cx = sum(x for x, _ in spots.values()) / len(spots)
    cy = sum(y for _, y in spots.values()) / len(spots)
    return {name: (x - cx, y - cy) for name, (x, y) in spots.items()}


def sampled() -> Iterator[Part]:
    """Every wired part whose leads have labels of their own."""
    for made in wired_parts():
        labels = [lead.label for lead in made.geometry.leads]
        if len(set(labels)) == len(labels):
            yield made


@pytest.mark.parametrize("view", ["component", "solder"])
def test_true_size_is_true_for_every_wired_part(view: str) -> None:
    """The 1:1 drawing puts every lead within 0.1 mm of its pinout; the solder view is the mirror of it."""
    sign, checked = (1 if view == "component" else -1), 0
    for made in sampled():
        spots = relative(marks(svg(true_size(part_scene(made, view))), "lead"))  # type: ignore[arg-type]
        wanted = relative({lead.label: lead.at_mm for lead in made.geometry.leads if lead.at_mm})
        assert set(spots) == set(wanted)
        for label, (x, y) in wanted.items():
            assert spots[label] == pytest.approx((sign * x, y), abs=0.1), (made.name, label)
        checked += 1
    assert checked > 60


@pytest.mark.parametrize("seed", range(10))
def test_the_enlarged_views_mirror_exactly(seed: int) -> None:
    """Leads and pads of the solder view are those of the component view with x negated, at the scale printed."""
    board, donor, fit = seeded(seed)
    scene = fit_scene(fit, board, donor)
    figures = [enlarged(view, width=92, height=80) for view in (scene, seen(scene, "solder"))]
    assert figures[0].scale == figures[1].scale

    for kind in ("lead", "pad"):
        above, below = (marks(svg(figure), kind) for figure in figures)
        for label, (x, y) in above.items():
            mirrored = -(x - figures[0].origin[0]) + figures[1].origin[0]
            assert below[label] == pytest.approx((mirrored, y), abs=1e-3)
    assert f"drawn {figures[0].scale:g} times" in svg(figures[0]) or figures[0].scale == 1


@pytest.mark.parametrize("seed", range(30))
def test_no_text_of_a_figure_overlaps_text(seed: int) -> None:
    """Labels, wire numbers, cue and scale keep clear of each other in both views."""
    board, donor, fit = seeded(seed)
    scene = fit_scene(fit, board, donor)
    for view in (scene, seen(scene, "solder")):
        figure = enlarged(view, width=92, height=80)
        assert not clashes(figure)


def clashes(figure: Figure) -> list[tuple[str, str]]:
    """Pairs of texts that touch, and texts that leave the figure."""
    texts = [shape for shape in figure.shapes if isinstance(shape, Label)]
    found = [(a.text, b.text) for i, a in enumerate(texts) for b in texts[:i] if overlap(a.box, b.box)]
    found += [
        (a.text, "edge")
        for a in texts
        if a.box[0] < -0.01 or a.box[2] > figure.width + 0.01 or a.box[3] > figure.height
    ]
    return found


def test_text_from_files_cannot_become_markup() -> None:
    """Names with tags, quotes, escapes and direction marks stay text in a well-formed file."""
    made = part(HOSTILE, [(HOSTILE, "A", (0, 0)), ("</text>", "K", (2.54, 0))])
    board = board_of(made)

    text = svg(enlarged(fit_scene(plain_fit(board, made), board, made), width=90, height=80))

    root = ElementTree.fromstring(text)
    assert {element.tag.removeprefix(NS) for element in root.iter()} <= {"svg", "g", "title", "path", "circle", "text"}
    assert not any(key.startswith("on") for element in root.iter() for key in element.attrib)
    assert "\x1b" not in text
    assert "\u202e" not in text


def test_the_ruler_is_as_long_as_it_says() -> None:
    """The line under the marks is 50 mm; a mark stands at every millimetre."""
    root = ElementTree.fromstring(svg(ruler()))
    lines = [[float(v) for v in re.findall(r"-?[\d.]+", e.get("d", ""))] for e in root.iter(f"{NS}path")]
    base = next(line for line in lines if line[1] == line[3])

    assert base[2] - base[0] == pytest.approx(50.0, abs=1e-6)
    assert sorted({round(line[0] - base[0], 6) for line in lines if line[0] == line[2]}) == list(range(51))


def test_text_is_measured_as_the_font_prints_it() -> None:
    """Widths agree with those that reportlab reads from the embedded font file; other letters are on the wide side."""
    pdfmetrics = pytest.importorskip("reportlab.pdfbase.pdfmetrics")
    from reportlab.pdfbase.ttfonts import TTFont

    for name, bold in (("Vera", False), ("VeraBd", True)):
        pdfmetrics.registerFont(TTFont(name, f"{name}.ttf"))
        ascii_text = "".join(chr(c) for c in range(32, 127))
        assert text_width(ascii_text, 10, bold) == pytest.approx(pdfmetrics.stringWidth(ascii_text, name, 10), rel=2e-3)
        for char in "äöüÄÖÜßéñłŁčžŒÆØ°±×–—…≤≥½€Ω":
            assert text_width(char, 10, bold) >= pdfmetrics.stringWidth(char, name, 10) - 0.3


def test_eight_leads_twelve_wires_are_drawn() -> None:
    """Every wire number of a crowded fit is in the figure once."""
    board, donor = board_of(eight()), eight()
    fit = plain_fit(board, donor, 180)

    figure = enlarged(fit_scene(fit, board, donor), width=92, height=80)

    numbers = [shape.text for shape in figure.shapes if isinstance(shape, Label) and shape.text.isdigit()]
    assert sorted(map(int, numbers)) == list(range(1, fit.wire_count + 1))
    assert fit.wire_count == 8


def test_a_long_body_is_cut_so_that_the_pads_are_large() -> None:
    """Four pads under a body of 40 mm: the close-up is larger, keeps every mark in place, and says that it is cut."""
    small = part("S", [("1", "A", (-3, 1)), ("2", "K", (-3, -1)), ("3", "C", (3, 1)), ("4", "E", (3, -1))])
    board = board_of(small)
    fit = plain_fit(board, small)
    short = fit_scene(fit, board, small)
    long = fit_scene(fit, replace(board, body_mm=(40.0, 6.0)), small)

    whole, cut = enlarged(short, width=92, height=80), enlarged(long, width=92, height=80)

    assert close_up(long).cropped
    assert not close_up(short).cropped
    assert cut.scale >= whole.scale
    assert relative(marks(svg(cut), "lead")) == {
        label: pytest.approx((x * cut.scale, y * cut.scale), abs=1e-3)
        for label, (x, y) in relative({m.label: m.at_mm for m in long.leads}).items()
    }
    for start, end in (edge for outline in close_up(long).outlines for edge in outline.edges()):
        assert all(abs(x) <= 5.5 + 1e-9 and abs(y) <= 4.5 + 1e-9 for x, y in (start, end))
    assert "bodies and holes go on beyond the edge" in draw_fit(
        fit, original=replace(board, body_mm=(40.0, 6.0)), donor=small
    )
