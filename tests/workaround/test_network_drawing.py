"""The drawings say what the network says: read back from the text, and found in the SVG."""

from __future__ import annotations

import xml.etree.ElementTree as ElementTree

import pytest

from tests.workaround.networks import random_network
from xref.adapt.workaround_wiring import changes, compile_network, rewired
from xref.draw.network_layout import ladder
from xref.draw.network_svg import network_svg
from xref.draw.network_text import legend, network_text
from xref.model.network import Network


def joints(text: str) -> list[tuple[str, ...]]:
    """The nets that each column of a drawing is joined to ('o'), left to right; pieces follow each other."""
    pieces = text.split("(the same nets, continued)")
    found: list[tuple[str, ...]] = []
    for piece in pieces:
        rows = [line for line in piece.splitlines() if "--" in line]
        columns: dict[int, list[str]] = {}
        for row in rows:
            name, _, _ = row.partition(" ")
            for place, mark in enumerate(row):
                if mark == "o" and place > len(name) and row[place - 1] == "-":
                    columns.setdefault(place, []).append(name)
        found += [tuple(columns[place]) for place in sorted(columns)]
    return found


def expected(network: Network) -> list[tuple[str, ...]]:
    """The nets of each element in the order of the drawing, from the network alone."""
    order = {net: i for i, net in enumerate(sorted(network.supplies, key=lambda n: -network.supplies[n])[:1])}
    for net in [n for n in network.nets if n not in network.supplies]:
        order.setdefault(net, len(order))
    for net in sorted(network.supplies, key=lambda n: -network.supplies[n]):
        order.setdefault(net, len(order))
    rows = [(s.output,) if s.drives == "both" else (s.output, s.to) for s in network.sensors.values()]
    rows += [c.joins for c in network.contacts.values()]
    rows += list(network.jumpers)
    rows += [r.between for r in network.resistors.values()]
    return [tuple(sorted(set(nets), key=order.__getitem__)) for nets in rows if "" not in nets]


@pytest.mark.parametrize("seed", range(60))
def test_the_text_drawing_reads_back_as_the_network(seed: int) -> None:
    """Every joint of every element, before and after a change, in at most 80 columns of ASCII."""
    network = random_network(seed)
    every = changes(compile_network(network))
    actions = (every[seed % len(every)].action,) if every else ()
    for drawn, done in ((network, ()), (rewired(network, actions), actions)):
        text = network_text(ladder(drawn, drawn.modes[0], "title", done))

        assert max(map(len, text.splitlines())) <= 80
        assert text.isascii()
        assert joints(text) == expected(drawn)


@pytest.mark.parametrize("seed", range(20))
def test_the_contacts_are_drawn_as_the_mode_has_them(seed: int) -> None:
    """Closed and open contacts are written under their names, mode by mode."""
    network = random_network(seed)
    for mode in network.modes:
        grid = ladder(network, mode, "title")

        for column in grid.columns:
            if column.name in network.contacts:
                closed = mode in network.contacts[column.name].closed_in
                assert (column.symbol, column.note) == (("closed", "closed") if closed else ("open", "open"))


@pytest.mark.parametrize("seed", range(20))
def test_the_svg_holds_every_net_and_element(seed: int) -> None:
    """The file is XML; each net and each element is named in it once for every panel."""
    network = random_network(seed)
    panels = [ladder(network, mode, f"mode {mode}") for mode in network.modes]

    root = ElementTree.fromstring(network_svg(panels, "a <title> & more"))

    names = [element.get("data-is") for element in root.iter() if element.get("data-is")]
    for net in network.nets:
        assert names.count(f"net:{net}") == len(panels)
    for name in network.resistors:
        assert names.count(f"resistor:{name}") == len(panels)


def test_the_legend_fits_the_terminal() -> None:
    """At most 80 columns of ASCII."""
    assert max(map(len, legend().splitlines())) <= 80
    assert legend().isascii()
