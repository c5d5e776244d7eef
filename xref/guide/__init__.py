"""The plain pages behind ``xref help TOPIC``: one text file a topic, 80 columns, each number with its source."""

from __future__ import annotations

from pathlib import Path

from xref.examples import FOLDER as EXAMPLES

FOLDER = Path(__file__).parent


def topics() -> dict[str, str]:
    """Topic name to its first line, in reading order."""
    order = (
        "start", "measuring", "readings", "views", "resistors", "switches", "stock", "files", "site",
        "network", "safety",
    )  # fmt: skip
    return {name: (FOLDER / f"{name}.txt").read_text("utf-8").splitlines()[0] for name in order}


def page(topic: str) -> str:
    """The text of one topic; ``{examples}`` stands for the folder of the example files.

    Raises:
        KeyError: no such topic
    """
    if topic not in topics():
        raise KeyError(topic)
    return (FOLDER / f"{topic}.txt").read_text("utf-8").rstrip("\n").replace("{examples}", f"  {EXAMPLES}")
