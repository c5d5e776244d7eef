"""A plain table that fits its width: columns as wide as their text, the widest ones wrapped, nothing cut."""

from __future__ import annotations

from collections.abc import Sequence

from xref.draw.words import columns, pad_to, wrap


def table(headers: Sequence[str], rows: Sequence[Sequence[str]], width: int = 80) -> str:
    """The rows under their headers, at most ``width`` columns wide; cells that do not fit go on in the next line."""
    sizes = [max(columns(line[i]) for line in (headers, *rows)) for i in range(len(headers))]
    least = [max(4, min(size, 8)) for size in sizes]
    gaps = 2 * (len(headers) - 1)
    while sum(sizes) + gaps > width:
        spare = [size - low for size, low in zip(sizes, least, strict=True)]
        if max(spare) <= 0:
            break
        sizes[max(range(len(sizes)), key=lambda i: (spare[i] > 0, sizes[i]))] -= 1
    out = _lines(headers, sizes)
    out.append("  ".join("-" * size for size in sizes))
    for row in rows:
        out += _lines(row, sizes)
    return "\n".join(out)


def _lines(row: Sequence[str], sizes: Sequence[int]) -> list[str]:
    cells = [wrap(cell, size) for cell, size in zip(row, sizes, strict=True)]
    height = max(len(cell) for cell in cells)
    return [
        "  ".join(
            pad_to(cell[i] if i < len(cell) else "", size) for cell, size in zip(cells, sizes, strict=True)
        ).rstrip()
        for i in range(height)
    ]
