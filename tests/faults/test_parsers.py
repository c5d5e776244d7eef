"""Any text at all into every reader of text: a value, or one of our own errors. Inputs by hypothesis."""

from __future__ import annotations

import math
from collections.abc import Callable
from typing import Any

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.faults.inputs import LIKELY, TABLE, WORDS
from tests.library.samples import GOOD
from xref import quantity
from xref.errors import XrefError
from xref.library.csvfile import table_parts
from xref.library.marking import Markings
from xref.library.names import canonical, folded
from xref.library.reader import load_text
from xref.library.tree import tree
from xref.model.job import Job

fast = settings(max_examples=120, deadline=None, database=None, derandomize=True)
anything = st.one_of(
    st.text(max_size=60),
    st.sampled_from(WORDS + LIKELY),
    st.from_regex(r"[-+0-9.eEkMR@/:=,x%A-Z ]{0,20}", fullmatch=True),
)


def refused(read: Callable[[], object]) -> str:
    """The message when a text is refused, else an empty one; any other error goes on."""
    try:
        read()
    except XrefError as error:
        return error.message
    return ""


UNITS = st.sampled_from(sorted(quantity.UNITS))


@fast
@given(anything, UNITS)
def test_quantities(text: str, unit: str) -> None:
    """A finite number, or a line with the form that was expected."""
    found: list[float] = []

    message = refused(lambda: found.append(quantity.parse(text, unit)))

    assert "\n" not in message
    assert message or math.isfinite(found[0])


@pytest.mark.parametrize("read", [quantity.parse_at, quantity.parse_size, quantity.parse_grid, quantity.parse_range])
@fast
@given(anything)
def test_compound_quantities(read: Any, text: str) -> None:
    """Readings at a condition, sizes, grids and ranges."""
    more = ["C"] if read is quantity.parse_range else []

    assert "\n" not in refused(lambda: read(text, *more))


@fast
@given(st.floats(allow_nan=False, allow_infinity=False, min_value=1e-11, max_value=1e11), UNITS)
def test_shown_quantities_read_back(value: float, unit: str) -> None:
    """What is printed can be typed again and means the same within its digits."""
    text = quantity.show(value, unit, 6)
    try:
        again = quantity.parse(text, unit)
    except XrefError:
        # beyond the largest prefix the text is a power of ten with a unit that no meter shows
        assert not 1e-9 <= value <= 1e9
        return
    assert math.isclose(again, value, rel_tol=1e-4, abs_tol=1e-12)


@fast
@given(anything)
def test_names(text: str) -> None:
    """Names fold to letters and digits; a look-up returns names that exist."""
    ready = Markings([("TCRT5000", "TCRT5000"), ("EE-SX1041", "EE-SX1041"), ("", "")])

    assert all(char.isalnum() for char in canonical(text) + folded(text))
    assert set(ready.nearest(text)) <= {"TCRT5000", "EE-SX1041", ""}


@fast
@given(
    st.one_of(
        st.text(max_size=200),
        st.lists(st.sampled_from([*GOOD.splitlines(), "- a", "? b", "{", "[", "|", "&x", "*x", "---"])).map("\n".join),
    )
)
def test_documents(text: str) -> None:
    """Any text as a document of our dialect."""
    assert "\n" not in refused(lambda: tree(text, "t"))
    assert "\n" not in refused(lambda: load_text(text, Job, where="t"))


@fast
@given(
    st.one_of(
        st.text(max_size=200), st.lists(st.sampled_from([*TABLE.splitlines(), '"', ",,,", 'a,"b'])).map("\n".join)
    )
)
def test_tables(text: str) -> None:
    """Any text as a table of parts: rows or problems, never a traceback."""
    rows, problems = table_parts(text, "t")

    assert rows or problems
