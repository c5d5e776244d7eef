"""A part as physics sees it: printed figures turned into SI, gaps filled by stated assumptions.

Every assumption is collected in words, so that an answer can say what it rests on and what to measure instead.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import Any

from xref.model.base import weakest
from xref.model.part import Part
from xref.model.si import si
from xref.model.site import Sees, Site
from xref.model.value import Value
from xref.physics.coupling import Reference, current_factor, reference_factor, slot_factor
from xref.physics.curves import curve
from xref.physics.detector import Detector, fit_saturation
from xref.physics.distance import DistanceLaw, curve_relative
from xref.physics.emitter import Diode, fit_diode, material_for
from xref.physics.logic_input import Thresholds, family_thresholds, own_thresholds
from xref.physics.logic_output import LogicOutput
from xref.physics.operating import Transfer
from xref.physics.timing import TimePoint
from xref.physics.validity import Estimate

SPREAD_UP = (2.0, 4.0)
"""Typical and highest over least where a sheet prints only the least; X8 of tests/reference/checks.yaml has 2 to 3.75
and 4.2 to 10 for the sensors that print more. Assumed."""

DARK_ICEO = 100e-9
"""Dark current taken where a sheet prints none [A]; the commonest printed maximum. Assumed."""

BLOCKED_SHARE = 0.003
"""Light that still arrives behind a flag, of the open beam. Assumed; measure the dark level to replace it."""

LEAST_VCE = 1.0
"""A row at a lower VCE is printed for saturation and says little of the light [V] (common practice, no source)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Electrics:
    """What physics needs of one part. None: not known."""

    diode: Diode
    if_max: float | None
    built_in_ohm: float
    detector: Detector | None
    logic: LogicOutput | None
    ic: Value | None
    rise: tuple[TimePoint, ...] = ()
    fall: tuple[TimePoint, ...] = ()
    assumed: tuple[str, ...] = ()
    basis: str = "printed"
    part: Part = field(repr=False)


def electrics(part: Part) -> Electrics:
    """Collect the electrical facts of a part.

    Raises:
        DataError: a printed figure that physics refuses (a wavelength far outside, say)
    """
    assumed: list[str] = []
    diode = emitter_diode(part, assumed)
    logic = _logic(part, assumed) if (part.output or "").startswith("logic") else None
    ic = best_ic(part)
    detector = None if logic is not None or part.kind == "emitter" else _detector(part, ic, diode, assumed)
    bases = [part.basis_of("coupling"), *(value.basis for value in part.emitter.vf_v)]
    if ic is not None:
        bases.append(ic.basis)
    return Electrics(
        diode=diode,
        if_max=None if part.emitter.if_max_ma is None else si("if_max_ma", part.emitter.if_max_ma),
        built_in_ohm=part.emitter.resistor_ohm or 0.0,
        detector=detector,
        logic=logic,
        ic=ic,
        rise=_times(part.coupling.tr_us or part.coupling.ton_us),
        fall=_times(part.coupling.tf_us or part.coupling.toff_us, part.coupling.tr_us or part.coupling.ton_us),
        assumed=tuple(assumed),
        basis=weakest(*bases),
        part=part,
    )


def emitter_diode(part: Part, assumed: list[str]) -> Diode:
    """The emitter's diode through its typical points; a lone maximum or nothing leaves the material's own law."""
    points = [
        (si("if_ma", value.at["if_ma"]), value.typ)
        for value in part.emitter.vf_v
        if value.typ is not None and value.at.get("if_ma", 0.0) > 0
    ]
    wavelength = part.emitter.wavelength_nm
    known = wavelength is not None and 600 <= wavelength <= 1000
    if not points:
        assumed.append("forward voltage: the usual one of its material, no typical value known; read VF at 1 mA")
    return fit_diode(points, material=material_for(wavelength if known else None))


def best_ic(part: Part, forward: float = 10e-3) -> Value | None:
    """The printed collector current that the transfer law has to stretch least for an emitter current [A]."""
    rows = [value for value in part.coupling.ic_ma if value.at.get("if_ma") and (value.min or value.typ or value.max)]
    active = [value for value in rows if value.at.get("vce_v", LEAST_VCE) >= LEAST_VCE]
    wanted = math.log(max(forward, 1e-4) * 1e3)
    return min(
        active or rows,
        key=lambda value: (value.min is None, abs(math.log(value.at["if_ma"]) - wanted)),
        default=None,
    )


def _detector(part: Part, ic: Value | None, diode: Diode, assumed: list[str]) -> Detector:
    d = part.detector
    kind = part.output if part.output in ("phototransistor", "photodarlington", "photodiode") else "phototransistor"
    if d.iceo_na is not None and d.iceo_na.max is not None:
        dark = si("iceo_na", d.iceo_na.max)
    else:
        dark = DARK_ICEO
        assumed.append("dark current: 100 nA at 25 C, none printed; measure the dark level")
    gain = 300.0
    if d.vce_sat_v is not None and d.vce_sat_v.max is not None and ic is not None:
        near = best_ic(part, si("if_ma", d.vce_sat_v.at.get("if_ma") or 10.0))
        gain = _gain(d.vce_sat_v, near or ic, kind) or gain
    return Detector(
        kind=kind,
        gain_ratio=gain,
        dark_25c=dark,
        vceo_max=d.vceo_max_v,
        veco_max=d.veco_max_v,
        ic_max=None if d.ic_max_ma is None else si("ic_max_ma", d.ic_max_ma),
        power_max=None if d.p_max_mw is None else si("p_max_mw", d.p_max_mw),
        basis="printed" if gain != 300.0 else "assumed",
    )


def _gain(sat: Value, ic: Value, kind: str) -> float | None:
    """Gain ratio from the printed VCE(sat) where the light of its row is clearly above its current."""
    if sat.max is None or not sat.at.get("ic_ma") or not sat.at.get("if_ma") or sat.at["if_ma"] <= 0:
        return None
    least = ic.min or ic.typ
    if least is None:
        return None
    light = si("ic_ma", least) * current_factor(si("if_ma", sat.at["if_ma"]), si("if_ma", ic.at["if_ma"])).value
    current = si("ic_ma", sat.at["ic_ma"])
    if light <= 1.2 * current:
        return None
    return fit_saturation(sat.max, current, light, kind=kind)


def _logic(part: Part, assumed: list[str]) -> LogicOutput | None:
    d = part.detector
    most = _threshold_ma(part, assumed)
    if most is None:
        assumed.append("threshold current of the logic output not known; the light reserve cannot be given")
        return None
    kind = {"logic-open-collector": "open-collector", "logic-totem-pole": "totem-pole", "logic-pull-up": "pull-up"}
    output = kind.get(part.output or "")
    if output is None or not part.logic:
        assumed.append("kind or sense of the logic output not known; settle it with 5 V and a meter")
        return None
    if output == "pull-up" and part.detector.pull_up_ohm is None:
        assumed.append("built-in pull-up: 10 kohm, none printed; read it between VCC and OUT, unpowered")
    vol = d.vol_v.max if d.vol_v is not None and d.vol_v.max is not None else 0.4
    supply = d.vcc_v
    return LogicOutput(
        kind=output,
        low_when_lit=part.logic == "low-when-lit",
        threshold_max=si("ift_ma", most),
        threshold_typ=None if d.ift_ma is None or d.ift_ma.typ is None else si("ift_ma", d.ift_ma.typ),
        vol_max=vol,
        iol=si("iol_ma", d.vol_v.at["iol_ma"]) if d.vol_v is not None and "iol_ma" in d.vol_v.at else 16e-3,
        leak_max=100e-6 if d.ioh_ua is None or d.ioh_ua.max is None else si("ioh_ua", d.ioh_ua.max),
        voh_min=None if d.voh_v is None else d.voh_v.min,
        pull_up=(d.pull_up_ohm or 10e3) if output == "pull-up" else None,
        supply_min=supply.min if supply is not None and supply.min is not None else 4.5,
        supply_max=supply.max if supply is not None and supply.max is not None else 16.0,
    )


def _threshold_ma(part: Part, assumed: list[str]) -> float | None:
    """The current that surely switches: printed, twice the typical one, or that of the row where it has switched."""
    d = part.detector
    if d.ift_ma is not None and d.ift_ma.max is not None:
        return d.ift_ma.max
    if d.ift_ma is not None and d.ift_ma.typ is not None:
        assumed.append("threshold current: twice the typical one, no maximum printed")
        return 2 * d.ift_ma.typ
    lit_row = d.vol_v if part.logic == "low-when-lit" else d.voh_v if part.logic == "high-when-lit" else None
    current = lit_row.at.get("if_ma") if lit_row is not None else None
    if not current:
        return None
    assumed.append(f"threshold current: at most {current:g} mA, where the sheet's lit output level is printed")
    return current


def _times(value: Value | None, twin: Value | None = None) -> tuple[TimePoint, ...]:
    """The printed time; the fall time often stands without its condition, which is then that of the rise time."""
    if value is None or (value.typ is None and value.max is None):
        return ()
    at = value.at if "rl_ohm" in value.at else (twin.at if twin is not None else {})
    if "rl_ohm" not in at:
        return ()
    seconds = value.typ if value.typ is not None else value.max
    current = si("ic_ma", at["ic_ma"]) if at.get("ic_ma") else None
    return (TimePoint(seconds=si("tr_us", seconds or 0.0), load=at["rl_ohm"], current=current),)


def spread(ic: Value, assumed: list[str]) -> tuple[float, float, float]:
    """Least, typical and highest collector current of a row [A]; what is not printed is assumed and said."""
    low, typ, high = ic.min, ic.typ, ic.max
    if low is None and typ is not None:
        low = typ / SPREAD_UP[0]
        assumed.append("least collector current: half the typical one, none printed")
    elif low is None and high is not None:
        low = high / SPREAD_UP[1]
        assumed.append("least collector current: a quarter of the highest, none printed")
    least = low or 0.0
    if high is None:
        high = max(least * SPREAD_UP[1], (typ or 0.0) * SPREAD_UP[0])
        assumed.append(
            f"highest collector current: {high:.3g} mA (4 times the least"
            + (", at least twice the typical" if typ else "")
            + "), none printed"
        )
    if typ is None:
        typ = min(least * SPREAD_UP[0], (least * high) ** 0.5)
    typ = min(max(typ, least), high)
    return si("ic_ma", least), si("ic_ma", typ), si("ic_ma", high)


def transfer(
    data: Electrics, site: Site, assumed: list[str], forward: float = 10e-3
) -> tuple[Transfer | None, tuple[float, float]]:
    """Collector current of the part in this machine, and the band of what is not known of the machine's light.

    ``forward``: emitter current on the board as it is [A]; the printed row nearest to it counts.

    The spread of the part acts on one level at a time and goes into the corners. How much light the machine's target
    or flag sends back is one unknown factor on both levels alike; it is kept apart as (lowest, highest) of the assumed.
    """
    ic = best_ic(data.part, forward)
    if ic is None or data.ic is None:
        return None, (1.0, 1.0)
    low, typ, high = spread(ic, assumed)
    bright = _bright(data.part, ic, site.sees, assumed)
    dark = _dark(data.part, ic, high, site.sees, bright.value, assumed)
    made = Transfer(
        low=low,
        typical=typ,
        high=high,
        if_ref=si("if_ma", ic.at["if_ma"]),
        bright=bright.value,
        dark=dark.value,
        dark_high=dark.high,
        basis=weakest(ic.basis, bright.basis, dark.basis),
    )
    return made, (bright.low / bright.value, bright.high / bright.value)


_TARGETS = (
    ("mirror", "mirror"), ("open", "open"), ("nothing", "open"), ("hole", "open"), ("black", "black"),
    ("grey", "grey card"), ("gray", "grey card"), ("alumin", "aluminium"), ("paper", "white paper"),
    ("card", "white card"), ("white", "white card"), ("diffuse", "white card"), ("90 %", "white card"),
)  # fmt: skip


def target_word(text: str) -> str:
    """The target of a sheet or a site in the words that physics knows; '' when it is none of them."""
    words = text.lower()
    for mark, word in _TARGETS:
        if mark in words:
            return word
    return ""


def _bright(part: Part, ic: Value, sees: Sees, assumed: list[str]) -> Estimate:
    if part.kind != "reflective":
        return _gap(part, sees, assumed)
    printed = _reference(part, ic.at.get("distance_mm"), ic.target, origin=_origin(part, ic))
    wanted = Reference(distance_mm=sees.distance, target=target_word(sees.bright) or printed.target)
    if sees.distance is None:
        assumed.append("distance of the target: as in the data sheet, none given; measure it")
        wanted = Reference(distance_mm=printed.from_sensor_mm, target=wanted.target)
    if not sees.bright:
        assumed.append("bright target: as in the data sheet, none given")
    if printed.target == "mirror" and wanted.target != "mirror":
        return _from_mirror(part, printed, wanted, assumed)
    factor = reference_factor(printed, wanted, relative_law(part))
    if not factor.valid:
        assumed.append(f"light at the machine's target: as in the data sheet ({factor.why}); measure the lit level")
        return Estimate(value=1.0, low=0.4, high=2.5, valid=False, why=factor.why, basis="assumed")
    return factor


def _from_mirror(part: Part, printed: Reference, wanted: Reference, assumed: list[str]) -> Estimate:
    """A mirror at a distance is not a card: the two cannot be compared, so the band is wide and said."""
    assumed.append("light from the machine's target: 0.3 to 3 times that from the sheet's mirror, not comparable; "
                   "measure the lit level")  # fmt: skip
    return Estimate(value=1.0, low=0.3, high=3.0, valid=False, why="mirror against card", basis="assumed")


def _reference(part: Part, distance: float | None, target: str, *, origin: str) -> Reference:
    height = part.geometry.size_mm[2] if len(part.geometry.size_mm) > 2 else None
    return Reference(
        distance_mm=distance, origin=origin, sensor_height_mm=height, target=target_word(target) or "white card"
    )


def _origin(part: Part, ic: Value) -> str:
    """Where the sheet counts its distance from, when its notes say so."""
    text = f"{ic.note} {ic.target} {part.notes}".lower()
    return "mounting plane" if "mounting plane" in text else "sensor"


def relative_law(part: Part) -> Any:
    """Relative collector current over distance, mm to Estimate: drawn, else from the best distance; None: not known."""
    points = part.coupling.distance_curve
    if len(points) >= 2:
        drawn = curve(list(points))
        return lambda distance: curve_relative(drawn, distance)
    if part.coupling.peak_distance_mm:
        return DistanceLaw(peak_mm=part.coupling.peak_distance_mm).relative
    return None


def _gap(part: Part, sees: Sees, assumed: list[str]) -> Estimate:
    gap = part.slot.gap_mm
    if sees.gap is None or gap is None or part.kind == "slotted":
        return Estimate(value=1.0, low=1.0, high=1.0, basis="printed")
    assumed.append("light across the machine's gap: between the first and second power of the gap")
    return slot_factor(sees.gap, gap)


def _dark(part: Part, ic: Value, high: float, sees: Sees, bright: float, assumed: list[str]) -> Estimate:
    """Light of the dark state, relative to the printed current; ``high`` is that of the strongest piece [A]."""
    if part.kind != "reflective":
        assumed.append("light left when blocked: 0.3 % of the open beam, at most 0.6 %; measure the dark level")
        return Estimate(value=BLOCKED_SHARE * bright, low=0.0, high=2 * BLOCKED_SHARE * bright, basis="assumed")
    word = target_word(sees.dark) or "black"
    if not sees.dark:
        assumed.append("dark target: black, 5 % reflectance, none given")
    stray = _crosstalk(part, ic, high)
    share = {"black": 0.05, "grey card": 0.18, "open": 0.01}.get(word, 0.05) / 0.9
    if word == "open" and stray is not None:
        assumed.append("light left with nothing in front: the largest printed crosstalk; measure the dark level")
        share = 0.0
    elif word == "open":
        assumed.append("light left with nothing in front: 1 % of that from a white card; measure the dark level")
    least = stray or 0.0
    return Estimate(value=bright * share + least, low=0.0, high=2 * bright * share + least, basis="assumed")


def _crosstalk(part: Part, ic: Value, high: float) -> float | None:
    """Light that reaches the detector without any target, relative to the current of the strongest piece.

    The largest printed crosstalk belongs to the strongest piece, which is the one that can lose the dark level.
    """
    cross = part.coupling.crosstalk_ua
    if cross is None:
        return None
    most = cross.max if cross.max is not None else 2 * cross.typ if cross.typ is not None else None
    if most is None:
        return None
    scale = ic.at["if_ma"] / cross.at["if_ma"] if cross.at.get("if_ma") else 1.0
    return si("crosstalk_ua", most) * scale / high


def thresholds(site: Site, assumed: list[str]) -> Thresholds:
    """The input behind the sensor: own levels, a family, or TTL levels with the assumption said.

    Raises:
        DataError: unknown family, or levels in the wrong order
    """
    out = site.output
    supply = out.supply if out.supply is not None else 5.0
    if out.low_below is not None and out.high_above is not None:
        return own_thresholds(out.low_below, out.high_above, supply=supply)
    if out.input:
        return family_thresholds(out.input, supply)
    assumed.append("input behind the sensor: TTL levels (low below 0.8 V, high above 2 V); read its type number")
    return family_thresholds("TTL", supply)
