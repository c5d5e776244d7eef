"""Plan a workaround: the best sets of changes, the price of each, what was refused, and the proof in words."""

from __future__ import annotations

from dataclasses import replace

from xref.adapt.verify_workaround import verify_option
from xref.adapt.workaround_checks import UNCLEAR, exempt, failures, moving_shafts, pulse_rate, spared
from xref.adapt.workaround_positions import positions
from xref.adapt.workaround_price import baseline, price
from xref.adapt.workaround_safety import guard_change, guard_dead_parts, guard_none_left, refusals
from xref.adapt.workaround_search import Found, Search, losses, search
from xref.adapt.workaround_wiring import Change, Compiled, apply, changes, compile_network, safety_elements
from xref.errors import DataError, NoSolution, UsageError
from xref.model.answers.workaround import WorkaroundAnswer, WorkaroundOption
from xref.model.network import Action, Network

CAUTIONS = (
    "power off, mains plug out, wait until capacitors are discharged, and measure before the iron touches",
    "keep fingers, hair and cloth away from the rings at the first run; a stall may no longer stop the drive",
    "hang a tag on the machine that names the changes and what it no longer notices",
)


def plan(network: Network, max_changes: int, *, show: int = 5) -> WorkaroundAnswer:
    """Return the best workarounds of up to ``max_changes`` changes, best first, at most ``show``.

    Raises:
        SafetyRefusal: a dead part belongs to a safety function, or every way that would work touches one
        NoSolution: proved, no set of that size makes the machine run
        DataError: the machine of the file does not run even with every sensor alive
    """
    compiled = compile_network(network)
    guard_dead_parts(compiled)
    check_healthy(compiled)
    _guard_hopeless(network)
    result = search(network, max_changes)
    if not result.found:
        raise _nothing(network, result, max_changes)
    options = tuple(_option(network, found) for found in _worth_showing(result.found)[:show])
    return WorkaroundAnswer(
        machine=network.machine,
        options=options,
        refused=refusals(compiled, result.left_out),
        because=(result.first.text,) if result.first else (),
        max_actions=max_changes,
        complete_to=result.complete_to,
        tried=result.tried,
        proof=_proof(result, max_changes),
        assumed=assumed(network),
        cautions=CAUTIONS,
    )


def check_plan(network: Network, texts: tuple[str, ...]) -> WorkaroundAnswer:
    """Judge the user's own set of changes, each in the words that a plan prints (``jumper INNER OUTER`` also does).

    Raises:
        SafetyRefusal: one of them touches a safety element, whatever the others do
        NoSolution: the machine would not run; the message says what is wrong first
        UsageError: no such change in this network
    """
    compiled = compile_network(network)
    known = changes(compiled)
    chosen = [_named(text, known) for text in texts]
    for change in chosen:
        guard_change(compiled, change)
    guard_dead_parts(compiled)
    check_healthy(compiled)
    places = positions(network)
    wiring = compiled.start
    for change in chosen:
        after = apply(wiring, change, compiled.start)
        if after is None:
            raise UsageError(f"'{change.action.text}' adds nothing to the changes before it: leave it out", "--try")
        wiring = after
    exemptions = exempt(compiled, places)
    for number, failure in failures(compiled, wiring, places):
        if not spared(number, failure, exemptions):
            raise NoSolution(f"with these changes the machine would not run: {failure.text}")
    found = Found(
        changes=tuple(chosen), wiring=wiring, price=price(compiled, wiring, places, baseline(compiled, places))
    )
    return WorkaroundAnswer(
        machine=network.machine,
        options=(_option(network, found),),
        refused=refusals(compiled, {}),
        because=(),
        max_actions=len(chosen),
        complete_to=0,
        tried=1,
        proof="your own plan, checked in every mode and between modes; whether there is a better one was not searched",
        assumed=assumed(network),
        cautions=CAUTIONS,
    )


def check_healthy(compiled: Compiled) -> None:
    """Refuse a network that cannot be the machine: with every sensor alive it must run.

    Raises:
        DataError: what is wrong first
    """
    places = positions(compiled.network)
    for number, failure in failures(compiled, compiled.start, places, healthy=True):
        if places[number].is_mode:
            raise DataError(f"even with every sensor alive, {failure.text}: correct the file")
        if failure.kind not in UNCLEAR:
            raise DataError(f"even with every sensor alive, {failure.text}: correct the file, or the contact's timing")


def _guard_hopeless(network: Network) -> None:
    """Say at once that no wiring of any size can do: where an input wants pulses that no living sensor gives.

    Raises:
        NoSolution: with the mode, the input and the fastest pulses that there are
    """
    living = [name for name, sensor in network.sensors.items() if sensor.state == "live"]
    for name, entry in network.inputs.items():
        for mode in entry.modes or network.modes:
            if not entry.must_change or not moving_shafts(network, mode):
                continue
            moving = {sensor: rate for sensor in living for moves, rate in [pulse_rate(network, sensor, mode)] if moves}
            if any(rate is None or entry.time_out is None or rate * entry.time_out > 1 for rate in moving.values()):
                continue
            fastest = ", ".join(f"{sensor} {rate:g} Hz" for sensor, rate in moving.items()) or "none moves"
            wait = "" if entry.time_out is None else f" within {entry.time_out:g} s"
            raise NoSolution(
                f"no workaround of any size: in mode {mode} input {name} needs pulses{wait}, and no living sensor "
                f"gives them ({fastest})"
            )


def _named(text: str, known: list[Change]) -> Change:
    asked = " ".join(text.replace(",", " ").lower().split())
    for change in known:
        if asked in _names(change.action):
            return change
    from difflib import get_close_matches

    near = get_close_matches(text, [change.action.text for change in known], 1, 0.0)
    raise UsageError(f'no change "{text}" in this network' + (f'; nearest: "{near[0]}"' if near else ""), "--try")


def _names(action: Action) -> set[str]:
    if action.do == "jumper":
        one, two = action.nets
        words = {f"jumper {one} {two}", f"jumper {two} {one}", f"jumper from {two} to {one}"}
    elif action.do == "move":
        words = {f"move {action.element} from {action.nets[0]} to {action.nets[1]}"}
    else:
        words = {f"{action.do} {action.element}"}
    return {word.lower() for word in words | {action.text}}


def _nothing(network: Network, result: Search, max_changes: int) -> Exception:
    why = f": {result.first.text}" if result.first else ""
    if result.limited:
        return NoSolution(
            f"no workaround of up to {result.complete_to} changes{why}; larger sets were not searched to the end, "
            "allow fewer kinds of change with `may:`"
        )
    if result.blocked:
        risky = search(network, max_changes, unsafe=True)
        touching = [change.touches for found in risky.found for change in found.changes if change.touches]
        if touching:
            return guard_none_left(result.compiled, touching[0])
    return NoSolution(f"no workaround of up to {max_changes} changes exists, every one was tried or ruled out{why}")


def _worth_showing(found: list[Found]) -> list[Found]:
    """Drop a plan that only adds changes to a better or equal one."""
    kept: list[Found] = []
    for candidate in found:
        mine = {change.action.text for change in candidate.changes}
        if not any(
            {change.action.text for change in other.changes} <= mine and losses(other.price) <= losses(candidate.price)
            for other in kept
        ):
            kept.append(candidate)
    return kept


def _option(network: Network, found: Found) -> WorkaroundOption:
    actions = tuple(change.action for change in found.changes)
    option = WorkaroundOption(
        actions=actions,
        seen_before=found.price.before,
        seen_after=found.price.after,
        lost=found.price.lost,
        signals=found.price.signals,
        undo=_undo(actions),
        warnings=found.price.warnings,
    )
    verified = not verify_option(network, option)
    return replace(option, verified=verified, nothing_lost=verified and not found.price.lost)


def _undo(actions: tuple[Action, ...]) -> tuple[str, ...]:
    return tuple(action.undo for action in reversed(actions))


def _proof(result: Search, max_changes: int) -> str:
    best = result.found[0]
    hopeless = sum(not loss.curable for loss in best.price.lost if loss.matters)
    count = losses(best.price)
    if count == 0:
        return f"no smaller set of changes loses nothing ({result.tried} wirings tried, the rest ruled out)"
    if count == hopeless:
        return (
            f"no wiring of any size can lose less: no living sensor knows what is lost ({result.tried} wirings tried, "
            "the rest ruled out)"
        )
    ending = "" if not result.limited else "; larger sets were not searched to the end"
    return (
        f"no set of up to {result.complete_to if result.limited else max_changes} changes loses less "
        f"({result.tried} wirings tried, the rest ruled out{ending})"
    )


def assumed(network: Network) -> tuple[str, ...]:
    """Return what the file does not say and what was taken instead."""
    lines = []
    if any(sensor.lit is None for sensor in network.sensors.values()):
        lines.append("a lit output is 300 ohm where the file does not say")
    if any(sensor.dark is None for sensor in network.sensors.values()):
        lines.append("a dark output is open where the file does not say")
    if any(sensor.state == "dead" and sensor.leaks is None for sensor in network.sensors.values()):
        lines.append("a dead sensor without `leaks:` leaks no more than a dark one: measure it with power off")
    if any(sensor.drives == "both" and sensor.swings is None for sensor in network.sensors.values()):
        lines.append(
            "an output that drives both ways swings from 0 V to the highest supply where the file does not say"
        )
    if any(each.low_below is None or each.high_above is None for each in network.inputs.values()):
        lines.append("input levels are 0.8 V and 2 V (TTL) where the file does not say")
    emitters = [sensor.emitter for sensor in network.sensors.values() if sensor.emitter is not None]
    if any(emitter.least is None or emitter.most is None for emitter in emitters):
        lines.append("an emitter works from 1 mA to 50 mA where the file does not say")
    if any(each.must_change and each.time_out is None for each in network.inputs.values()):
        lines.append("a time-out is not stated: how slow the pulses may be is not known")
    if any(contact.timing == "not specified" for contact in network.contacts.values()):
        lines.append("contacts of timing not specified were tried both ways, make-before-break and break-before-make")
    if not safety_elements(compile_network(network)):
        lines.append(
            "nothing is marked `safety:`; if a lid, laser, gas, guard or heat contact is on these nets, mark it"
        )
    return tuple(lines)
