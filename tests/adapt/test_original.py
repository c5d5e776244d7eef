"""The original: typed maps, the solder side, nets, and what is refused with which words."""

from __future__ import annotations

import pytest

from xref.adapt.original import Original, Tap, from_part, from_site, from_typed
from xref.errors import DataError, UsageError
from xref.library.store import open_library
from xref.model.lead import Lead
from xref.model.part import Geometry, Part
from xref.model.site import Pads, Room, Site, SiteEmitter, SiteOutput


def places(original: Original) -> dict[str, tuple[float, float] | None]:
    return {pad.label: pad.at_mm for pad in original.pads}


def test_map_is_read_like_a_page() -> None:
    """Rows top to bottom, words left to right, centred on the middle; the grid is across x down."""
    original = from_typed("A C / K E", (5.5, 2.54))

    assert places(original) == {"A": (-2.75, 1.27), "C": (2.75, 1.27), "K": (-2.75, -1.27), "E": (2.75, -1.27)}


def test_solder_side_is_mirrored_once() -> None:
    """The same map seen from the solder side has left and right exchanged, and nothing else."""
    seen = from_typed("A C / K E", (5.5, 2.54), seen_from="solder")

    assert places(seen) == places(from_typed("C A / E K", (5.5, 2.54)))


def test_solder_side_of_a_published_part() -> None:
    """TCRT5000 as drawn by its maker (Vishay 83760), typed from below, gives the pads of the library's part."""
    part = open_library().get("TCRT5000")
    library = {pad.functions: pad.at_mm for pad in from_part(part).pads}
    rows = sorted({at[1] for at in library.values() if at}, reverse=True)
    below = " / ".join(
        " ".join(f[0] for f, at in sorted(library.items(), key=lambda i: -i[1][0] if i[1] else 0) if at and at[1] == y)
        for y in rows
    )

    typed = from_typed(below, (5.5, 2.54), seen_from="solder")

    assert {pad.functions: pad.at_mm for pad in typed.pads} == library


def test_dot_leaves_a_place_empty() -> None:
    """'.' keeps the grid and makes no pad."""
    assert places(from_typed("A . C / K E .", (2.0, 3.0))) == {
        "A": (-2.0, 1.5),
        "C": (2.0, 1.5),
        "K": (-2.0, -1.5),
        "E": (0.0, -1.5),
    }


def test_same_word_twice_is_one_net_and_two_pads() -> None:
    """Two pads of one function are told apart and share a net; two NC pads do not."""
    original = from_typed("A C NC / K E E / NC . .", (2.54, 2.54))

    nets = {pad.label: pad.net for pad in original.pads}
    assert nets["E"] == nets["E-2"] == "E"
    assert nets["NC"] != nets["NC-2"]


def test_nets_and_taps_of_a_site() -> None:
    """Same word, same net; taps and neighbours are mirrored with the pads."""
    site = Site(
        kind="reflective",
        pads=Pads(map="A C / K E", grid=(5.5, 2.54), seen_from="solder", nets={"K": "0V", "E": "0V"}),
        taps={"5V": (12.0, 3.0)},
        room=Room(bodies={"R7": (10.0, 0.0, 2.0, 6.0)}),
        emitter=SiteEmitter(resistor_side="A"),
        output=SiteOutput(load_side="C"),
    )

    original = from_site(site)

    assert {pad.label: pad.net for pad in original.pads} == {"A": "A", "C": "C", "K": "0V", "E": "0V"}
    assert original.taps == (Tap(net="5V", at_mm=(-12.0, 3.0)),)
    assert original.bodies == (("R7", (-11.0, -3.0, -9.0, 3.0)),)
    assert (original.resistor_side, original.load_side) == ("A", "C")


def test_own_labels_need_functions() -> None:
    """Labels from identify are pads once their functions are given."""
    pads = Pads(map="1 2 / 3 4", grid=(5.5, 2.54), functions={"1": "A", "2": "C", "3": "K", "4": "E"})

    original = from_site(Site(kind="reflective", pads=pads))

    assert {pad.label: pad.functions for pad in original.pads} == {"1": ("A",), "2": ("C",), "3": ("K",), "4": ("E",)}


def test_switch_terminals_are_their_own_words() -> None:
    """At a switch the words are labels; none is refused."""
    site = Site(kind="switch", pads=Pads(map="1 2 3", grid=(2.5, 2.5)))

    assert [pad.functions for pad in from_site(site).pads] == [("1",), ("2",), ("3",)]


def test_part_and_its_site() -> None:
    """A site beside a part name adds the nets by function and the sides of its resistors."""
    part = open_library().get("TCRT5000")
    site = Site(kind="reflective", pads=Pads(nets={"K": "0V", "E": "0V"}), emitter=SiteEmitter(resistor_side="A"))

    original = from_part(part, site)

    assert {pad.functions[0]: pad.net for pad in original.pads} == {"A": "A", "K": "0V", "C": "C", "E": "0V"}
    assert original.resistor_side == "A"


def test_net_of_a_lead_that_is_not_there() -> None:
    """A slip in the site's nets is told, not passed over."""
    site = Site(kind="reflective", pads=Pads(nets={"GND": "0V"}))

    with pytest.raises(UsageError, match=r"pads.nets: TCRT5000 has no lead GND; its leads are"):
        from_part(open_library().get("TCRT5000"), site)


def test_unknown_axis_is_midway_and_said() -> None:
    """No printed axis: midway between emitter and detector leads, stated as assumed."""
    original = from_typed("A . C / K . E", (3.0, 2.54), name="blank")

    assert original.optical_axis_mm == (0.0, 0.0)
    assert original.assumed == ("optical axis of blank: midway between its emitter and detector leads (not known)",)


@pytest.mark.parametrize(
    ("pads", "message"),
    [
        (Pads(), 'no pads: give a map such as --map "A C / K E" --grid 5.5x2.54mm, or pads.at in the site file'),
        (Pads(map="A C / K E"), 'map "A C / K E" needs a grid: across x down, such as 5.5x2.54mm'),
        (
            Pads(map="A C / K", grid=(5.5, 2.54)),
            'map "A C / K": rows of unequal length; write . where there is nothing',
        ),
        (Pads(map="A C / K E", grid=(5.5, -1.0)), "grid 5.5x-1 mm: both steps must be above 0"),
        (Pads(map="A C / K E", grid=(1.0, 1.0), at={"A": (0.0, 0.0)}), "pads: give map with grid, or at, not both"),
        (Pads(map=". .", grid=(1.0, 1.0)), 'map ". ." has no pad'),
        (
            Pads(map="A Q / K E", grid=(5.5, 2.54)),
            "pad Q: 'Q' is not a function; expected one of A K C E B A2 K2 C2 E2 VCC OUT OUT2 GND NC, "
            "or say what it does under pads.functions",
        ),
        (
            Pads(map="A C / K E", grid=(5.5, 2.54), nets={"X": "0V"}),
            "pads: 'X' has a net or function but is not a pad; pads are A C K E",
        ),
    ],
)
def test_wrong_pads_are_told_in_one_line(pads: Pads, message: str) -> None:
    """Every mistake in the pads has its own sentence that says what is expected."""
    with pytest.raises(UsageError) as caught:
        from_site(Site(kind="reflective", pads=pads))

    assert str(caught.value) == message


def test_wrong_side_word() -> None:
    """A view that does not exist is a usage error."""
    with pytest.raises(UsageError, match="--seen-from below: expected component or solder"):
        from_typed("A C / K E", (5.5, 2.54), seen_from="below")


def test_part_without_functions_is_no_original() -> None:
    """A part whose leads do nothing known cannot be a board."""
    part = Part(name="blank", kind="slotted", geometry=Geometry(leads=(Lead(label="1", function=""),)))

    with pytest.raises(DataError, match="which lead of blank is what is not known"):
        from_part(part)
