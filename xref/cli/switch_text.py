"""The text of the switch answers: verdict first, then the table, then what to do next."""

from __future__ import annotations

from xref.cli.output import table, wrap
from xref.model.answers.find import FindAnswer
from xref.model.answers.switch import PositionTable, SpareAnswer, SwitchIdentity


def identity_text(answer: SwitchIdentity) -> str:
    """What the readings prove, at 80 columns."""
    lines = [_verdict(answer), ""]
    lines.append(table(("position", "joined", "not yet known"), [_position(each) for each in answer.positions]))
    for pole in answer.poles:
        common = f", common {pole.common}" if pole.common else ""
        lines.append(wrap(f"pole {' '.join(pole.leads)}: {pole.throws} throw{'s' * (pole.throws != 1)}{common}"))
    if answer.idle_leads:
        lines.append(wrap(f"never joined to anything: {' '.join(answer.idle_leads)}"))
    if answer.timing:
        first = "joins before it lets go" if answer.timing == "shorting" else "lets go before it joins"
        lines.append(f"on the way: {answer.timing} ({first})")
    if answer.returns_to:
        lines.append(f"springs back to {answer.returns_to}")
    if answer.resistance_mohm is not None:
        lines.append(f"highest contact resistance read: {answer.resistance_mohm:g} mohm [measured]")
    if answer.bounce_ms is not None:
        lines.append(f"longest bounce: {answer.bounce_ms:g} ms [measured]")
    lines += [wrap(note, first="! ", indent="  ") for note in answer.notes]
    if answer.alike:
        shown = ", ".join(answer.alike[:6]) + (f" and {len(answer.alike) - 6} more" if len(answer.alike) > 6 else "")
        lines.append(wrap(f"same contact table: {shown}"))
    lines += ["", wrap(_next(answer), first="", indent="      ")]
    return "\n".join(lines)


def _verdict(answer: SwitchIdentity) -> str:
    count = f"{answer.readings} reading{'s' * (answer.readings != 1)}"
    if not answer.settled:
        return f"Not yet proved after {count}."
    end = f"{answer.name}. Proved by {count}"
    if answer.enough_after is not None and answer.enough_after < answer.readings:
        end += f"; the first {answer.enough_after} were enough"
    return f"{end} (fewest possible: {answer.least})."


def _position(each: PositionTable) -> tuple[str, str, str]:
    joined = "  ".join("-".join(group) for group in each.joined) or "nothing" + " so far" * bool(each.unknown)
    unknown = " ".join(f"{one}:{other}" for one, other in each.unknown[:8])
    more = f" and {len(each.unknown) - 8} more" if len(each.unknown) > 8 else ""
    return each.position, joined, unknown + more or "-"


def _next(answer: SwitchIdentity) -> str:
    step = answer.next_reading
    if step is not None:
        where = f"@{step.position}" if step.position != "as it lies" else ""
        return f"next: read {step.one} to {step.other} in position {step.position}, then add " \
            f"{step.one}:{step.other}{where}=0 or =OL   ({step.why})"  # fmt: skip
    joins = " ".join(f"--joins {each}" for each in answer.joins)
    return f"next: xref switch find {joins}"


def found_text(answer: FindAnswer, *, show_refused: bool = False, mains: str = "") -> str:
    """Candidates with the reason of each, at 80 columns. ``mains``: the load, where only like for like may go in."""
    lines = [f"Which switch can stand in?  {answer.searched} compared, {len(answer.refused)} refused."]
    lines += [wrap(note, first="! ", indent="  ") for note in answer.notes]
    rows = []
    for found in answer.candidates:
        known = sum(check.verdict != "unknown" for check in found.checks)
        name = found.part if found.reference == found.part else f"{found.reference} {found.part}"
        where = f" ({found.where}, {found.count} left)" if found.where else ""
        mark = "" if found.basis == "printed" else f" [{found.basis}]"
        wired = "" if found.wired else "; lead places not known"
        cells = f"{found.score:.2f}", name, found.maker[:12], f"{known}/{len(found.checks)}"
        rows.append((*cells, found.reason + wired + mark + where))
    if rows:
        lines += ["", table(("score", "part", "maker", "known", "why"), rows)]
        lines.append("score: 0 = all that was asked is met; known: how much of it could be compared")
    else:
        lines.append("No candidate." + " --refused shows what excludes each." * bool(answer.refused))
    if show_refused and answer.refused:
        lines += ["", table(("refused", "why"), [(item.part, item.why) for item in answer.refused])]
    elif answer.refused and rows:
        lines.append(f"{len(answer.refused)} refused: --refused shows each with its reason")
    name = answer.candidates[0].reference if answer.candidates else ""
    shown = f"'{name}'" if " " in name else name
    if mains:
        lines += ["", "next: like for like only, by a licensed electrician: the same number, or"]
        lines.append("      equal rating and approval, compared with the old switch by")
        lines.append(f"      xref switch fit ORIGINAL {shown or 'DONOR'} --load {mains}")
    elif answer.candidates:
        lines += ["", wrap(f"next: xref switch fit ORIGINAL {shown}", first="", indent="      ")]
        lines.append("      (ORIGINAL: a part, a job file, or blank with the same --joins)")
    else:
        lines += ["", "next: ask less exactly; xref switch fit ORIGINAL DONOR says whether two"]
        lines.append("      switches or a relay would do")
    return "\n".join(lines)


def spare_text(answer: SpareAnswer) -> str:
    """Which wires move where, at 80 columns."""
    lines = [wrap(f"{answer.part}: wired {' '.join(answer.used)}; unused {' '.join(answer.unused) or 'nothing'}.")]
    if not answer.ways:
        lines.append("No unused contacts can take over.")
        lines.append("next: xref switch find, with --joins as the used leads join")
        return "\n".join(lines)
    poles = list(dict.fromkeys(way.pole for way in answer.ways))
    for pole in poles:
        lines += ["", wrap(f"instead of the contacts {' '.join(pole)}:")]
        rows = []
        for number, way in enumerate([way for way in answer.ways if way.pole == pole], start=1):
            moves = ", ".join(f"{old} to {new}" for old, new in way.moves if old != new)
            kept = ", ".join(old for old, new in way.moves if old == new)
            swaps = ", ".join(f"{new} for {old}" for old, new in way.positions if old != new) or "as before"
            rows.append((str(number), swaps, f"move the wire of {moves}" + (f"; {kept} stays" if kept else "")))
        lines.append(table(("way", "positions", "do"), rows))
    lines += [wrap(note, first="! ", indent="  ") for note in answer.notes]
    warnings = dict.fromkeys(warning for way in answer.ways for warning in way.warnings)
    lines += [wrap(warning, first="! ", indent="  ") for warning in warnings]
    lines += ["", "Power off, discharged, wait. Each way was checked by independent code."]
    return "\n".join(lines)
