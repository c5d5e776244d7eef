"""Joined leads and the board: the proposed change is the smallest that a plain circuit check over all changes finds."""

from __future__ import annotations

import itertools
from dataclasses import replace

import pytest

from xref.adapt.fit import fit
from xref.adapt.original import from_site
from xref.adapt.verify import verify
from xref.model.answers.fit import Cut
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.model.site import Pads, Site, SiteEmitter, SiteOutput

SPOTS = {"A": (-2.75, 1.27), "K": (-2.75, -1.27), "C": (2.75, 1.27), "E": (2.75, -1.27)}


def site(resistor: str, load: str, drop: float | None = None) -> Site:
    nets = {"A": "LED", "K": "0V"} if resistor == "A" else {"A": "5V", "K": "LED"}
    nets |= {"C": "OUT", "E": "0V"} if load == "C" else {"C": "5V", "E": "OUT"}
    if drop:
        nets["K" if resistor == "A" else "A"] = "STROBE"
    return Site(
        kind="reflective",
        pads=Pads(at=SPOTS, nets=nets),
        emitter=SiteEmitter(resistor_side=resistor, driver_drop=drop),
        output=SiteOutput(load_side=load),
    )


def donor(*functions: str) -> Part:
    spots = {"K+E": (-2.75, -1.27), "A+C": (2.75, 1.27), "A+E": (-2.75, 1.27), "K+C": (2.75, 1.27), **SPOTS}
    leads = tuple(Lead(label=f, function=f, at_mm=spots[f]) for f in functions)
    return Part(name="test donor", kind="reflective", geometry=Geometry(leads=leads, lead_length_mm=8.0))


def smallest(resistor: str, load: str, joined: tuple[str, str]) -> int | None:
    """Fewest cuts and moves by trying all of them on the circuit; None when no change helps.

    A cut parts a pad from its node; a resistor may be moved across a cut, its old place then is bridged. The circuit
    works when each half has its resistor, and only that, between itself and one rail, and the other rail directly.
    """
    best = None
    for count in range(3):
        for cut in itertools.combinations("AKCE", count):
            for re_at, rl_at in itertools.product(("", *cut), repeat=2):
                if re_at and re_at == rl_at:
                    continue
                cost = count + bool(re_at) + bool(rl_at)
                works = any(circuit(resistor, load, joined, cut, re_at, rl_at, pad) for pad in joined)
                if works and (best is None or cost < best):
                    best = cost
    return best


def circuit(resistor, load, joined, cut, re_at, rl_at, pad) -> bool:
    """Whether the circuit works with the joined lead in ``pad`` and the other pad of the two left empty."""
    parent: dict[str, str] = {}

    def root(x: str) -> str:
        while parent.get(x, x) != x:
            x = parent[x]
        return x

    rail = {"A": "V", "K": "G", "C": "V", "E": "G"}
    elements = {}
    for name, side, now in (("Re", resistor, re_at), ("Rl", load, rl_at)):
        for function in "AK" if name == "Re" else "CE":
            if function != side or now:
                parent[root(f"board {function}")] = root(rail[function])
        elements[name] = (f"pad {now}", f"board {now}") if now else (f"board {side}", rail[side])
    for function in "AKCE":
        if function not in cut:
            parent[root(f"pad {function}")] = root(f"board {function}")
    node = {f: root(f"pad {pad if f in joined else f}") for f in "AKCE"}
    ends = {name: {root(a), root(b)} for name, (a, b) in elements.items()}
    supply, ground = root("V"), root("G")
    if supply == ground:
        return False
    for name, plus, minus in (("Re", "A", "K"), ("Rl", "C", "E")):
        high = node[minus] == ground and ends[name] == {supply, node[plus]} and node[plus] not in (supply, ground)
        low = node[plus] == supply and ends[name] == {ground, node[minus]} and node[minus] not in (supply, ground)
        alone = [f for f in "AKCE" if node[f] == (node[plus] if high else node[minus])]
        if not (high or low) or len(alone) != 1:
            return False
    return True


@pytest.mark.parametrize("resistor", ["A", "K"])
@pytest.mark.parametrize("load", ["C", "E"])
@pytest.mark.parametrize("joined", [("K", "E"), ("A", "C"), ("A", "E"), ("K", "C")])
def test_the_smallest_change_is_proposed(resistor: str, load: str, joined: tuple[str, str]) -> None:
    """Number of steps as an enumeration of all cuts and moves on the circuit gives; impossible where it finds none."""
    rest = [f for f in "AKCE" if f not in joined]
    original, part = from_site(site(resistor, load)), donor("+".join(joined), *rest)

    answer = fit(original, part)

    expected = smallest(resistor, load, joined)
    assert answer.possible == (expected is not None)
    if answer.possible:
        assert len(answer.cuts) == expected
        assert answer.verified
        assert verify(original, part, answer) == []
        assert bool(answer.cuts) == bool(answer.assumed and any("measure" in text for text in answer.assumed))


def test_separate_leads_never_change_the_board() -> None:
    """A donor with four leads of its own leaves every board as it is."""
    for resistor, load in itertools.product("AK", "CE"):
        answer = fit(from_site(site(resistor, load)), donor("A", "K", "C", "E"))
        assert answer.possible
        assert answer.cuts == ()


def test_emitter_resistor_moves_to_the_anode() -> None:
    """K+E joined, resistor at the cathode: one cut at the anode pad, the resistor across it, nothing else."""
    answer = fit(from_site(site("K", "C")), donor("A", "K+E", "C"))

    assert [(cut.do, cut.where) for cut in answer.cuts] == [
        ("cut", "track at pad A"),
        ("move-resistor", "emitter resistor from K to A"),
    ]
    assert {c.lead: c.net for c in answer.connections} == {
        "A": "A behind the emitter resistor",
        "K+E": "0V",
        "C": "OUT",
    }


def test_driven_cathode_takes_the_emitter_along() -> None:
    """K driven to 0.2 V through a transistor, K+E joined: pad E lifted, one step, and the price of it is said."""
    original, part = from_site(site("A", "C", drop=0.2)), donor("A", "K+E", "C")

    answer = fit(original, part)

    assert [(cut.do, cut.where) for cut in answer.cuts] == [("lift", "pad E")]
    assert answer.verified
    assert any("only while the emitter is driven" in text for text in answer.warnings)


def test_unknown_sides_are_asked_for() -> None:
    """Nothing known of the resistors: no guess, but the measurement that settles it."""
    original = from_site(Site(kind="reflective", pads=Pads(at=SPOTS)))

    answer = fit(original, donor("A", "K+E", "C"))

    assert not answer.possible
    assert answer.because == "test donor joins E+K inside, and whether the board joins them too is not known"
    assert "measure whether these pads read 0 ohm" in answer.nearest


@pytest.mark.parametrize("wrong", ["no cut", "wrong side", "cut for nothing", "load instead"])
def test_check_refuses_a_wrong_change(wrong: str) -> None:
    """A move without its cut, from the wrong side, with a needless cut, or of the other resistor is refused."""
    original, part = from_site(site("K", "C")), donor("A", "K+E", "C")
    answer = fit(original, part)
    cuts = {
        "no cut": answer.cuts[1:],
        "wrong side": (answer.cuts[0], replace(answer.cuts[1], where="emitter resistor from A to K")),
        "cut for nothing": (*answer.cuts, Cut(do="cut", where="track at pad C", why="")),
        "load instead": (answer.cuts[0], replace(answer.cuts[1], where="load from C to E")),
    }[wrong]
    assert verify(original, part, replace(answer, cuts=cuts))
