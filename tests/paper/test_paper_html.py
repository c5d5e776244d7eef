"""The HTML sheet: one file, no network, prints page for page in headless Chromium."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Callable
from dataclasses import replace
from html.parser import HTMLParser
from pathlib import Path
from xml.etree import ElementTree

import pytest
from drawing_cases import HOSTILE
from sheet_cases import by_lot, ordinary, plot

from xref.paper.html import html
from xref.paper.sheet import pages

FLAGS = (
    "--headless", "--no-sandbox", "--disable-gpu", "--disable-quic", "--no-first-run",
    "--disable-background-networking", "--disable-component-update", "--disable-sync", "--no-pdf-header-footer",
    "--enable-logging=stderr", "--log-level=0",
)  # fmt: skip


class Tags(HTMLParser):
    """Collects the tags and the attributes of a page."""

    def __init__(self) -> None:
        super().__init__()
        self.tags: set[str] = set()
        self.attributes: list[tuple[str, str]] = []

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note one tag."""
        self.tags.add(tag)
        self.attributes += [(key, value or "") for key, value in attrs]


@pytest.mark.parametrize("seed", [7, 10])
def test_nothing_is_fetched_and_nothing_runs(seed: int) -> None:
    """No script, no link to elsewhere, no event attribute, however hostile the names."""
    sheet = replace(by_lot(seed), machine=HOSTILE, job="</svg><script>alert(1)</script>")
    parser = Tags()
    parser.feed(html(pages(sheet)))

    assert not parser.tags & {"script", "img", "iframe", "object", "a", "image", "use"}
    assert not [key for key, _ in parser.attributes if key.startswith("on") or key in ("src", "xlink:href")]
    assert [value for key, value in parser.attributes if key == "href"] == ["data:,"]
    assert not re.search(r"url\(|@import|https?://(?!www\.w3\.org/2000/svg)", html(pages(sheet)))


def test_every_page_is_well_formed_svg_of_its_size() -> None:
    """Each page is one SVG as large as the paper, in mm."""
    for sheet in (ordinary(), by_lot(10)):
        made = pages(sheet)
        found = re.findall(r"<svg.*?</svg>", html(made), flags=re.S)
        assert len(found) == len(made)
        for page, text in zip(made, found, strict=True):
            root = ElementTree.fromstring(text)
            assert root.get("width") == f"{page.width:g}mm"
            assert root.get("height") == f"{page.height:g}mm"


@pytest.mark.browser
@pytest.mark.parametrize("pages_wanted", [1, 2])
def test_chromium_prints_it_page_for_page(pages_wanted: int, tmp_path: Path, need_tool: Callable[..., str]) -> None:
    """An ordinary sheet prints on one page; no console message, no attempt to load anything; 50 mm stay 50 mm."""
    pdfplumber = pytest.importorskip("pdfplumber")
    chromium = need_tool("chromium", "chromium-browser", "google-chrome")
    sheet = ordinary() if pages_wanted == 1 else replace(ordinary(), plots=(plot(),) * 4)
    made = pages(sheet)
    assert len(made) == pages_wanted
    file, out = tmp_path / "sheet.html", tmp_path / "sheet.pdf"
    file.write_text(html(made), encoding="utf-8")

    run = subprocess.run(
        [chromium, *FLAGS, f"--user-data-dir={tmp_path / 'profile'}", f"--print-to-pdf={out}", file.as_uri()],
        capture_output=True,
        text=True,
        timeout=60,
        check=True,
    )

    assert "CONSOLE" not in run.stderr
    assert "net::ERR" not in run.stderr
    with pdfplumber.open(out) as document:
        assert len(document.pages) == pages_wanted
        lengths = [max(o["width"], o["height"]) * 25.4 / 72 for o in document.pages[0].lines + document.pages[0].rects]
        assert min(abs(length - 50.0) for length in lengths) < 0.25
