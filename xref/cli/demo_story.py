"""The demo: one repair told step by step, every figure made by the functions that the commands call."""

from __future__ import annotations

from collections.abc import Iterator
from typing import TYPE_CHECKING

from xref.cli.output import quoted, wrap
from xref.examples import FOLDER
from xref.job.file import load_job, site_of

if TYPE_CHECKING:
    from xref.model.site import Site

SITE = FOLDER / "arm-park.yaml"
LOOSE = ("1:2=1.03V", "4:3@lit=0.18V", "3:4@lit=5.2k")
DONOR = "RPR-220"
"""A donor whose leads stand closer and in another order than the pads."""


def story(*, ascii: bool, donor: str = DONOR) -> Iterator[str]:
    """The chapters, one after another, so that the first is on the screen while the next is worked out.

    ``donor``: what is fitted in the last chapter, as if it lay on the shelf.
    """
    job = load_job(SITE)
    site = site_of(job, SITE)
    yield wrap(
        "A college lab's fraction collector of about 1986 no longer finds its arm-park position. The sensor on the "
        "board is blank and has four leads. This is the whole job, each step by the command that does it."
    )
    yield from _blame(site, job.readings.running)
    yield from _leads()
    yield from _stand_in(site, job.change)
    yield from _wiring(donor, ascii)
    yield (
        "\nThe same on paper:   xref sheet arm-park.yaml --donor "
        + quoted(donor)
        + "\nYour own job:        copy the example "
        f"file\n                     {SITE}\n                     and start with: xref help start"
    )


def _head(number: int, title: str, command: str) -> str:
    return f"\n{'=' * 78}\n{number}. {title}\n   $ {command}\n"


def _blame(site: Site, running: dict[str, str]) -> Iterator[str]:
    from xref.tasks.assess import assess

    yield _head(
        1,
        "Is it the part?",
        "xref assess arm-park.yaml --test clean='no better' \\\n"
        "        --test card='no better' --test exchange=follows",
    )
    answer = assess(site, {**running, "clean": "no", "card": "no", "exchange": "yes"})
    for verdict in answer.verdicts[:3]:
        yield f"  {100 * verdict.probability:3.0f} %  {verdict.cause}"
    if answer.emitter_ma is not None:
        yield f"  emitter current from the readings: {answer.emitter_ma:.3g} mA"
    if answer.light_reserve is not None:
        yield f"  light now is {answer.light_reserve:.2g} times what the input needs: below 1, the level is lost"


def _leads() -> Iterator[str]:
    from xref.model.job import Meter
    from xref.tasks.identify import Ask, Running

    yield _head(
        2,
        "Which lead is which? (meter: 1 mA, 3 V open, overload above 2 V)",
        "xref identify --leads 4 " + " ".join(LOOSE),
    )
    meter = Meter(diode=1e-3, open=3.0, overload=2.0, ohms_red="plus")
    answer = Running(Ask(labels=("1", "2", "3", "4"), meter=meter), LOOSE).answer()
    leads = ", ".join(f"{label} = {function}" for label, function in answer.leads.items())
    yield f"  {answer.device}: {leads}"
    yield f"  probability {answer.probability:.2f}" + (
        "" if answer.settled else "; not settled by these readings alone"
    )


def _stand_in(site: Site, change: tuple[str, ...]) -> Iterator[str]:
    from xref.model.want import Want
    from xref.tasks.find import find

    # published parts only: the story is the same on every bench, whatever lies on the shelf there
    yield _head(3, "What can stand in?", "xref find --site arm-park.yaml --from published --limit 3")
    answer = find(Want(), origin="published", site=site, change=change, limit=3)
    for found in answer.candidates[:3]:
        yield wrap(f"{found.part} ({found.maker}), score {found.score:.2f}: {found.reason}", first="  ", indent="    ")
    yield f"  {len(answer.refused)} parts refused, each with its reason (--refused)"


def _wiring(donor: str, ascii: bool) -> Iterator[str]:
    from xref.cli.fit_text import fit_text
    from xref.tasks.fit import FitOptions, Question, fit

    command = f"xref fit arm-park.yaml {quoted(donor)} --view solder --alternatives 0"
    yield _head(4, "How does it go in?", command)
    answered = fit(Question(original=str(SITE), donor=donor, options=FitOptions(alternatives=0)))
    yield fit_text(answered, view="solder", ascii=ascii, site="arm-park.yaml")
