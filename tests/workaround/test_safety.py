"""Nothing that touches a safety element is ever planned, judged or allowed on the way."""

from __future__ import annotations

from dataclasses import replace

import networkx
import pytest

from tests.workaround.brute import all_changes, elements, far_end
from tests.workaround.networks import random_network
from xref.adapt.workaround import check_plan, plan
from xref.adapt.workaround_wiring import changes, compile_network
from xref.errors import DataError, NoSolution, SafetyRefusal
from xref.examples import FOLDER
from xref.job.network_file import load_network
from xref.model.network import ACTION_KINDS, Network

KINDS = ("lid", "laser", "gas", "guard", "heat", "mains")


def marked(seed: int) -> tuple[Network, str]:
    """A random network with one element marked as safety, and its name."""
    network = replace(random_network(seed), may=ACTION_KINDS, keep=())
    block = ("contacts", "sensors", "resistors", "inputs")[seed % 4]
    entries = getattr(network, block)
    name = sorted(entries)[seed % len(entries)]
    entry = replace(entries[name], safety=KINDS[seed % len(KINDS)])
    return replace(network, **{block: {**entries, name: entry}}), name


def touched_by_hand(network: Network, name: str) -> set[str]:
    """Nets that carry the marked element's signal: its component in networkx once the supplies are taken out."""
    graph = networkx.Graph()
    graph.add_nodes_from(network.nets)
    own: set[str] = set()
    for kind, element, nets in elements(network):
        reach = (
            [*nets, far_end(network, element)]
            if kind == "sensor" and network.sensors[element].drives == "open"
            else nets
        )
        networkx.add_path(graph, reach)
        own |= set(reach) if element == name else set()
    graph.remove_nodes_from(network.supplies)
    return {net for start in own if start in graph for net in networkx.node_connected_component(graph, start)}


@pytest.mark.parametrize("seed", range(20))
def test_every_change_that_touches_a_safety_element_is_refused(seed: int) -> None:
    """Twenty networks: each change at the element, or on a net that carries its signal, ends in a refusal."""
    network, name = marked(seed)
    nets = touched_by_hand(network, name)
    owner = {element: set(where) for _, element, where in elements(network)}
    expected = set()
    for do, of, element, end, where, _ in all_changes(network):
        at = set(where) if do == "jumper" else owner[element] | ({where} if do == "move" else set())
        if element == name or at & nets:
            expected.add((do, of, element, end, where))

    refused = set()
    for change in changes(compile_network(network)):
        action = change.action
        where = action.nets if action.do == "jumper" else (action.nets[1] if action.do == "move" else "")
        try:
            check_plan(network, (action.text,))
        except SafetyRefusal as refusal:
            if refusal.exit_code == 4 and not refusal.message.startswith("the dead sensor"):
                refused.add((action.do, action.of, action.element, action.end, where))
        except (NoSolution, DataError):
            pass

    assert expected
    assert refused == expected


@pytest.mark.parametrize("seed", range(20))
def test_no_plan_contains_a_change_that_touches_a_safety_element(seed: int) -> None:
    """Whatever is planned stays off the element and off the nets that carry its signal."""
    network, name = marked(seed)
    nets = touched_by_hand(network, name)
    try:
        answer = plan(network, 1, show=99)
    except (NoSolution, SafetyRefusal, DataError):
        return
    for option in answer.options:
        for action in option.actions:
            assert action.element != name
            assert not set(action.nets) & nets


def test_a_safety_element_is_refused_as_an_intermediate_step() -> None:
    """A plan that would put the interlock back at the end is refused all the same."""
    network = load_network(FOLDER / "ring-selector.yaml")

    with pytest.raises(SafetyRefusal, match="touches cover, which belongs to a lid or cover interlock") as caught:
        check_plan(network, ("jumper INNER OUTER", "move cover from COVER to PARK"))

    assert "ask the machine maker's service or your safety officer" in caught.value.message


def test_a_dead_safety_sensor_gets_no_workaround() -> None:
    """The wish itself is refused, before any search."""
    network = load_network(FOLDER / "ring-selector.yaml")
    dead = replace(network, sensors={**network.sensors, "cover": replace(network.sensors["cover"], state="dead")})

    with pytest.raises(SafetyRefusal, match="the dead sensor cover belongs to a lid or cover interlock"):
        plan(dead, 3)


def test_the_only_way_through_a_safety_element_is_refused_not_called_impossible() -> None:
    """The park line needs a low level; with 0V out of reach only the cover line could give it: exit 4, not 1."""
    network = load_network(FOLDER / "ring-selector.yaml")
    sensors = {
        **network.sensors,
        "outer step": replace(network.sensors["outer step"], state="live", leaks=None),
        "arm park": replace(network.sensors["arm park"], state="dead", flag="lit", stays="dark"),
    }
    flagged = {**network.sensors, **sensors, "cover": replace(network.sensors["cover"], flag="dark")}
    inputs = {**network.inputs, "park": replace(network.inputs["park"], must_read="low")}
    stuck = replace(network, sensors=flagged, inputs=inputs, may=("jumper",), keep=("0V", "INNER", "OUTER", "STEP"))
    stuck = replace(stuck, sensors={**flagged, "arm park": replace(flagged["arm park"], flag="dark")})

    with pytest.raises(SafetyRefusal, match="every way that would work touches cover"):
        plan(stuck, 2)


def test_mains_is_recognised_by_its_voltage() -> None:
    """60 V d.c. and more is not to be touched (ES1 limit of IEC 62368-1)."""
    network = load_network(FOLDER / "ring-selector.yaml")
    live = replace(network, nets=(*network.nets, "LIVE"), supplies={**network.supplies, "LIVE": 230.0})

    with pytest.raises(SafetyRefusal, match=r"a mains circuit.*qualified electrician"):
        check_plan(live, ("jumper LIVE PARK",))
