"""The board as the check of a fit sees it: its nets after the changes, and where every function must be found.

Part of the independent check: no code of the solvers.
"""

from __future__ import annotations

from xref.adapt.original import Original
from xref.model.answers.fit import Fit
from xref.model.site import Site

GROUND = {"0V", "GND", "0", "VSS", "COMMON"}


class Board:
    """Nets after the board changes, and which net every function of the board must be found on."""

    def __init__(self, original: Original, fit: Fit, site: Site | None) -> None:
        self.reasons: list[str] = []
        said = site.pads.nets if site else {}
        self.net = {pad.label: said.get(pad.label, pad.net) for pad in original.pads}
        self.net.update({f"tap {tap.net}": tap.net for tap in original.taps})
        self.side = {"emitter resistor": original.resistor_side, "load": original.load_side}
        self.needs: dict[str, set[str]] = {}
        for pad in original.pads:
            for function in pad.functions:
                self.needs.setdefault(function, set()).add(self.net[pad.label])
        self.pads_of = {
            function: [pad.label for pad in original.pads if function in pad.functions] for function in self.needs
        }
        self.ground_before = self._rail(("E", "load", "C"), ("K", "emitter resistor", "A"), "GND")
        self.supply_before = self._rail(("C", "load", "E"), ("A", "emitter resistor", "K"), "VCC")
        grounds = [tap.net for tap in original.taps if tap.net.upper() in GROUND]
        self.ends = {
            "ground": self.ground_before or (grounds[0] if grounds else "0V"),
            "supply": self.supply_before or "supply",
        }
        self._change(original, fit)
        for link in fit.links:
            missing = [label for label in link.between if label not in self.net]
            if missing:
                self.reasons.append(f"a link ends at {missing[0]}, which is not a pad")
                continue
            kept, gone = self.net[link.between[0]], self.net[link.between[1]]
            asks = [{f for f, nets in self.needs.items() if net in nets} for net in (kept, gone)]
            if kept != gone and not asks[0] & asks[1]:
                self.reasons.append(f"the link {link.between[0]}-{link.between[1]} shorts {kept} to {gone}")
            self.net = {label: kept if net == gone else net for label, net in self.net.items()}
            self.needs = {f: {kept if net == gone else net for net in nets} for f, nets in self.needs.items()}

    def _rail(self, detector: tuple[str, str, str], emitter: tuple[str, str, str], logic: str) -> str | None:
        """The net of the function that hangs on a rail without a resistor, by the sides that the site gives."""
        for function, element, far in (detector, (logic, "", ""), emitter):
            nets = self.needs.get(function)
            if nets and (not element or self.side[element] == far):
                return next(iter(nets))
        return None

    def _change(self, original: Original, fit: Fit) -> None:
        cut = [step.where.removeprefix("track at pad ") for step in fit.cuts if step.do == "cut"]
        for step in fit.cuts:
            if step.do == "lift":
                self._lift(original, step.where.removeprefix("pad "))
            elif step.do == "move-resistor":
                what, _, way = step.where.partition(" from ")
                old, _, new = way.partition(" to ")
                self._move(what, old, new, cut)
        for label in cut:
            self.reasons.append(f"the track at pad {label} is cut for nothing")

    def _move(self, what: str, old: str, new: str, cut: list[str]) -> None:
        pair = {"A": "K", "K": "A", "C": "E", "E": "C"}
        if self.side.get(what) != old or pair.get(old) != new or (what == "load") != (old in "CE"):
            self.reasons.append(f"the {what} does not sit on the {old} side")
            return
        pads = self.pads_of.get(new, [])
        rail = self.ends["ground" if old in ("K", "E") else "supply"]
        if len(pads) != 1 or pads[0] not in cut:
            self.reasons.append(f"moving the {what} to {new} lacks the cut that it bridges")
            return
        cut.remove(pads[0])
        self.side[what] = new
        self.net[pads[0]] = fresh = f"{new} behind the {what}"
        self.needs[new] = {fresh}
        self.needs[old] = {rail}
        for label in self.pads_of.get(old, []):
            self.net[label] = rail

    def _lift(self, original: Original, label: str) -> None:
        for function, partner, ok in (
            ("E", "K", original.resistor_side == "A" and original.load_side == "C"),
            ("C", "A", original.resistor_side == "K" and original.load_side == "E"),
        ):
            if self.pads_of.get(function) == [label] and ok and original.driver_drop:
                self.needs[function] = set(self.needs.get(partner, set()))
                del self.net[label]
                return
        self.reasons.append(f"lifting pad {label} leaves its function without a return")
