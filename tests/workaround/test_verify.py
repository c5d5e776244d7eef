"""The re-check confirms true answers and catches every kind of false one."""

from __future__ import annotations

import ast
from dataclasses import replace
from pathlib import Path

import pytest

from tests.workaround.networks import random_network
from xref.adapt.verify_workaround import verify_option
from xref.adapt.workaround import _option, check_plan, plan
from xref.adapt.workaround_search import search
from xref.errors import NoSolution
from xref.examples import FOLDER
from xref.job.network_file import load_network
from xref.model.network import Action, NetworkEmitter

ADAPT = Path(__file__).parents[2] / "xref" / "adapt"


@pytest.mark.parametrize("name", ["verify_workaround.py", "verify_network.py"])
def test_the_verifier_shares_no_code_with_the_planner(name: str) -> None:
    """It imports the model and itself only."""
    tree = ast.parse((ADAPT / name).read_text())

    used = {node.module for node in ast.walk(tree) if isinstance(node, ast.ImportFrom) and node.module}

    assert {module for module in used if module.startswith("xref")} <= {
        "xref.adapt.verify_network",
        "xref.model.answers.workaround",
        "xref.model.network",
    }


def test_every_wiring_found_in_random_networks_is_confirmed() -> None:
    """Planner and verifier agree on the price of each wiring, also of networks that are no sensible machine."""
    confirmed = 0
    for seed in range(150):
        network = random_network(seed)
        for found in search(network, 2).found[:12]:
            assert verify_option(network, _option(network, found)) == [], seed
            confirmed += 1
    assert confirmed >= 150


@pytest.fixture
def network():
    """The shipped example."""
    return load_network(FOLDER / "ring-selector.yaml")


LIES = {
    "another jumper": lambda o: replace(o, actions=(Action(do="jumper", nets=("STEP", "PARK")),)),
    "no change at all": lambda o: replace(o, actions=()),
    "a supply short": lambda o: replace(o, actions=(*o.actions, Action(do="jumper", nets=("5V", "0V")))),
    "input tied to a supply": lambda o: replace(o, actions=(*o.actions, Action(do="jumper", nets=("5V", "STEP")))),
    "pull-up cut": lambda o: replace(
        o, actions=(*o.actions, Action(do="cut", of="resistor", element="R1", nets=("5V", "STEP")))
    ),
    "loss left out": lambda o: replace(o, lost=()),
    "fault still seen": lambda o: replace(o, seen_after=o.seen_before),
    "fault never seen": lambda o: replace(o, seen_before=o.seen_before[1:]),
    "other sensor": lambda o: replace(o, seen_after=tuple(replace(r, sensor="outer step") for r in o.seen_after)),
}


@pytest.mark.parametrize("lie", LIES)
def test_a_false_answer_is_caught(network, lie: str) -> None:
    """Each lie about the plan of the example is found."""
    option = plan(network, 1).options[0]
    assert verify_option(network, option) == []

    assert verify_option(network, LIES[lie](option)) != []


def test_shared_emitter_current_is_seen_by_both(network) -> None:
    """The living sensor's emitter fed through the selector: strapped feeds halve its current below what it needs."""
    feeds = {
        "inner step": NetworkEmitter(anode="LED", cathode="0V", least=8e-3, most=40e-3),
        "outer step": NetworkEmitter(anode="LED2", cathode="0V", least=8e-3, most=40e-3),
    }
    resistor = replace(network.resistors["R1"], between=("5V", "LED"), value=330.0)
    fed = replace(
        network,
        nets=(*network.nets, "LED", "LED2"),
        sensors={**network.sensors, **{name: replace(network.sensors[name], emitter=e) for name, e in feeds.items()}},
        resistors={**network.resistors, "R4": resistor, "R5": replace(resistor, between=("5V", "LED2"), value=330.0)},
    )

    # one resistor each: (5 - 1.2) / 335 = 11.3 mA, enough; one resistor for both: 5.7 mA each, too little
    assert check_plan(fed, ("jumper INNER OUTER",)).options[0].verified
    assert check_plan(fed, ("jumper INNER OUTER", "jumper LED LED2")).options[0].verified
    with pytest.raises(NoSolution, match="no living sensor that moves"):
        check_plan(fed, ("jumper INNER OUTER", "jumper LED LED2", "cut R5"))
    with pytest.raises(NoSolution, match=r"emitter of inner step gets .* mA, more than 40 mA"):
        check_plan(fed, ("jumper INNER OUTER", "jumper 5V LED"))
