"""Pages as one HTML file: the drawings and text inside it as SVG, nothing fetched, no script; prints page for page."""

from __future__ import annotations

from collections.abc import Sequence

from xref.draw.shapes import Figure
from xref.draw.svg import escape, svg


def html(pages: Sequence[Figure]) -> str:
    """The pages as one self-contained document; printed at 100 % the 1:1 drawing is true."""
    first = pages[0]
    body = "\n".join(f'<section class="page">{svg(page, alone=False)}</section>' for page in pages)
    return f"""<!DOCTYPE html>
<html lang="en">
<head>
<meta charset="utf-8">
<meta http-equiv="Content-Security-Policy" content="default-src 'none'; style-src 'unsafe-inline'; img-src data:">
<meta name="viewport" content="width=device-width">
<link rel="icon" href="data:,">
<title>{escape(first.title)}</title>
<style>
@page {{ size: {first.width:g}mm {first.height:g}mm; margin: 0 }}
html, body {{ margin: 0; padding: 0; background: #fff; color: #000 }}
.page svg {{ display: block }}
@media screen {{ .page svg {{ max-width: 100%; height: auto; margin: 0 auto; border-bottom: 1px solid #000 }} }}
@media print {{
  .page {{ break-after: page; break-inside: avoid; height: {first.height - 0.2:g}mm; overflow: hidden }}
  .page:last-child {{ break-after: auto }}
}}
</style>
</head>
<body>
{body}
</body>
</html>
"""
