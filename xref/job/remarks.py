"""What a file says that only its user can judge: kept here, shown once by the caller."""

from __future__ import annotations

import re
from collections.abc import Iterable

remarks: list[str] = []
"""Not shown yet."""

_PROTECTING = re.compile(r"(?<![a-z])(?:lid|cover|door|guard|interlock|laser)", re.IGNORECASE)


def doubt_safety(safety: str, names: Iterable[str], where: str, said: str = "you said") -> None:
    """Remark on ``safety: none`` where a name speaks of a lid, cover, door, guard, interlock or laser."""
    if safety != "none":
        return
    name = next((name for name in names if _PROTECTING.search(name)), "")
    if name:
        shown = name if len(name) <= 40 else name[:37] + "..."
        text = f'{where}: {said} safety: none, but the name says "{shown}": make sure that it protects nobody'
        if text not in remarks:
            remarks.append(text)
