"""An independent look at the same question, for the tests: own geometry (complex numbers), own search, no solver code.

The rules that a fit is measured by are restated here from their definition: a lead within 0.3 mm of its hole falls in,
within the reach it is bent, else it is a wire; wires have at most two bends, the middle leg in a lane, and keep
0.6 mm (or 45 % of the closest two places) from foreign places; crossings are pairs that meet and places passed over.
"""

from __future__ import annotations

import cmath
import functools
import itertools
import math
from dataclasses import dataclass

EMITTER = {"A", "K"}
DIRECT = 0.3
EPS = 1e-6


@dataclass(frozen=True)
class Thing:
    """Places by function, and the optical axis; complex numbers in mm."""

    kind: str
    leads: tuple[tuple[str, complex], ...]
    axis: complex
    reach: float = 0.0
    senses: str = ""
    boxes: tuple[tuple[float, float, float, float], ...] = ()

    @property
    def beam(self) -> complex:
        return middle(z for f, z in self.leads if f not in EMITTER) - middle(z for f, z in self.leads if f in EMITTER)


def middle(points) -> complex:
    listed = list(points)
    return sum(listed) / len(listed)


def thing(part) -> Thing | None:
    """A part as the brute force sees it; None unless each function stands on exactly one placed lead."""
    leads = [(lead.function, complex(*lead.at_mm)) for lead in part.geometry.leads if lead.at_mm is not None]
    if not part.geometry.wired or len({f for f, _ in leads}) != len(leads) or any("+" in f for f, _ in leads):
        return None
    if not {f for f, _ in leads} & EMITTER or not {f for f, _ in leads} - EMITTER:
        return None
    axis = part.geometry.optical_axis_mm
    real = [item for item in leads if item[0] != "NC"]
    if axis is None:
        ends = [middle(z for f, z in real if (f in EMITTER) is side) for side in (True, False)]
        axis_z = sum(ends) / 2
    else:
        axis_z = complex(*axis)
    length = part.geometry.lead_length_mm
    bend = min(max((5.0 if length is None else length) - 1.6 - 0.5 - 2.0, 0.0), 2.0)
    return Thing(
        part.kind, tuple(real), axis_z, 0.0 if part.geometry.mount == "smd" else bend, part.geometry.senses, boxes(part)
    )


def boxes(part) -> tuple[tuple[float, float, float, float], ...]:
    """Screw holes and pegs of the original as squares (left, bottom, right, top) that no wire crosses."""
    return tuple(
        (
            h.at_mm[0] - h.diameter_mm / 2,
            h.at_mm[1] - h.diameter_mm / 2,
            h.at_mm[0] + h.diameter_mm / 2,
            h.at_mm[1] + h.diameter_mm / 2,
        )
        for h in part.geometry.holes
    )


def turns(old: Thing, new: Thing) -> list[int]:
    """Quarter turns that keep the sensing direction."""
    if old.senses == "side":
        return [0]
    if old.kind != "slotted":
        return [0, 1, 2, 3]
    flat = [abs(t.beam.real) >= abs(t.beam.imag) or abs(t.beam) < 0.1 for t in (old, new)]
    return [0, 2] if flat[0] == flat[1] else [1, 3]


def candidate_shifts(start: complex, tolerance: float, centres: list[complex], radii: list[float]) -> set[complex]:
    """Axis on axis, lead on hole, midway between two of these, and where two circles cross; within the tolerance."""
    cut = tolerance - 1e-3
    found = {start}
    close = [c for c in centres if abs(c - start) < tolerance + max(radii)]
    for target in [*close, *((a + b) / 2 for a, b in itertools.combinations(close, 2))]:
        arm = target - start
        found.add(target if abs(arm) <= cut else start + cmath.rect(cut, cmath.phase(arm)))
    for radius in radii:
        ring = [(c, radius - 1e-3) for c in centres] + [(start, cut)]
        for (a, ra), (b, rb) in itertools.combinations(ring, 2):
            if min(ra, rb) <= 0 or not abs(ra - rb) <= abs(a - b) <= ra + rb or abs(a - b) < 1e-9:
                continue
            # law of cosines: the angle at a between the line a-b and the crossing
            cosine = (ra**2 + abs(a - b) ** 2 - rb**2) / (2 * ra * abs(a - b))
            angle = math.acos(min(max(cosine, -1.0), 1.0))
            for sign in (1, -1):
                found.add(a + cmath.rect(ra, cmath.phase(b - a) + sign * angle))
    return {s for s in found if abs(s - start) <= tolerance}


def wires_anywhere(old: Thing, new: Thing, tolerance: float, step: float = 0.1) -> int:
    """Fewest wires over a fine grid of all shifts: the finite set of the solver must not be worse."""
    holes = dict(old.leads)
    best = len(new.leads)
    reach = max(new.reach, DIRECT)
    count = int(tolerance / step)
    grid = [complex(i, j) * step for i in range(-count, count + 1) for j in range(-count, count + 1)]
    for quarter in turns(old, new):
        start = old.axis - new.axis * 1j**quarter
        for d in grid:
            if abs(d) <= tolerance:
                far = sum(abs(z * 1j**quarter + start + d - holes[f]) > reach for f, z in new.leads)
                best = min(best, far)
    return best


@functools.cache
def optimum(old: Thing, new: Thing, tolerance: float = 1.0) -> tuple[int, int, float, float]:
    """(wires, crossings, length, axis offset) of the best fit over the candidate shifts of every turn."""
    holes = dict(old.leads)
    poses = []
    for quarter in turns(old, new):
        turned = [(f, z * 1j**quarter) for f, z in new.leads]
        start = old.axis - new.axis * 1j**quarter
        radii = sorted({DIRECT, max(new.reach, DIRECT)})
        for shift in candidate_shifts(start, tolerance, [holes[f] - z for f, z in turned], radii):
            at = {f: z + shift for f, z in turned}
            gaps = {f: abs(z - holes[f]) for f, z in at.items()}
            wired = [f for f in at if gaps[f] > max(radii) + 1e-9]
            formed = [f for f in at if f not in wired and gaps[f] > DIRECT + 1e-9]
            least = sum(gaps[f] for f in formed) + sum(manhattan(at[f], holes[f]) for f in wired)
            poses.append((len(wired), least, abs(shift - start), at, wired, formed))
    poses.sort(key=lambda pose: pose[:3])
    best = (99, 99, math.inf, math.inf)
    for wires, least, offset, at, wired, formed in poses:
        if wires > best[0] or (wires == best[0] and best[1] == 0 and least > best[2] + EPS):
            continue
        found = routed(at, holes, wired, formed, best if wires == best[0] else None, old.boxes)
        if found is not None:
            best = min(best, (wires, found[0], found[1], offset), key=rounded)
    return best


def rounded(cost: tuple[int, int, float, float]) -> tuple[int, int, float, float]:
    return cost[0], cost[1], round(cost[2], 4), round(cost[3], 4)


def manhattan(a: complex, b: complex) -> float:
    return abs((a - b).real) + abs((a - b).imag)


def routed(at, holes, wired, formed, best, squares=()) -> tuple[int, float] | None:
    """Fewest crossings, then least length, by plain depth first search over every route of every wire."""
    places = [*holes.values(), *at.values()]
    gaps = [abs(a - b) for a, b in itertools.combinations(places, 2)]
    clear = min([0.6, *(0.45 * g for g in gaps if g > 0.5)])
    lines = [[(slanted_over(at[f], holes[f], places, clear), abs(at[f] - holes[f]), (at[f], holes[f]))] for f in formed]
    choices = lines + [ways(at[f], holes[f], places, clear, squares) for f in wired]
    top = [best[1], best[2] + 2 * EPS] if best else [99, math.inf]
    answer: list[tuple[int, float]] = []

    def dig(index: int, taken: list, crossings: int, length: float) -> None:
        if (crossings, length) >= (top[0], top[1]):
            return
        if index == len(choices):
            top[:] = [crossings, length]
            answer[:] = [(crossings, length)]
            return
        for over, way, path in choices[index]:
            met = sum(meet(path, other) for other in taken)
            dig(index + 1, [*taken, path], crossings + over + met, length + way)

    # the fewest crossings are asked for one by one, so that a bound on length works from the start
    for most in range(top[0] + 1):
        limit = top[1] if most == top[0] else math.inf
        saved = list(top)
        top[:] = [most, limit]
        dig(0, [], 0, 0.0)
        if answer:
            return answer[0]
        top[:] = saved
    return None


def ways(
    a: complex, b: complex, places: list[complex], clear: float, squares=()
) -> list[tuple[int, float, tuple[complex, ...]]]:
    """Routes with the fewest places passed over."""
    paths = set()
    sides = [s + d for q in squares for s, d in ((q[0], -0.6), (q[2], 0.6))]
    for x in {a.real, b.real, *lanes([p.real for p in places]), *sides}:
        if abs(a.imag - b.imag) > EPS or x in (a.real, b.real):
            paths.add(cleaned((a, complex(x, a.imag), complex(x, b.imag), b)))
    sides = [s + d for q in squares for s, d in ((q[1], -0.6), (q[3], 0.6))]
    for y in {a.imag, b.imag, *lanes([p.imag for p in places]), *sides}:
        if abs(a.real - b.real) > EPS or y in (a.imag, b.imag):
            paths.add(cleaned((a, complex(a.real, y), complex(b.real, y), b)))
    rated = []
    for path in paths:
        foreign = [p for p in places if abs(p - a) > clear and abs(p - b) > clear]
        over = sum(any(distance(p, u, v) < clear - 1e-7 for u, v in itertools.pairwise(path)) for p in foreign)
        over += sum(any(enters(u, v, q) for u, v in itertools.pairwise(path)) for q in squares)
        rated.append((over, sum(abs(v - u) for u, v in itertools.pairwise(path)), path))
    least = min(over for over, _, _ in rated)
    return sorted((item for item in rated if item[0] == least), key=lambda item: item[:2])


def enters(u: complex, v: complex, square: tuple[float, float, float, float]) -> bool:
    """Whether an axis-parallel leg has a point strictly inside a square."""
    spans = [sorted((u.real, v.real)), sorted((u.imag, v.imag))]
    sides = [(square[0], square[2]), (square[1], square[3])]
    return all(
        max(a, low) < min(b, high) - EPS or (a == b and low + EPS < a < high - EPS)
        for (a, b), (low, high) in zip(spans, sides, strict=True)
    )


def cleaned(path: tuple[complex, ...]) -> tuple[complex, ...]:
    kept = [path[0]]
    for point in path[1:]:
        if abs(point - kept[-1]) > EPS:
            kept.append(point)
    return tuple(kept) if abs(kept[-1] - path[-1]) <= EPS else (*kept, path[-1])


def lanes(values: list[float]) -> list[float]:
    rising = sorted(set(values))
    kept = [v for k, v in enumerate(rising) if k == 0 or v - rising[k - 1] > 0.05]
    return [kept[0] - 1.5, kept[-1] + 1.5, *((u + v) / 2 for u, v in itertools.pairwise(kept))]


def distance(p: complex, u: complex, v: complex) -> float:
    """From a point to a segment, by projecting on the segment's own axis."""
    if abs(v - u) < EPS:
        return abs(p - u)
    local = (p - u) / (v - u)
    if 0 <= local.real <= 1:
        return abs(local.imag) * abs(v - u)
    return min(abs(p - u), abs(p - v))


def slanted_over(a: complex, b: complex, places: list[complex], clear: float) -> int:
    return sum(distance(p, a, b) < clear - 1e-7 for p in places if abs(p - a) > clear and abs(p - b) > clear)


def meet(one: tuple[complex, ...], other: tuple[complex, ...]) -> bool:
    """Whether two polylines have a point in common, a shared end apart."""
    ends = [p for p in (one[0], one[-1]) for q in (other[0], other[-1]) if abs(p - q) < EPS]
    for u, v in itertools.pairwise(one):
        for w, z in itertools.pairwise(other):
            common = overlap(u, v, w, z)
            if common is not None and not any(abs(common[0] - e) < EPS and abs(common[1] - e) < EPS for e in ends):
                return True
    return False


def overlap(u: complex, v: complex, w: complex, z: complex) -> tuple[complex, complex] | None:
    """The common part of two segments as its two ends (equal for a point); None when there is none."""
    d = v - u
    if abs(d) < EPS:
        return (u, u) if distance(u, w, z) < EPS else None
    a, b = (w - u) / d, (z - u) / d  # the first segment is 0..1 on the real axis
    tiny = EPS / abs(d)
    if abs(a.imag) < tiny and abs(b.imag) < tiny:
        low, high = max(0.0, min(a.real, b.real)), min(1.0, max(a.real, b.real))
        return (u + low * d, u + high * d) if low <= high + tiny else None
    if a.imag * b.imag > tiny * tiny:
        return None
    t = a.real - a.imag * (b.real - a.real) / (b.imag - a.imag)
    share = -a.imag / (b.imag - a.imag)
    if -tiny <= t <= 1 + tiny and -tiny <= share <= 1 + tiny:
        return u + t * d, u + t * d
    return None
