"""What can be wrong, how it changes the circuit, and what the tests without a meter would show.

Priors follow how often a cause was the culprit in bench accounts, roughly; they only decide between causes that the
readings leave alike. Shares are common practice, no source.
"""

from __future__ import annotations

from dataclasses import dataclass, field


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """How a cause changes the healthy circuit; a range is drawn from evenly over its logarithm."""

    light: tuple[float, float] = (1.0, 1.0)
    """Factor on the light that arrives."""
    stray: tuple[float, float] = (0.0, 0.0)
    """Light in the dark state, as a share of the healthy bright light."""
    passes: tuple[float, float] = (0.0, 0.0)
    """Share of this machine's own bright light that still arrives in the dark state."""
    gain: tuple[float, float] = (1.0, 1.0)
    """Factor on the detector."""
    leak: tuple[float, float] = (0.0, 0.0)
    """Extra dark current [A]."""
    emitter: str = ""
    """'open', 'short' or 'bypassed' (no resistor)."""
    detector: str = ""
    """'open' or 'short'."""
    emitter_resistor: tuple[float, float] = (1.0, 1.0)
    load: tuple[float, float] = (1.0, 1.0)
    supply: tuple[float, float] = (1.0, 1.0)
    strobed: bool = False
    inverted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cause:
    """A cause: prior weight, its faults (one is drawn), outcomes of the tests, and the mending.

    ``tests``: name of a test to the probability of its first outcome.
    """

    key: str
    text: str
    prior: float
    faults: tuple[Fault, ...]
    mend: str
    tests: dict[str, float] = field(default_factory=dict)
    behind: bool = False
    """True when the sensor itself is healthy."""


WEAK = (0.04, 0.45)

# Test outcomes: torch = reacts; glow = seen; tap = changes; wiggle = changes; clean = better; card = better;
# shade = changes; exchange = fault follows the part; slow = works when slow; twin is a voltage.
CAUSES: tuple[Cause, ...] = (
    Cause(key="dirty window", text="dirt on a window or lens", prior=3, faults=(Fault(light=(0.04, 0.6)),),
          mend="clean with a soft brush, then a little alcohol on a swab",
          tests={"torch": 0.9, "clean": 0.92, "exchange": 0.2, "card": 0.25}),
    Cause(key="emitter aged", text="the emitter has grown weak", prior=4, faults=(Fault(light=WEAK),),
          mend="replace the sensor, or lower the emitter resistor within both limits (xref fit ORIGINAL same)",
          tests={"glow": 0.85, "card": 0.1}),
    Cause(key="emitter open", text="the emitter is open", prior=3, faults=(Fault(emitter="open"),),
          mend="replace the sensor", tests={"glow": 0.01, "card": 0.03}),
    Cause(key="emitter shorted", text="the emitter is shorted", prior=0.6, faults=(Fault(emitter="short"),),
          mend="replace the sensor and look at its resistor", tests={"glow": 0.01, "card": 0.03}),
    Cause(key="detector aged", text="the detector has grown weak", prior=2, faults=(Fault(gain=WEAK),),
          mend="replace the sensor", tests={"torch": 0.75, "card": 0.1}),
    Cause(key="detector leaky", text="the detector leaks in the dark", prior=1,
          faults=(Fault(leak=(20e-6, 1e-3)), Fault(detector="short")),
          mend="replace the sensor", tests={"torch": 0.6, "shade": 0.05, "cover": 0.05}),
    Cause(key="detector open", text="the detector is open", prior=1.2, faults=(Fault(detector="open"),),
          mend="replace the sensor", tests={"torch": 0.01, "card": 0.02}),
    Cause(key="cracked joint", text="a cracked solder joint at the sensor", prior=3,
          faults=(Fault(emitter="open"), Fault(detector="open"), Fault()),
          mend="solder the joint again with a little fresh solder; do not replace the sensor",
          tests={"tap": 0.93, "wiggle": 0.35, "exchange": 0.1, "torch": 0.6, "glow": 0.6, "card": 0.1}, behind=True),
    Cause(key="connector", text="a bad contact at the plug", prior=2,
          faults=(Fault(emitter="open"), Fault(detector="open"), Fault(supply=(0.02, 0.6)), Fault()),
          mend="clean and re-seat the plug, look at its crimps",
          tests={"tap": 0.4, "wiggle": 0.94, "exchange": 0.05, "torch": 0.5, "glow": 0.5, "card": 0.1}, behind=True),
    Cause(key="selector contact", text="a worn contact between sensor and controller", prior=1.2, faults=(Fault(),),
          mend="exercise and clean the contact; see xref switch spare for an unused one",
          tests={"selector": 0.95, "exchange": 0.03, "tap": 0.2, "card": 0.1}, behind=True),
    Cause(key="emitter resistor", text="the emitter resistor has changed", prior=1,
          faults=(Fault(emitter_resistor=(2.0, 50.0)),),
          mend="read it with the power off, replace it",
          tests={"resistors": 0.03, "glow": 0.6, "exchange": 0.03, "card": 0.1}, behind=True),
    Cause(key="load", text="the pull-up or load has changed", prior=1,
          faults=(Fault(load=(3.0, 1000.0)), Fault(load=(0.02, 0.3))),
          mend="read it with the power off, replace it",
          tests={"resistors": 0.03, "exchange": 0.03, "card": 0.1, "cover": 0.6}, behind=True),
    Cause(key="supply", text="supply missing or low at the sensor", prior=1.5, faults=(Fault(supply=(0.01, 0.75)),),
          mend="follow the supply back: fuse, plug, regulator",
          tests={"glow": 0.3, "torch": 0.3, "exchange": 0.02, "card": 0.1}, behind=True),
    Cause(key="no resistor", text="the emitter runs without a resistor", prior=0.3, faults=(Fault(emitter="bypassed"),),
          mend="switch off; put the resistor back before another emitter dies", tests={"exchange": 0.1}, behind=True),
    Cause(key="target", text="the target is faded, too far or bent away, or something stands in the slot",
          prior=2, faults=(Fault(light=WEAK),),
          mend="renew the mark, set the distance, straighten the flag",
          tests={"clean": 0.1, "exchange": 0.05, "card": 0.95}, behind=True),
    Cause(key="flag", text="the flag or dark stripe does not stop the light", prior=2,
          faults=(Fault(passes=(0.3, 1.0)),),
          mend="straighten or renew the flag; thin or clear-to-infrared plastic does not block",
          tests={"clean": 0.1, "exchange": 0.05, "card": 0.95}, behind=True),
    Cause(key="edge too slow", text="the edges are too slow for the speed", prior=0.6, faults=(Fault(),),
          mend="a smaller load, or a Schmitt stage (xref fit ORIGINAL same)",
          tests={"slow": 0.95, "exchange": 0.4, "card": 0.1}),
    Cause(key="input dead", text="the input behind the sensor is dead", prior=1.5, faults=(Fault(),),
          mend="look at the chip behind: its output must follow its input",
          tests={"slow": 0.05, "exchange": 0.02, "card": 0.05}, behind=True),
    Cause(key="wrong part", text="a part of another type was fitted before", prior=0.5,
          faults=(Fault(gain=(0.01, 0.12)), Fault(gain=(8.0, 30.0), leak=(1e-6, 2e-5)), Fault(inverted=True)),
          mend="find the right stand-in: xref find --site", tests={"exchange": 0.9, "card": 0.1, "replaced": 0.96}),
    Cause(key="design close", text="the design was too close for this type's spread", prior=0.6,
          faults=(Fault(gain=(0.45, 0.8)),),
          mend="the part is good: change the values (xref fit ORIGINAL same)", tests={"exchange": 0.5, "card": 0.2},
          behind=True),
    Cause(key="room light", text="light from outside reaches the detector", prior=0.8,
          faults=(Fault(stray=(0.1, 1.0)),),
          mend="put the hood or cover back; keep lamps away",
          tests={"shade": 0.96, "exchange": 0.05, "card": 0.1}, behind=True),
    Cause(key="strobed line", text="the emitter is pulsed: a meter cannot see it", prior=0.3,
          faults=(Fault(strobed=True),),
          mend="measure with an oscilloscope before anything is condemned", tests={"glow": 0.5, "exchange": 0.2},
          behind=True),
)  # fmt: skip

DEFAULT_TESTS = {
    "torch": 0.93, "glow": 0.93, "tap": 0.03, "wiggle": 0.04, "clean": 0.07, "card": 0.1, "shade": 0.05,
    "exchange": 0.88, "slow": 0.08, "selector": 0.05, "replaced": 0.1, "resistors": 0.97, "cover": 0.93,
}  # fmt: skip
"""Probability of the first outcome where a cause does not say otherwise."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchTest:
    """A test without (or with little) meter work: effort, the two outcomes in words, how it is done."""

    key: str
    effort: float
    yes: str
    no: str
    how: str
    caution: str = ""


TESTS: tuple[BenchTest, ...] = (
    BenchTest(key="replaced", effort=0.6, yes="yes", no="no",
              how="was this sensor ever replaced? Look for newer solder, or another look than its twin's"),
    BenchTest(key="resistors", effort=2.2, yes="as marked", no="off",
              how="read the emitter resistor and the load with the ohms range, one end lifted if in doubt",
              caution="power off and discharged"),
    BenchTest(key="cover", effort=1.2, yes="goes dark", no="stays",
              how="cover the detector's window wholly with black tape: does the output go to its dark level?"),
    BenchTest(key="glow", effort=1.0, yes="yes", no="no", how="look at the emitter through a phone camera, machine on",
         caution="never look into an emitter from near"),
    BenchTest(key="tap", effort=1.0, yes="changes", no="no change",
         how="tap the sensor and its joints lightly with a plastic rod while you watch the output",
         caution="covers and moving parts: keep clear; no metal rod"),
    BenchTest(key="wiggle", effort=1.2, yes="changes", no="no change",
              how="move the plug and its wires gently, watch the output"),
    BenchTest(key="shade", effort=1.0, yes="changes", no="no change",
              how="shade the sensor from lamps and sun, watch the output"),
    BenchTest(key="torch", effort=2.0, yes="reacts", no="no reaction",
         how="shine an incandescent lamp or sunlight into the detector; many white LED torches have no infrared",
         caution="no laser as a torch"),
    BenchTest(key="clean", effort=2.5, yes="better", no="no better", how="clean both windows, read again",
         caution="solvents and vapour: power off, ventilate"),
    BenchTest(key="card", effort=2.5, yes="better", no="no better",
              how="hold a fresh white card (or the right flag) at the right place"),
    BenchTest(key="slow", effort=2.0, yes="works", no="fails too", how="turn the target slowly by hand",
         caution="drive off, power to the logic only if that is possible"),
    BenchTest(key="selector", effort=2.0, yes="changes", no="no change", how="work the selector ten times, read again"),
    BenchTest(key="exchange", effort=8.0, yes="follows the part", no="stays", how="change places with a good twin",
         caution="power off, discharged; one try for old pads"),
)  # fmt: skip
