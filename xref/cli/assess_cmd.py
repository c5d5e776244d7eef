"""``xref assess``: which half, joint or circuit is to blame."""

from __future__ import annotations

from typing import TYPE_CHECKING

import typer

if TYPE_CHECKING:
    from xref.model.answers.assess import AssessAnswer


def register(app: typer.Typer) -> None:
    """Add the command."""
    app.command("assess", epilog="Example: xref assess --supply 5V --emitter 1.1V --lit 4.6V --dark 4.9V --glow yes")(
        assess
    )


def assess(
    job: str = typer.Argument("", help="Job or site file; its readings are used, options go before them."),
    kind: str = typer.Option("", help="Without a file: reflective or slotted."),
    original: str = typer.Option("", "--for", help="The part that is fitted, where known."),
    supply: str = typer.Option("", help="Supply read at the sensor, 5.02V."),
    emitter: str = typer.Option("", help="Volts across the emitter, 1.12V."),
    resistor_drop: str = typer.Option("", help="Volts across the emitter resistor."),
    emitter_resistor: str = typer.Option("", help="Its value, 220R."),
    in_series: int = typer.Option(0, min=0, max=8, help="Emitters in series on one resistor."),
    lit: str = typer.Option("", help="Output volts, bright target or open slot."),
    dark: str = typer.Option("", help="Output volts, dark target or flag in."),
    load: str = typer.Option("", help="Load or pull-up, 10k."),
    input_family: str = typer.Option("", "--input", help="Input behind: 74HC14, 74LS, TTL ..."),
    torch: str = typer.Option("", help="reacts or 'no reaction'."),
    glow: str = typer.Option("", help="Emitter seen by a camera: yes or no."),
    tap: str = typer.Option("", help="Tapping: changes or 'no change'."),
    twin: str = typer.Option("", help="Lit output of a good twin, 0.2V."),
    slow: str = typer.Option("", help="Target turned slowly by hand: works or 'fails too'."),
    exchange: str = typer.Option("", help="Places changed with a twin: the fault follows or stays."),
    other: list[str] = typer.Option([], "--test", help="Further tests, NAME=OUTCOME; the names: xref help readings."),
    json: bool = typer.Option(False, "--json", help="One JSON document on stdout."),
) -> None:
    """From readings in the running machine to a ranked list of causes and the next test."""
    from xref.cli.output import emit
    from xref.errors import UsageError
    from xref.tasks.assess import assess as ask
    from xref.tasks.assess import typed_site

    running: dict[str, str] = {}
    site, named = None, ""
    if job:
        from xref.job.file import load_job

        document = load_job(job)
        running, site, named = dict(document.readings.running), document.site, document.original
    typed = {"supply": supply, "emitter": emitter, "emitter_resistor": resistor_drop, "lit": lit, "dark": dark,
             "torch": torch, "glow": glow, "tap": tap, "twin": twin, "slow": slow, "exchange": exchange}  # fmt: skip
    running.update({key: text for key, text in typed.items() if text})
    for item in other:
        key, mark, text = item.partition("=")
        if not mark:
            raise UsageError(f"{item!r}: expected NAME=OUTCOME, such as clean=better", "--test")
        running[key.strip()] = text.strip()
    board, assumed = typed_site(
        site, kind=kind, supply=supply, emitter_resistor=emitter_resistor, in_series=in_series, load=load,
        input_family=input_family,
    )  # fmt: skip
    answer = ask(board, running, original=original, named=named, assumed=assumed)
    emit(answer, _text(answer), as_json=json)


def _text(answer: AssessAnswer) -> str:
    from xref.cli.output import table, wrap

    rows = [
        (f"{100 * verdict.probability:.0f} %", verdict.cause, "; ".join(verdict.because) or "-")
        for verdict in answer.verdicts
    ]
    lines = [table(("share", "cause", "speaks for it"), rows)]
    top = answer.verdicts[0]
    if top.against:
        lines.append(wrap("; ".join(top.against), first="against the first: ", indent="  "))
    lines.append("")
    lines = [wrap(text, first="! ", indent="  ") for text in answer.notices] + lines
    lines += [wrap(text, first="CONTRADICTION: ", indent="  ") for text in answer.contradictions]
    lines += _figures(answer)
    if answer.settled:
        lines.append(wrap(top.mend, first=f"settled: {top.cause}. ", indent="  "))
        if "replace the sensor" in top.mend:
            lines.append("next: xref identify --leads 4, then xref find --site FILE")
    elif answer.next_test is not None:
        test = answer.next_test
        lines.append(wrap(f"{test.what}: {test.how}", first="next test: ", indent="  "))
        if test.caution:
            lines.append(wrap(test.caution, first="  caution: ", indent="  "))
        lines += [wrap(text, first="  - ", indent="    ") for text in test.expect]
    else:
        lines.append("no further test here parts these causes; exchange with a good twin if you can")
    if answer.assumed:
        lines += ["", "Assumed (measure to replace):"]
        lines += [wrap(text, first="  - ", indent="    ") for text in answer.assumed]
    return "\n".join(lines)


def _figures(answer: AssessAnswer) -> list[str]:
    lines = []
    if answer.emitter_ma is not None:
        lines.append(f"emitter current {answer.emitter_ma:.3g} mA (from your readings)")
    seen = answer.transfer
    least = "at least " if seen.saturated else ""
    if seen.measured_per_1 is not None and seen.expected_min_per_1 is not None and seen.expected_max_per_1 is not None:
        low, high = 100 * seen.expected_min_per_1, 100 * seen.expected_max_per_1
        lines.append(
            f"collector current is {least}{100 * seen.measured_per_1:.2g} % of it; expected {low:.2g} to {high:.2g} %"
        )
    levels = answer.levels
    lines.append(f"the input takes less than {levels.vil_v:.2f} V as low, more than {levels.vih_v:.2f} V as high")
    if answer.light_reserve is not None:
        lines.append(f"light now is {least}{answer.light_reserve:.2g} times what the input needs")
    return lines
