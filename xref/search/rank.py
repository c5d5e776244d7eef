"""Hard gates first, then an explained distance. Knows neither stock nor adapt: rows and a judge are handed in."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from dataclasses import dataclass
from operator import itemgetter
from typing import Literal

from xref.model.answers.find import Check, FindAnswer, Found, Refused, Verdict
from xref.model.row import Row
from xref.model.want import Want
from xref.search.criteria import criteria
from xref.search.criterion import UNKNOWN_COSTS, WEIGHTS, Criterion
from xref.search.separate import best_separator

Judge = Callable[[Row], "tuple[float, Check] | Refused | None"]
"""Asked about each shown candidate: an extra cost with its check, a refusal, or nothing to add."""

NEAR = 0.02
"""Up to this distance a value counts as met."""


def rank(rows: Iterable[Row], want: Want, *, limit: int = 10, judge: Judge | None = None, pool: int = 0) -> FindAnswer:
    """Rank donors for a request.

    Args:
        rows: donors of any origin
        want: the request
        limit: how many candidates to return (0: all)
        judge: what ``fit`` and physics say of a candidate; asked for the best ``pool`` (0: all that pass)

    Returns:
        candidates by rising score (the name decides ties), every refused donor with its first reason
    """
    chosen = (row for row in rows if not want.kind or row.kind == want.kind)
    ranked = rank_by(chosen, criteria(want), same=want.same, limit=limit, judge=judge, pool=pool)
    return FindAnswer(
        question="same" if want.same else "stand-in",
        candidates=ranked.candidates,
        refused=ranked.refused,
        searched=ranked.searched,
        alike=len(ranked.alike),
        agree=ranked.agree,
        part_best_by=best_separator(list(ranked.alike), want) if want.same else "",
        assumed=(want.vf_assumed,) if want.vf is not None and want.same and want.vf_assumed else (),
    )


@dataclass(slots=True, kw_only=True)
class Ranked:
    """Candidates, refused donors with reasons, and the rows that nothing excluded, best first."""

    candidates: tuple[Found, ...]
    refused: tuple[Refused, ...]
    searched: int
    alike: tuple[Row, ...]
    agree: int


def rank_by(
    rows: Iterable[Row],
    wishes: list[Criterion],
    *,
    same: bool = False,
    limit: int = 10,
    judge: Judge | None = None,
    pool: int = 0,
) -> Ranked:
    """Rank rows by the given criteria; the arguments are those of :func:`rank`."""
    total = total_weight(wishes)
    steps = [(wish.measure, wish.weight, UNKNOWN_COSTS * wish.weight, wish.gate, wish.words) for wish in wishes]
    untested = 0.0 if same else WEIGHTS["tested"] / total
    passed: list[_Passed] = []
    refused: list[Refused] = []
    searched = agree = 0
    for row in rows:
        searched += 1
        score, unknown = 0.0, 0
        for measure, weight, unknown_costs, gate, words in steps:
            distance = measure(row)
            if distance is None:
                unknown += 1
                score += unknown_costs
            elif distance >= 1.0 and gate:
                refused.append(Refused(part=row.reference, why=words(row)[3]))
                break
            else:
                score += distance * weight
        else:
            score /= total
            if untested and row.count is not None and not row.tested:
                score += untested
            passed.append((score, row.reference, row))
            agree += unknown == 0
    passed.sort(key=itemgetter(0, 1))
    judged = _judged(passed, judge, pool, refused)
    # the sentences are made for what is shown only: at many thousand rows they would cost more than the search
    judged.sort(key=lambda item: (round(item[0], 4), item[1].reference))
    return Ranked(
        candidates=tuple(_found(row, score, wishes, extra) for score, row, extra in judged[: limit or None]),
        refused=tuple(refused),
        searched=searched,
        alike=tuple([item[2] for item in passed]),
        agree=agree,
    )


_Passed = tuple[float, str, Row]


def total_weight(wishes: list[Criterion]) -> float:
    """Sum of the weights asked for; scores are shares of it."""
    return sum(wish.weight for wish in wishes) or 1.0


def _judged(
    passed: list[_Passed], judge: Judge | None, pool: int, refused: list[Refused]
) -> list[tuple[float, Row, list[Check]]]:
    """Score, row and what the judge adds, of those that the judge leaves."""
    if judge is None:
        return [(score, row, []) for score, _, row in passed]
    found: list[tuple[float, Row, list[Check]]] = []
    for place, (score, _, row) in enumerate(passed):
        opinion = judge(row) if not pool or place < pool else None
        if isinstance(opinion, Refused):
            refused.append(opinion)
        elif opinion is None:
            found.append((score, row, []))
        else:
            found.append((score + opinion[0], row, [opinion[1]]))
    return found


def _found(row: Row, score: float, wishes: list[Criterion], extra: list[Check]) -> Found:
    total = total_weight(wishes)
    checks = []
    for wish in wishes:
        distance = wish.measure(row)
        wanted, offered, unit, why = wish.words(row)
        cost = UNKNOWN_COSTS if distance is None else distance
        checks.append(
            Check(
                quantity=wish.name,
                wanted=wanted,
                offered=offered,
                unit=unit,
                verdict=_verdict(distance),
                share=round(cost * wish.weight / total, 4),
                why=why,
            )
        )
    checks = extra + checks
    worst = max(checks, key=lambda check: check.share, default=None)
    return Found(
        part=row.name,
        reference=row.reference,
        maker=row.maker,
        origin=row.origin,
        where=row.where,
        score=round(score, 4),
        verdict=_word(checks),
        reason=_reason(checks, worst),
        checks=tuple(checks),
        basis=row.basis,
        wired=row.wired,
        count=row.count,
    )


def _verdict(distance: float | None) -> Verdict:
    if distance is None:
        return "unknown"
    return "meets" if distance <= NEAR else "fails" if distance >= 1.0 else "near"


def _word(checks: list[Check]) -> Literal["good", "near", "open"]:
    verdicts = {check.verdict for check in checks}
    if "unknown" in verdicts:
        return "open"
    return "near" if verdicts & {"near", "fails"} else "good"


def _reason(checks: list[Check], worst: Check | None) -> str:
    if worst is None:
        return "nothing was asked that could tell it from others"
    if worst.share == 0:
        return "all that was asked is met: " + ", ".join(check.quantity for check in checks)
    return worst.why
