"""Valid jobs of every kind, made from the field descriptions by a seeded draw. `hypothesis` draws the seeds."""

import random
from typing import Any

from hypothesis import strategies as st

from calc.job.describe import CHOICE, FLAG, NUMBER, NUMBERS, RECORD, RECORDS, TABLE, TEXT, WHOLE, Field, fields_of
from calc.job.model import (
    EVENTS,
    FORMAT,
    METHODS,
    STAGES,
    VALVE_EVENTS,
    VERSION,
    AngleScale,
    Engine,
    Gauge,
    Instruments,
    Job,
    Reading,
    Reference,
    UnitReference,
    lists_of,
)

Tree = dict[str, Any]

# Text as people type it, and as they do not.
WORDS = ["a", "Übung 3", "船", "<b>&amp;", '"quoted"', "back\\slash", "two\nlines", "{braces}", "null", "4.5 before", "x" * 300]
UNKNOWN = [None, True, 0, -1.5, "text", [], [1, [2]], {}, {"deep": [{"er": None}]}]

# What only makes sense in step with other fields is drawn by hand below.
_BY_HAND = {"format", "version", "units", "firing_order", "tdc_deg", "cam_lift_table", "unit", "stage", "event", "method"}


def job_trees(max_units: int = 4) -> st.SearchStrategy[Tree]:
    """Valid jobs."""
    return st.integers(0, 2**32).map(lambda seed: random_tree(seed, max_units))


def random_tree(seed: int, max_units: int = 4) -> Tree:
    """The valid job of a seed."""
    draw = _Draw(random.Random(seed))
    units = draw.chance.randint(1, max_units)
    tree = draw.record(Job)
    tree |= {"format": FORMAT, "version": VERSION, "engine": draw.engine(units)}
    tree["reference"] = draw.record(Reference)
    tree["reference"]["units"] = [draw.settings(unit) for unit in range(1, units + 1)]
    tree["instruments"] = draw.record(Instruments)
    tree["instruments"] |= {
        "plunger_gauge": draw.record(Gauge),
        "valve_gauge": draw.record(Gauge),
        "angle_scale": draw.record(AngleScale),
    }
    for field in fields_of(Job):
        if field.kind == RECORD and not field.required and (drawn := draw.record(field.record)):
            tree[field.name] = drawn
        if field.kind == RECORDS and field.name != "readings" and (rows := draw.rows(field, units)):
            tree[field.name] = rows
    if readings := draw.readings(units, tree["reference"].get("rotation", "ahead")):
        tree["readings"] = readings
    if draw.now_and_then():
        tree["drafts"] = {f"some.{draw.word()[:9]}": draw.word()}
    return tree


class _Draw:
    def __init__(self, chance: random.Random) -> None:
        self.chance = chance

    def now_and_then(self) -> bool:
        return self.chance.random() < 0.5

    def word(self) -> str:
        return self.chance.choice(WORDS)

    def rows(self, field: Field, units: int) -> list[Tree]:
        """Some entries of a list, each with another name, and with something in it."""
        described = {each.name: each for each in fields_of(field.record or Job)}
        rows: dict[tuple[Any, ...], Tree] = {}
        for _ in range(self.chance.choice([0, 0, 1, 3])):
            named = {
                name: self.chance.randint(1, units)
                if name == "unit"
                else self.chance.choice(list(described[name].choices) or ["own-1", "gauges", "x"])
                for name in field.row_by
            }
            inside = {name: each for name, each in self.record(field.record).items() if name not in named}
            if set(inside) & set(described):
                rows[tuple(named.values())] = {**named, **inside}
        return list(rows.values())

    def record(self, record: type | None) -> Tree:
        """The fields of a record that stand alone, optional ones now and then, with keys that nobody knows."""
        assert record is not None
        tree: Tree = {}
        for field in fields_of(record):
            if field.name not in _BY_HAND and (field.required or self.now_and_then()):
                value = self.value(field)
                if value is not None:
                    tree[field.name] = value
        if self.chance.random() < 0.3:
            tree[f"x-{self.word()}"] = self.chance.choice(UNKNOWN)
        return tree

    def value(self, field: Field) -> Any:
        if field.kind == NUMBER:
            return self.number(field)
        if field.kind == NUMBERS:
            return [self.number(field) for _ in range(self.chance.randint(1, 3))]
        if field.kind == TABLE:
            count = self.chance.randint(field.least, 9)
            return [[self.number(column) for column in field.columns] for _ in range(count)]
        if field.kind == WHOLE:
            return self.chance.randint(int(field.low or 0), int(field.high or 100))
        if field.kind == TEXT:
            return self.word()
        if field.kind == CHOICE:
            return self.chance.choice(list(field.choices))
        return self.chance.choice([True, False]) if field.kind == FLAG else None

    def number(self, field: Field) -> float:
        """A number of a few digits in the field's range, often at its very limits."""
        low = -1000.0 if field.low is None else field.low
        high = 1000.0 if field.high is None else field.high
        drawn = self.chance.choice(
            [low, high, round(low), 0.5 * (low + high), *(round(self.chance.uniform(low, high), 3) for _ in range(4))]
        )
        if (field.low_open and drawn <= low) or (field.high_open and drawn >= high):
            return 0.25 * low + 0.75 * high
        return int(drawn) if drawn == int(drawn) and self.now_and_then() else drawn

    def engine(self, units: int) -> Tree:
        tree = self.record(Engine)
        tree["units"] = units
        tree["firing_order"] = self.chance.sample(range(1, units + 1), units)
        if self.now_and_then():
            tree["tdc_deg"] = [self.chance.randrange(360) for _ in range(units)]
        if self.now_and_then():
            angles = sorted(self.chance.sample(range(-180, 181), self.chance.randint(2, 9)))
            tree["cam_lift_table"] = [
                list(row) for row in zip(angles, sorted(self.chance.randint(0, 60) for _ in angles), strict=True)
            ]
        return tree

    def settings(self, unit: int) -> Tree:
        pre_stroke = self.chance.randint(0, 30) + self.chance.choice([0, 0.25])
        beginning = self.chance.randint(-60, 30) + self.chance.choice([0, 0.5])
        settings = {
            "unit": unit,
            "pre_stroke_mm": pre_stroke,
            "beginning_deg": beginning,
            "spill_lift_mm": pre_stroke + self.chance.randint(1, 30),
            "end_deg": beginning + self.chance.randint(1, 30),
        }
        return {**self.record(UnitReference), **settings}

    def readings(self, units: int, direction: str) -> list[Tree]:
        every = [
            (unit, stage, event, reached)
            for unit in range(1, units + 1)
            for stage in STAGES
            for event in EVENTS
            for reached in ("ahead", "astern")
        ]
        # Most jobs have the two events of some units; a few have everything, or nothing.
        chosen = [key for key in every if key[3] == direction and key[2] in VALVE_EVENTS and self.now_and_then()]
        chosen += self.chance.sample(every, self.chance.randint(0, 6))
        keys = list(dict.fromkeys(chosen))
        self.chance.shuffle(keys)
        return [self.reading(*key) for key in keys]

    def reading(self, unit: int, stage: str, event: str, reached: str) -> Tree:
        method = self.chance.choice(list(METHODS)) if event in VALVE_EVENTS else None
        tree: Tree = {"unit": unit, "stage": stage, "event": event}
        if method:
            tree["method"] = method
        count = self.chance.randint(1, 3)
        described = {field.name: field for field in fields_of(Reading)}
        for key in lists_of(event, method):
            tree[key] = [self.near(described[key]) for _ in range(count)]
        if reached != "ahead" or self.now_and_then():
            tree["reached"] = reached
        if self.now_and_then():
            tree["gauges"] = self.word()
        if self.chance.random() < 0.2:
            tree["temperature_c"] = self.chance.randint(-50, 400)
            tree[f"x-{self.word()}"] = self.chance.choice(UNKNOWN)
        return tree

    def near(self, field: Field) -> float:
        """A reading near those of an engine, or anywhere that is allowed."""
        return self.number(field) if self.chance.random() < 0.2 else self.chance.randint(0, 120) / 4
