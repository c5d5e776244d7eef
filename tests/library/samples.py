"""A good part file and its pinout, to be broken by the tests. Invented part, invented maker."""

from __future__ import annotations

from xref.model.pinout import Pinout, PinoutLead

GOOD = """\
format: 1
sources:
  main: {title: Ring sensor sheet, document: "12", revision: A, date: 1986-03-01}
  drawing: {title: Ring sensor drawing}
common:
  maker: Invented Works
  kind: reflective
  output: phototransistor
parts:
  - part: RS100
    aliases: [RS100L]
    emitter:
      if_max_ma: 50
      vf_v:
        - {min: 1.0, typ: 1.2, max: 1.5, if_ma: 20}
    detector: {vceo_max_v: 30, iceo_na: {max: 100, vce_v: 20, source: drawing}}
    coupling:
      ic_ma: [{min: 0.3, if_ma: 10, vce_v: 5, distance_mm: 3, target: white card}]
      distance_curve: [[1, 0.5], [2, 1.0], [4, 0.6]]
    geometry:
      pinout: four-test
      labels: [1, 2, 3, 4]
      size_mm: [10.2, 5.8, 7]
    temp_c: [-20, 70]
    provenance: {geometry.leads: derived}
"""

PINOUTS = {
    "four-test": Pinout(
        format=1,
        pinout="four-test",
        leads=(
            PinoutLead(function="A", at_mm=(-2.75, -1.27)),
            PinoutLead(function="K", at_mm=(-2.75, 1.27)),
            PinoutLead(function="C", at_mm=(2.75, -1.27)),
            PinoutLead(function="E", at_mm=(2.75, 1.27)),
        ),
    )
}

SWITCH = """\
format: 1
sources:
  main: {title: Ring selector sheet}
parts:
  - part: SEL2
    kind: switch
    contacts:
      action: slide
      positions: 2
      table:
        NO: [[1, 2], [4, 5]]
        off: [[2, 3]]
    geometry:
      leads: [{label: 1, function: 1}, {label: 2, function: 2}, {label: 3, function: 3}, {label: 4, function: 4},
              {label: 5, function: 5}]
"""
