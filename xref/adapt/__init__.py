"""From a candidate to a wiring: poses, lead map, wires, values, contacts, workaround, proof."""
