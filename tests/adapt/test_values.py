"""The chosen resistors leave as much light reserve as the best of all E24 x E24 pairs, and no limit is passed."""

from __future__ import annotations

import random
from dataclasses import replace
from itertools import product

import pytest

from xref.adapt.electrical import electrics
from xref.adapt.signal import Chain, chain, detector_limits, fast_enough, signal, verdict
from xref.adapt.values import LEAST_CURRENT, LOADS, choose, parallel_for
from xref.library.store import open_library
from xref.model.site import Sees, Site, SiteEmitter, SiteOutput
from xref.physics.corners import corner_report
from xref.physics.standard_values import values_between

PARTS = ("TCRT5000", "RPR-220", "QRD1114", "TCST1103", "H21A1", "EE-SX1041", "TCST2103", "ITR8102")
SITE = Site(
    kind="reflective",
    emitter=SiteEmitter(supply=5.0, resistor=220.0, resistor_side="A", in_series=1, driver_drop=0.0),
    output=SiteOutput(supply=5.0, load=10e3, load_side="C", input="74HC14", lit="low"),
    sees=Sees(distance=3.0, bright="white card", dark="open", rate=40.0),
    temperature=(10.0, 45.0),
    safety="none",
)


def link_for(name: str, seed: int = 0) -> Chain:
    """A donor on a board whose supply, input and temperature differ by seed."""
    rng = random.Random(f"{name}{seed}")
    site = replace(
        SITE,
        output=replace(SITE.output, input=rng.choice(("74HC14", "74HCT14", "74HC", "TTL"))),
        temperature=rng.choice(((10.0, 45.0), (0.0, 60.0))),
    )
    return chain(electrics(open_library().get(name)), site)


def everything(link: Chain) -> float:
    """Best reserve over the whole E24 x E24 table, every corner of the report, no search order."""
    best = 0.0
    limit = link.if_limit if link.if_limit is not None else 20e-3
    for emitter, load in product(values_between(10.0, 5100.0, "E24"), values_between(*LOADS, "E24")):
        current = link.forward_current(emitter)
        if current < LEAST_CURRENT or link.current_range(emitter)[1] > limit:
            continue
        if detector_limits(link, load) or fast_enough(link, load)[0] is False:
            continue
        report = corner_report(link.setup(emitter, load), link.ranges)
        best = max(best, report.reserve)
    return best


@pytest.mark.parametrize("name", ["TCRT5000", "H21A1"])
def test_as_good_as_the_whole_table(name: str) -> None:
    """Exhaustive E24 x E24 over all corners gives the same reserve within 1 %."""
    link = link_for(name)

    chosen = max(choice.reserve for choice in choose(link).compared if choice.allowed)

    assert chosen == pytest.approx(everything(link), rel=0.01)


@pytest.mark.nightly
@pytest.mark.parametrize("name", PARTS)
@pytest.mark.parametrize("seed", range(3))
def test_as_good_as_the_whole_table_everywhere(name: str, seed: int) -> None:
    """The same over more parts, inputs and temperatures."""
    link = link_for(name, seed)

    chosen = max((choice.reserve for choice in choose(link).compared if choice.allowed), default=0.0)

    assert chosen == pytest.approx(everything(link), rel=0.01)


@pytest.mark.parametrize("name", PARTS)
def test_limits_hold(name: str) -> None:
    """What is chosen keeps the emitter within its derated limit and the detector within its own."""
    link = link_for(name)

    best = choose(link).best

    assert best.allowed
    assert link.current_range(best.emitter_ohm)[1] <= (link.if_limit if link.if_limit is not None else 20e-3)
    assert not detector_limits(link, best.load_ohm)


@pytest.mark.parametrize("name", ["TCPT1300X01", "H21LOI"])
@pytest.mark.parametrize(("change", "volts"), [(("emitter resistor",), (1.0, 1.3)), (("load",), None)])
def test_the_assumed_limit_is_applied(name: str, change: tuple[str, ...], volts: tuple[float, float] | None) -> None:
    """Where no IF max is printed the 20 mA that are said are kept, or it is said that they are passed.

    Ohm's law at 5.25 V and 5 % less resistance, VF of GaAs between 1.0 and 1.3 V (any sheet of such an emitter).
    """
    site = replace(SITE, kind="slotted", sees=Sees(gap=3.1, rate=40.0), emitter=replace(SITE.emitter, resistor=180.0))
    link = chain(electrics(open_library().get(name)), site)
    assert link.if_limit is None
    result = choose(link, change=change)

    if volts is None:
        assert not result.changes
        assert result.signal.clean is not True
        assert "above the assumed 20 mA" in result.signal.limited_by
        assert any("above the assumed 20 mA" in text for text in result.warnings)
    else:
        assert result.best.emitter_ohm > 180.0
        assert (5.25 - volts[1]) / (result.best.emitter_ohm * 0.95) <= 20e-3
        assert result.signal.emitter_ma is not None
        assert result.signal.emitter_ma[1] <= 20.0


@pytest.mark.parametrize("name", PARTS)
def test_nothing_is_changed_that_may_not(name: str) -> None:
    """With nothing allowed the old values stay, and the signal is that of the old values."""
    link = link_for(name)

    result = choose(link, change=())

    assert not result.changes
    assert result.signal == signal(link, 220.0, 10e3)


def test_least_change_that_is_enough() -> None:
    """As soon as a reserve of 2 is there nothing more is changed, however much more could be had."""
    link = chain(electrics(open_library().get("H21A1")), SITE)
    result = choose(link)

    enough = [choice for choice in result.compared if choice.allowed and choice.reserve >= 2.0]

    assert enough
    assert result.best.changes == min(choice.changes for choice in enough)


@pytest.mark.parametrize(
    ("was", "wanted", "expected"), [(220.0, 110.0, 220.0), (1000.0, 500.0, 1000.0), (330.0, 220.0, 680.0)]
)
def test_a_resistor_across_the_old_one(was: float, wanted: float, expected: float) -> None:
    """Ohm's law: 220 ohm across 220 ohm is 110; 660 across 330 is 220, nearest E24 680."""
    assert parallel_for(was, wanted) == expected


@pytest.mark.parametrize(
    ("bright", "dark", "band", "expected"),
    [
        (4.0, 4.0, (0.5, 2.0), True),
        (1.2, 1.2, (0.5, 2.0), None),
        (0.5, 4.0, (0.5, 3.0), None),
        (0.5, 1.5, (0.5, 3.0), False),
        (0.9, 5.0, (1.0, 1.0), False),
    ],
)
def test_verdict_over_unknown_light(
    bright: float, dark: float, band: tuple[float, float], expected: bool | None
) -> None:
    """With the light k times the assumed one the reserves are bright*k and dark/k: definition of the reserve."""
    assert verdict(bright, dark, band) is expected
