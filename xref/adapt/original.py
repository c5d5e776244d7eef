"""The original as the solver sees it: pads that state what they need, and the space around them.

It is made from a part (its leads are the pads), from the ``pads:`` of a site, or from a typed map. Everything is in
mm from the component side; a map read from the solder side is mirrored here, once, and nowhere later.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from xref.errors import DataError, UsageError
from xref.model.base import PointMm
from xref.model.contacts import Contacts
from xref.model.lead import FUNCTIONS, Lead
from xref.model.part import Hole, Part
from xref.model.site import Pads, Site

EMITTER = frozenset({"A", "K", "A2", "K2"})
"""Functions of the emitting half (A2, K2: a second emitter, or a photodiode beside an emitter)."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pad:
    """A place on the board. ``functions``: what the part must offer here; empty: nothing (NC, or not used)."""

    label: str
    net: str
    functions: tuple[str, ...] = ()
    at_mm: PointMm | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tap:
    """A further point of the board where a supply or ground can be taken; a wire is soldered on, nothing falls in."""

    net: str
    at_mm: PointMm


@dataclass(frozen=True, slots=True, kw_only=True)
class Original:
    """What the donor has to replace. None and '' mean not known.

    ``optical_axis_mm`` is the point that the beam leaves and enters around (slot: where beam and flag path cross).
    ``room_mm``: stated limits of the body along x, y (and height). ``bodies``: named neighbours (left, bottom, right,
    top). ``load_side``, ``resistor_side``, ``driver_drop`` come from the site and decide which rail a function hangs
    on when a resistor has to change sides.
    """

    name: str
    kind: str
    pads: tuple[Pad, ...]
    taps: tuple[Tap, ...] = ()
    optical_axis_mm: PointMm | None = None
    body_mm: PointMm | None = None
    size_mm: tuple[float, ...] = ()
    room_mm: tuple[float, ...] = ()
    holes: tuple[Hole, ...] = ()
    hole_mm: tuple[float, ...] = ()
    senses: str = ""
    output: str = ""
    mount: str = ""
    beam_height_mm: float | None = None
    floor_mm: float | None = None
    gap_mm: float | None = None
    flag_mm: float | None = None
    keep: tuple[str, ...] = ()
    bodies: tuple[tuple[str, tuple[float, float, float, float]], ...] = ()
    built_in_ohm: float | None = None
    resistor_side: str = ""
    load_side: str = ""
    driver_drop: float | None = None
    if_open: str = ""
    contacts: Contacts | None = None
    """A switch: what joins when, at the pads; None for sensors and where it is not known."""
    assumed: tuple[str, ...] = ()
    basis: str = "printed"

    @property
    def placed(self) -> bool:
        """True when every pad that needs something has a place, so that a drawing can be made."""
        return all(pad.at_mm is not None for pad in self.pads if pad.functions)


def from_part(part: Part, site: Site | None = None) -> Original:
    """The leads of ``part`` as pads, one net a function; ``site`` adds nets, rails, taps and room when given.

    The nets of a site beside a part are named by function or by lead label.

    Raises:
        DataError: no lead of the part has a known function
        UsageError: the site names a net of a lead that the part has not
    """
    leads = part.geometry.leads or _of_table(part)
    if not any(lead.function for lead in leads):
        raise DataError(f"which lead of {part.name} is what is not known; settle the functions first (xref identify)")
    nets = site.pads.nets if site else {}
    for word in nets:
        if all(word not in (lead.label, lead.function) for lead in leads):
            known = " ".join(dict.fromkeys(lead.function for lead in leads))
            raise UsageError(f"pads.nets: {part.name} has no lead {word}; its leads are {known}")
    pads = []
    for index, lead in enumerate(leads):
        functions = () if lead.function in ("NC", "") else lead.functions
        own = lead.function if functions else f"{lead.function or 'NC'}:{lead.label or index + 1}"
        net = nets.get(lead.label, nets.get(lead.function, own))
        pads.append(Pad(label=lead.label or str(index + 1), net=net, functions=functions, at_mm=lead.at_mm))
    geometry = part.geometry
    bare = Original(
        name=part.name,
        kind=part.kind,
        pads=_distinct(pads),
        optical_axis_mm=geometry.optical_axis_mm,
        body_mm=geometry.body_mm,
        size_mm=geometry.size_mm,
        holes=geometry.holes,
        senses=geometry.senses,
        output=part.output or "",
        mount=geometry.mount or "",
        beam_height_mm=geometry.beam_height_mm,
        floor_mm=part.slot.floor_mm,
        built_in_ohm=part.emitter.resistor_ohm,
        gap_mm=part.slot.gap_mm,
        contacts=part.contacts,
        basis=part.basis_of("geometry.leads"),
    )
    return _with_axis(_with_site(bare, site) if site else bare)


def _of_table(part: Part) -> tuple[Lead, ...]:
    """The leads that a switch's contact table names, where the part lists none; their places are not known."""
    tables = part.contacts.table.values() if part.contacts is not None else ()
    labels = dict.fromkeys(label for groups in tables for group in groups for label in group)
    return tuple(Lead(label=label, function=label) for label in labels)


def from_site(site: Site, name: str = "the original") -> Original:
    """The pads of a site file; its taps and neighbours are seen from the same side as the pads.

    Raises:
        UsageError: no pads, a map without a grid, words that are neither functions nor explained
    """
    return _with_axis(_with_site(Original(name=name, kind=site.kind, pads=_read_pads(site.pads, site.kind)), site))


def from_typed(
    map_text: str,
    grid_mm: tuple[float, float],
    *,
    seen_from: str = "component",
    kind: str = "reflective",
    site: Site | None = None,
    name: str = "the original",
) -> Original:
    """Pads typed at the shell: ``--map "A C / K E" --grid 5.5x2.54mm --seen-from solder``.

    ``grid_mm``: step across (x) and down (y). ``site`` adds nets and the rest when given.
    """
    if seen_from not in ("component", "solder"):
        raise UsageError(f"--seen-from {seen_from}: expected component or solder")
    base = site or Site(kind=kind)  # type: ignore[arg-type]
    pads = replace(base.pads, map=map_text, grid=grid_mm, at={}, seen_from=seen_from)  # type: ignore[arg-type]
    return from_site(replace(base, pads=pads), name)


def _read_pads(pads: Pads, kind: str) -> tuple[Pad, ...]:
    """The pads of a site; at a switch the words are the terminals' own labels, whatever they are."""
    if pads.map and pads.at:
        raise UsageError("pads: give map with grid, or at, not both")
    if not pads.map and not pads.at:
        raise UsageError('no pads: give a map such as --map "A C / K E" --grid 5.5x2.54mm, or pads.at in the site file')
    spots = _map_spots(pads) if pads.map else [(label, label, (x, y)) for label, (x, y) in pads.at.items()]
    sign = -1.0 if pads.seen_from == "solder" else 1.0
    found = []
    for word, label, (x, y) in spots:
        function = pads.functions.get(label, pads.functions.get(word, word))
        words = tuple(function.split("+"))
        unknown = [] if kind == "switch" else [item for item in words if item not in FUNCTIONS]
        if unknown and (pads.functions or not pads.nets.get(label)):
            raise UsageError(
                f"pad {word}: '{unknown[0]}' is not a function; expected one of {' '.join(FUNCTIONS)}, "
                "or say what it does under pads.functions"
            )
        functions = () if function == "NC" or unknown else words
        own = function if functions else f"NC:{label}"
        net = pads.nets.get(label, pads.nets.get(word, own))
        found.append(Pad(label=label, net=net, functions=functions, at_mm=(sign * x + 0.0, y)))
    for label in (*pads.nets, *pads.functions):
        if all(label not in (word, name) for word, name, _ in spots):
            raise UsageError(f"pads: '{label}' has a net or function but is not a pad; pads are {_names(spots)}")
    return tuple(found)


def _map_spots(pads: Pads) -> list[tuple[str, str, PointMm]]:
    """(word, label, place as seen) of a map, centred on the middle of its rows and columns."""
    rows = [row.split() for row in pads.map.split("/")]
    if pads.grid is None:
        raise UsageError(f'map "{pads.map}" needs a grid: across x down, such as 5.5x2.54mm')
    across, down = pads.grid
    if not (across > 0 and down > 0):
        raise UsageError(f"grid {across:g}x{down:g} mm: both steps must be above 0")
    width = max(len(row) for row in rows)
    if any(len(row) != width for row in rows):
        raise UsageError(f'map "{pads.map}": rows of unequal length; write . where there is nothing')
    seen: dict[str, int] = {}
    spots = []
    for line, row in enumerate(rows):
        for column, word in enumerate(row):
            if word == ".":
                continue
            seen[word] = seen.get(word, 0) + 1
            label = word if seen[word] == 1 else f"{word}-{seen[word]}"
            x, y = (column - (width - 1) / 2) * across, ((len(rows) - 1) / 2 - line) * down
            spots.append((word, label, (x, y)))
    if not spots:
        raise UsageError(f'map "{pads.map}" has no pad')
    return spots


def _names(spots: list[tuple[str, str, PointMm]]) -> str:
    return " ".join(label for _, label, _ in spots)


def _distinct(pads: list[Pad]) -> tuple[Pad, ...]:
    """Labels made unique, so that an answer names one pad only."""
    seen: dict[str, int] = {}
    result = []
    for pad in pads:
        seen[pad.label] = seen.get(pad.label, 0) + 1
        result.append(pad if seen[pad.label] == 1 else replace(pad, label=f"{pad.label}-{seen[pad.label]}"))
    return tuple(result)


def _with_site(original: Original, site: Site) -> Original:
    sign = -1.0 if site.pads.seen_from == "solder" else 1.0
    sees, room = site.sees, site.room
    return replace(
        original,
        taps=tuple(Tap(net=net, at_mm=(sign * x + 0.0, y)) for net, (x, y) in site.taps.items()),
        room_mm=room.body or (),
        hole_mm=room.holes,
        keep=room.keep,
        bodies=tuple(
            (name, (sign * x - wide / 2 + 0.0, y - high / 2, sign * x + wide / 2 + 0.0, y + high / 2))
            for name, (x, y, wide, high) in room.bodies.items()
        ),
        beam_height_mm=original.beam_height_mm if sees.beam_height is None else sees.beam_height,
        gap_mm=original.gap_mm if sees.gap is None else sees.gap,
        flag_mm=sees.flag,
        resistor_side=site.emitter.resistor_side or "",
        load_side=site.output.load_side or "",
        driver_drop=site.emitter.driver_drop,
        if_open=site.if_open,
    )


def _with_axis(original: Original) -> Original:
    if original.optical_axis_mm is not None or original.kind == "switch":
        return original
    axis = halfway([(pad.functions, pad.at_mm) for pad in original.pads])
    if axis is None:
        return original
    text = f"optical axis of {original.name}: midway between its emitter and detector leads (not known)"
    return replace(original, optical_axis_mm=axis, assumed=(*original.assumed, text))


def halfway(leads: list[tuple[tuple[str, ...], PointMm | None]]) -> PointMm | None:
    """The point midway between the centres of the emitter leads and of the other leads with a function.

    None when a place is missing. A part with one half only: the centre of its leads.
    """
    placed = [(functions, at) for functions, at in leads if functions and functions != ("NC",)]
    if not placed or any(at is None for _, at in placed):
        return None
    sides: list[list[PointMm]] = [[], []]
    for functions, at in placed:
        if at is not None:
            sides[0 if set(functions) & EMITTER else 1].append(at)
    middles = [(sum(x for x, _ in side) / len(side), sum(y for _, y in side) / len(side)) for side in sides if side]
    return sum(x for x, _ in middles) / len(middles), sum(y for _, y in middles) / len(middles)
