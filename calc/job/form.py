"""The form: described for the page, and turned into a job file and back.

The page holds one text per key. A key is the place of a value: `engine.units`, `reference.units/3/pre_stroke_mm` (unit 3),
`readings/3/as_found/suction_closing/ahead/plunger_lift_mm`. Text that is no value is kept in the file under `drafts` by
its key, so that nothing typed is ever lost.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from calc.job.describe import RECORD, RECORDS, TEXTS, Field, field_of, fields_of
from calc.job.entry import Dial, EntryError, echo, typed, understand
from calc.job.model import (
    AHEAD,
    EVENTS,
    FORMAT,
    METHODS,
    STAGES,
    VALVE_EVENTS,
    VERSION,
    Job,
    Reading,
    UnitReference,
    lists_of,
)
from calc.job.problems import entry_words

UNITS, READINGS = "reference.units", "readings"
ROTATION = "reference.rotation"
_READING_KEY = ("unit", "stage", "event", "reached")
_READING_FIELDS = {field.name: field for field in fields_of(Reading) if field.name not in _READING_KEY}
_UNIT_FIELDS = {field.name: field for field in fields_of(UnitReference) if field.name != "unit"}
_FIXED = ("format", "version", "drafts", "demo")  # Not typed by people.


# ---------------------------------------------------------------- description


def describe_form(root: type = Job) -> dict[str, Any]:
    """The form as plain values: sections in the order of the file, their fields, and the readings table."""
    sections: list[dict[str, Any]] = [{"id": "job", "title": "This job", "groups": [_group("", "", root)]}]
    for field in fields_of(root):
        if field.kind == RECORD and field.record is not None:
            section: dict[str, Any] = {
                "id": field.name,
                "title": field.label.capitalize(),
                "groups": _groups(field.name, field.record),
            }
            for inner in fields_of(field.record):
                if inner.kind == RECORDS and inner.record is not None:
                    section["table"] = {
                        "key": f"{field.name}.{inner.name}",
                        "title": inner.label.capitalize(),
                        "columns": [_face(each, each.name) for each in fields_of(inner.record) if each.name != "unit"],
                    }
            sections.append(section)
    readings = {
        "direction": {"key": ROTATION, "values": list(field_of(root, ROTATION).choices)},
        "stages": [{"value": value, "label": label} for value, label in STAGES.items()],
        "events": [_event(event) for event in EVENTS],
        "fields": {name: _face(field, name) for name, field in _READING_FIELDS.items()},
    }
    return {"sections": sections, "readings": readings}


def _event(event: str) -> dict[str, Any]:
    methods = {method: list(lists_of(event, method)) for method in METHODS} if event in VALVE_EVENTS else {}
    lists = [] if methods else list(lists_of(event, None))
    return {"value": event, "label": EVENTS[event], "methods": methods, "lists": lists}


def _groups(path: str, record: type) -> list[dict[str, Any]]:
    groups = [_group("", f"{path}.", record)]
    for field in fields_of(record):
        if field.kind == RECORD and field.record is not None:
            groups.append(_group(field.label.capitalize(), f"{path}.{field.name}.", field.record))
    for serves in dict.fromkeys(field.serves for field in fields_of(record) if field.serves):
        groups.append(_group(f"For {serves}", f"{path}.", record, serves))
    return [group for group in groups if group["fields"]]


def _group(title: str, prefix: str, record: type, serves: str = "") -> dict[str, Any]:
    faces = [
        _face(field, f"{prefix}{field.name}")
        for field in fields_of(record)
        if field.kind not in (RECORD, RECORDS, TEXTS) and field.name not in _FIXED and field.serves == serves
    ]
    return {"title": title, "optional": bool(serves), "fields": faces}


def _face(field: Field, key: str) -> dict[str, Any]:
    """What the page needs to draw one field."""
    return {
        "key": key,
        "kind": field.kind,
        "label": field.label,
        "unit": field.unit,
        "help": field.help,
        "find": field.find,
        "hint": field.hint,
        "required": field.required,
        "angle": field.angle,
        "allowed": field.allowed,
        "choices": [{"value": value, "label": label} for value, label in field.choices.items()],
    }


def form_fields(root: type = Job) -> Iterator[tuple[str, Field]]:
    """Every field with one text in the form outside its tables, by key."""
    yield from _fields("", root)


def _fields(prefix: str, record: type) -> Iterator[tuple[str, Field]]:
    for field in fields_of(record):
        key = f"{prefix}{field.name}"
        if field.kind == RECORD and field.record is not None:
            yield from _fields(f"{key}.", field.record)
        elif field.kind not in (RECORDS, TEXTS) and key not in _FIXED:
            yield key, field


def place_of(key: str, root: type = Job) -> str:
    """The place of a form key in words, as messages about the job file say it too.

    >>> place_of("instruments.plunger_gauge.step_mm")
    'Instruments, plunger gauge, step'
    >>> place_of("readings/2/as_found/spill_opening/ahead/crank_angle_deg")
    'Readings, unit 2, as found, spill opening, crank angle'
    """
    if _is_unit_key(key):
        _, unit, name = key.split("/")
        return f"Reference settings, unit {int(unit)}, {_UNIT_FIELDS[name].label}"
    if _is_reading_key(key):
        _, unit, stage, event, _, name = key.split("/")
        entry = entry_words({"unit": int(unit), "stage": stage, "event": event}, 0)
        return f"Readings, {entry}, {_READING_FIELDS[name].label}"
    parts = key.split(".")
    labels = [field_of(root, ".".join(parts[: depth + 1])).label for depth in range(len(parts))]
    words = ", ".join(labels)
    return words[:1].upper() + words[1:]


# ---------------------------------------------------------------- form to file


@dataclass(frozen=True, slots=True)
class Composed:
    """A job tree made from the form.

    tree: the job file's values, `drafts` included. keys: JSON path -> form key. slips: form key -> what was not
    understood. echoes: form key -> what was understood, in words.
    """

    tree: dict[str, Any]
    keys: Mapping[str, str]
    slips: Mapping[str, str]
    echoes: Mapping[str, str]

    def key_of(self, where: str) -> str | None:
        """The form key for a JSON path; that of the nearest place above where the path itself has none.

        >>> Composed({}, {"readings[0]": "a", "readings[0].unit": "b"}, {}, {}).key_of("readings[0].unit[2]")
        'b'
        """
        while where:
            if where in self.keys:
                return self.keys[where]
            cut = max(where.rfind("."), where.rfind("["))
            where = where[:cut] if cut > 0 else ""
        return None


def compose(texts: Mapping[str, str], base: Mapping[str, Any] | None = None, root: type = Job) -> Composed:
    """The job file that the form stands for.

    Parameters: texts by form key, blank ones are absent values; base: the tree that was opened, for everything that the
    form does not show. Returns: tree, and what to say at each key.
    """
    return _Composer(texts, base or {}, root).run()


class _Composer:
    def __init__(self, texts: Mapping[str, str], base: Mapping[str, Any], root: type) -> None:
        self.texts = {key: text for key, text in texts.items() if text.strip()}
        self.base = base
        self.root = root
        self.keys: dict[str, str] = {}
        self.slips: dict[str, str] = {}
        self.echoes: dict[str, str] = {}
        self.used: set[str] = set()
        self.dials: dict[str, Dial] = {}

    def run(self) -> Composed:
        tree = self._record("", self.root, self.base)
        tree["format"], tree["version"] = FORMAT, VERSION
        if "demo" in self.base:
            tree["demo"] = self.base["demo"]
        reference = tree.get("reference")
        units = self._units(_dict(self.base.get("reference")).get("units"))
        if units:
            reference = tree.setdefault("reference", {})
            reference["units"] = units
        readings = self._readings(self.base.get("readings"))
        if readings:
            tree["readings"] = readings
        drafts = {key: text for key, text in self.texts.items() if key in self.slips or key not in self.used}
        if drafts:
            tree["drafts"] = drafts
        return Composed(tree, self.keys, self.slips, self.echoes)

    def _value(self, key: str, field: Field, path: str) -> Any:
        """The value typed under a key, or None; notes what was (not) understood."""
        self.keys[path] = key
        text = self.texts.get(key)
        if text is None:
            return None
        self.used.add(key)
        value, said, refused = _understood(field, text, self._dial(field.turns_of))
        if refused:
            self.slips[key] = f"{place_of(key, self.root)}: {refused}"
        elif said and said != text.strip():
            self.echoes[key] = said
        return [*value] if isinstance(value, list) else value

    def _dial(self, path: str) -> Dial | None:
        """The gauge whose lift per turn is typed at this path; its own slip is told there."""
        if not path:
            return None
        if path not in self.dials:
            try:
                value = understand(field_of(self.root, path), self.texts.get(path, ""))
            except EntryError:
                value = 0.0
            self.dials[path] = Dial(value if value > 0 else None, place_of(path, self.root))
        return self.dials[path]

    def _record(self, prefix: str, record: type, base: Mapping[str, Any]) -> dict[str, Any]:
        tree: dict[str, Any] = {}
        described = fields_of(record)
        for field in described:
            key = f"{prefix}{field.name}"
            if key in _FIXED or field.kind in (RECORDS, TEXTS):
                continue
            if field.kind == RECORD and field.record is not None:
                self.keys[key] = f"{key}."
                inner = self._record(f"{key}.", field.record, _dict(base.get(field.name)))
                if inner:
                    tree[field.name] = inner
                continue
            value = self._value(key, field, key)
            if value is not None:
                tree[field.name] = value
        known = {field.name for field in described}
        tree.update({key: value for key, value in base.items() if key not in known})
        return tree

    def _units(self, base: Any) -> list[dict[str, Any]]:
        by_unit = {entry.get("unit"): entry for entry in reversed(_list(base)) if isinstance(entry, dict)}
        numbers = {int(key.split("/")[1]) for key in self.texts if _is_unit_key(key)}
        rows: list[dict[str, Any]] = []
        for unit in sorted(numbers):
            path = f"{UNITS}[{len(rows)}]"
            row: dict[str, Any] = {"unit": unit}
            self.keys[path] = self.keys[f"{path}.unit"] = f"{UNITS}/{unit}/{next(iter(_UNIT_FIELDS))}"
            for name, field in _UNIT_FIELDS.items():
                value = self._value(f"{UNITS}/{unit}/{name}", field, f"{path}.{name}")
                if value is not None:
                    row[name] = value
            row.update(_extra(by_unit.get(unit), {"unit", *_UNIT_FIELDS}))
            if len(row) > 1:  # Else nothing in it was understood, and its drafts keep it.
                rows.append(row)
        return rows

    def _readings(self, base: Any) -> list[dict[str, Any]]:
        by_key = {_reading_key(entry): entry for entry in reversed(_list(base)) if isinstance(entry, dict)}
        # Rows keep the order of the opened file; new ones follow in the order of the table.
        wanted = {key.rsplit("/", 1)[0] for key in self.texts if _is_reading_key(key) and _says_something(key)}
        opened = [key for entry in _list(base) if (key := _reading_key(entry)) in wanted]
        ordered = list(dict.fromkeys([*opened, *sorted(wanted, key=_row_order)]))
        rows: list[dict[str, Any]] = []
        for row_key in ordered:
            _, unit, stage, event, reached = row_key.split("/")
            path = f"{READINGS}[{len(rows)}]"
            row: dict[str, Any] = {"unit": int(unit), "stage": stage, "event": event}
            opened_row = by_key.get(row_key)
            if reached != AHEAD or (opened_row and "reached" in opened_row):
                row["reached"] = reached
            values: dict[str, Any] = {}
            for name, field in _READING_FIELDS.items():
                value = self._value(f"{row_key}/{name}", field, f"{path}.{name}")
                if value is not None:
                    values[name] = value
            first = next(iter(lists_of(event, values.get("method"))))
            for name in ("", ".unit", ".stage", ".event", ".reached"):
                self.keys[f"{path}{name}"] = f"{row_key}/{first}"
            values.update(_extra(opened_row, {*_READING_KEY, *_READING_FIELDS}))
            if set(values) - {"method"}:  # Else nothing in it was understood, and its drafts keep it.
                rows.append({**row, **values})
        return rows


@lru_cache(maxsize=4096)
def _understood(field: Field, text: str, dial: Dial | None) -> tuple[Any, str, str]:
    """The value in a text, what was understood, and why nothing was. Kept, since at each key one text changes of hundreds."""
    try:
        value = understand(field, text, dial)
    except EntryError as error:
        return None, "", str(error)
    return value, echo(field, value, text, dial), ""


def _dict(value: Any) -> dict[str, Any]:
    return value if isinstance(value, dict) else {}


def _list(value: Any) -> list[Any]:
    return value if isinstance(value, list) else []


def _extra(entry: Any, known: set[str]) -> dict[str, Any]:
    return {key: value for key, value in _dict(entry).items() if key not in known}


def _is_unit_key(key: str) -> bool:
    parts = key.split("/")
    return len(parts) == 3 and parts[0] == UNITS and _is_unit(parts[1]) and parts[2] in _UNIT_FIELDS


def _is_unit(text: str) -> bool:
    return len(text) <= 2 and text.isascii() and text.isdigit()


def _is_reading_key(key: str) -> bool:
    parts = key.split("/")
    return (
        len(parts) == 6
        and parts[0] == READINGS
        and _is_unit(parts[1])
        and parts[2] in STAGES
        and parts[3] in EVENTS
        and parts[5] in _READING_FIELDS
    )


def _says_something(key: str) -> bool:
    """A chosen way of reading alone is no reading yet; a number, or a note, is."""
    return key.rsplit("/", 1)[1] != "method"


def _reading_key(entry: Any) -> str:
    entry = _dict(entry)
    reached = entry.get("reached", AHEAD)
    return f"{READINGS}/{entry.get('unit')}/{entry.get('stage')}/{entry.get('event')}/{reached}"


def _row_order(row_key: str) -> tuple[int, int, int, str]:
    _, unit, stage, event, reached = row_key.split("/")
    return (list(STAGES).index(stage), int(unit), list(EVENTS).index(event), reached)


# ---------------------------------------------------------------- file to form


def spread(tree: Mapping[str, Any], root: type = Job) -> dict[str, str]:
    """The form's texts for a job tree, drafts included. Every value has a text, also one that the file may not hold.

    >>> spread({"engine": {"units": 6, "firing_order": [1, 5, 3, 6, 2, 4]}})
    {'engine.units': '6', 'engine.firing_order': '1 5 3 6 2 4'}
    """
    texts: dict[str, str] = {}
    for key, field in form_fields(root):
        value = _at(tree, key)
        if value is not None:
            texts[key] = typed(field, value)
    for entry in _list(_dict(tree.get("reference")).get("units")):
        _spread_row(texts, f"{UNITS}/{_dict(entry).get('unit')}", entry, _UNIT_FIELDS, f"{UNITS}/", _is_unit_key)
    for entry in _list(tree.get("readings")):
        _spread_row(texts, _reading_key(entry), entry, _READING_FIELDS, f"{READINGS}/", _is_reading_key)
    texts.update({key: text for key, text in _dict(tree.get("drafts")).items() if isinstance(text, str)})
    return texts


def _spread_row(
    texts: dict[str, str], row_key: str, entry: Any, described: Mapping[str, Field], prefix: str, fits: Any
) -> None:
    values = {name: value for name, value in _dict(entry).items() if name in described and value is not None}
    keys = [f"{row_key}/{name}" for name in values]
    if not isinstance(entry, dict) or not all(map(fits, keys)) or any(key in texts for key in keys) or not values:
        # No row of the form can show it, so it is kept whole; the file's own words go with it.
        texts[f"{prefix}not shown {len(texts)}"] = json.dumps(entry, ensure_ascii=False)
        return
    for name, value in values.items():
        texts[f"{row_key}/{name}"] = typed(described[name], value)


def _at(tree: Mapping[str, Any], path: str) -> Any:
    node: Any = tree
    for name in path.split("."):
        node = node.get(name) if isinstance(node, dict) else None
    return node
