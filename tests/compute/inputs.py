"""Any input of a calculation, made from its field descriptions: what is allowed, up to the very limits."""

from math import nextafter
from typing import Any

from hypothesis import strategies as st

from calc.compute.answer import Calculation
from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, RECORD, RECORDS, TABLE, TEXT, WHOLE, WHOLES, Field, fields_of

MOST_ITEMS = 5


def inputs_of(calculation: Calculation) -> st.SearchStrategy[dict[str, Any]]:
    """Trees that hold every needed field and any of the others."""
    return record_tree(calculation.given)


def record_tree(record: type) -> st.SearchStrategy[dict[str, Any]]:
    described = fields_of(record)
    needed = {field.name: value_of(field) for field in described if field.required}
    optional = {field.name: value_of(field) for field in described if not field.required}
    return st.fixed_dictionaries(needed, optional=optional)


def value_of(field: Field) -> st.SearchStrategy[Any]:
    if field.kind in (NUMBER, WHOLE):
        return number_of(field)
    if field.kind in (NUMBERS, WHOLES):
        return st.lists(number_of(field), min_size=1, max_size=min(MOST_ITEMS, field.most or MOST_ITEMS))
    if field.kind == TABLE:
        assert field.most is not None
        row = st.tuples(*map(number_of, field.columns)).map(list)
        return st.lists(row, min_size=field.least, max_size=min(max(field.least, MOST_ITEMS), field.most))
    if field.kind == CHOICE:
        return st.sampled_from(sorted(field.choices))
    if field.kind == FLAG:
        return st.booleans()
    if field.kind == TEXT:
        return st.text(max_size=20)
    assert field.record is not None
    if field.kind == RECORD:
        return record_tree(field.record)
    assert field.kind == RECORDS
    return st.lists(record_tree(field.record), min_size=1, max_size=3)


def number_of(field: Field) -> st.SearchStrategy[Any]:
    assert field.low is not None, f"{field.name}: no lower limit"
    assert field.high is not None, f"{field.name}: no upper limit"
    if field.kind in (WHOLE, WHOLES):
        return st.integers(int(field.low), int(field.high))
    low = field.low + 1.1e-9 if field.low_open else field.low
    high = nextafter(field.high, field.low) if field.high_open else field.high
    # Ends and round numbers often, since that is where cases meet.
    return st.one_of(
        st.floats(low, high), st.sampled_from([low, high]), st.integers(-(-int(low) // 1) + 1, int(high)).map(float)
    )
