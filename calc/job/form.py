"""The form: described for the page, and turned into a job file and back.

The page holds one text per key. A key is the place of a value: `engine.units`; in a list of records the values that name
the row stand between slashes: `reference.units/3/pre_stroke_mm` (unit 3),
`readings/3/as_found/suction_closing/ahead/plunger_lift_mm`. Text that is no value is kept in the file under `drafts` by
its key, so that nothing typed is ever lost.
"""

from __future__ import annotations

import json
import re
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import lru_cache
from typing import Any

from calc.job.catalogue import EVERY_CONFIRMATION, LIFT_OFF_GEAR, Confirmation
from calc.job.describe import CHOICE, RECORD, RECORDS, TEXT, TEXTS, WHOLE, Field, field_of, fields_of
from calc.job.entry import Dial, EntryError, echo, typed, understand
from calc.job.model import (
    AS_FOUND,
    AS_LEFT,
    CUT_OUT_EVENTS,
    EVENTS,
    FORMAT,
    LIFT_OFF,
    METHODS,
    STAGES,
    TURNING,
    VALVE_EVENTS,
    VERSION,
    Job,
    Reading,
    lists_of,
)
from calc.job.problems import entry_words, nearest
from calc.job.read import KeptEntry
from calc.job.steps import ASIDE, CUT_OUT, FOUND, LEFT, STEPS
from calc.job.steps import TURNING as TURNING_STEP
from calc.recalls import with_program

READINGS, CONFIRMED, SPREAD = "readings", "confirmations", "paper"
ROTATION = "reference.rotation"
_PROGRAMS = "written_by"
_FIXED = ("format", "version", "drafts", "demo", _PROGRAMS)  # Not typed by people.
_STAGE_STEPS = {AS_FOUND: FOUND, AS_LEFT: LEFT}
_SERVED = {TURNING: TURNING_STEP}  # Fields that serve another step are asked for there.
_ENTRY = re.compile(r"(?P<table>[a-z_.]+)\[(?P<at>\d+)\](?:\.(?P<name>\w+))?")
_ROW_NAME = {WHOLE: r"\d{1,2}", TEXT: r"[a-z0-9_-]{1,40}"}


@dataclass(frozen=True, slots=True, eq=False)  # One list is one table, and can be a key.
class Table:
    """A list of records as the form holds it: a row for each set of values of `names`, a column for each of `fields`.

    key: its path in the file. shape: what the keys of its fields look like.
    """

    key: str
    described: Field
    names: tuple[Field, ...]
    fields: Mapping[str, Field]
    shape: re.Pattern[str]

    def row_of(self, key: str) -> tuple[str, ...] | None:
        """The row that a form key stands in; None where it is no key of this table."""
        found = self.shape.fullmatch(key)
        return found.groups() if found else None

    def key_of(self, entry: Any) -> str:
        """The form's name of an entry of the file, which may lack what names it.

        >>> TABLES["readings"].key_of({"unit": 3, "stage": "as_left", "event": "peak"})
        'readings/3/as_left/peak/ahead'
        """
        entry = _dict(entry)
        return "/".join([self.key, *(str(entry.get(name.name, name.left_out or None)) for name in self.names)])


def _table(key: str, described: Field) -> Table:
    assert described.record is not None
    all_fields = {field.name: field for field in fields_of(described.record)}
    names = tuple(all_fields[name] for name in described.row_by)
    fields = {name: field for name, field in all_fields.items() if name not in described.row_by}
    rows = [f"({'|'.join(name.choices) if name.kind == CHOICE else _ROW_NAME[name.kind]})" for name in names]
    shape = "/".join([re.escape(key), *rows, f"(?:{'|'.join(fields)})"])
    return Table(key, described, names, fields, re.compile(shape, re.ASCII))


@lru_cache
def tables_of(root: type = Job) -> Mapping[str, Table]:
    """The lists of records of a job, by key."""
    found = {}
    for field in fields_of(root):
        if field.kind == RECORDS:
            found[field.name] = _table(field.name, field)
        elif field.kind == RECORD and field.record is not None:
            inner = [each for each in fields_of(field.record) if each.kind == RECORDS]
            found |= {f"{field.name}.{each.name}": _table(f"{field.name}.{each.name}", each) for each in inner}
    return found


TABLES = tables_of()


# Kept, since at each key that is pressed hundreds of places are asked for again.
@lru_cache(maxsize=8192)
def _row_at(key: str, root: type = Job) -> tuple[Table, tuple[str, ...]] | None:
    """The table that a form key belongs to, and its row there; None for a key of no table."""
    table = tables_of(root).get(key.partition("/")[0])
    row = table.row_of(key) if table is not None else None
    return None if table is None or row is None else (table, row)


def _table_at(key: str, root: type = Job) -> Table | None:
    found = _row_at(key, root)
    return found[0] if found else None


# ---------------------------------------------------------------- description


def describe_form(root: type = Job) -> dict[str, Any]:
    """The form as plain values: the steps of the job with their fields and tables, and the readings' events."""
    steps: dict[str, dict[str, Any]] = {
        step.code: {
            "id": step.code,
            "title": step.title,
            "say": step.say,
            "page": step.page,
            "confirmsLast": step.confirms_last,
            "turns": step.turns,
            "aside": step in ASIDE,
            "around": step.around,
            "groups": [],
            "names": [],
            "tables": [],
            "confirmations": [_confirmation(each) for each in EVERY_CONFIRMATION if each.step == step.code],
        }
        for step in (*STEPS, *ASIDE)
    }
    for step, title, field, key in _placed(root):
        # A record spread over the steps holds what each step closes with: permit and names.
        if key.startswith(f"{SPREAD}."):
            steps[step]["names"].append(face(field, key))
            continue
        groups = steps[step]["groups"]
        if not groups or groups[-1]["title"] != title:
            groups.append({"title": title, "fields": []})
        groups[-1]["fields"].append(face(field, key))
    tables = tables_of(root)
    for table in tables.values():
        if table.key not in (READINGS, CONFIRMED):
            owner = field_of(root, table.key.partition(".")[0])
            usual = table.described.step or owner.step or STEPS[-1].code
            for step in dict.fromkeys(field.step or usual for field in table.fields.values()):
                steps[step]["tables"].append(_table_face(table, step, usual))
    return {
        "steps": list(steps.values()),
        "confirmations": _table_face(tables[CONFIRMED], "", ""),
        "readings": {
            "direction": {"key": ROTATION, "values": list(field_of(root, ROTATION).choices)},
            "stages": [{"value": value, "label": label, "step": _STAGE_STEPS[value]} for value, label in STAGES.items()],
            "events": [_event(event) for event in EVENTS],
            "fields": {name: face(field, name) for name, field in tables[READINGS].fields.items()},
        },
    }


def _placed(root: type) -> Iterator[tuple[str, str, Field, str]]:
    """Every field outside the tables with its step, the title of its group, and its key."""
    for path, owners, field in _with_owners(root):
        step = next((each.step for each in (field, *reversed(owners)) if each.step), STEPS[-1].code)
        title = owners[-1].label.capitalize() if owners else ""
        yield (_SERVED[field.serves], f"For {field.serves}", field, path) if field.serves else (step, title, field, path)


def _with_owners(
    record: type, prefix: str = "", owners: tuple[Field, ...] = ()
) -> Iterator[tuple[str, tuple[Field, ...], Field]]:
    for field in fields_of(record):
        key = f"{prefix}{field.name}"
        if field.kind == RECORD and field.record is not None:
            yield from _with_owners(field.record, f"{key}.", (*owners, field))
        elif field.kind not in (RECORDS, TEXTS) and key not in _FIXED:
            yield key, owners, field


_STEPS = {key: step for step, _, _, key in _placed(Job)}
_CONFIRMED_STEPS = {each.code: each.step for each in EVERY_CONFIRMATION}


def _confirmation(each: Confirmation) -> dict[str, Any]:
    return {"value": each.code, "label": each.label, "note": "", "signal": each.signal, "needs": each.needs}


def _table_face(table: Table, step: str, usual: str) -> dict[str, Any]:
    """A table with those of its columns that a step asks for."""
    roles = {field.role: name for name, field in table.fields.items() if field.role}
    return {
        "names": roles.get("names", ""),
        "settles": roles.get("settles", ""),
        "key": table.key,
        "title": table.described.label.capitalize(),
        "axes": [_axis(name) for name in table.names],
        "columns": [face(field, name) for name, field in table.fields.items() if (field.step or usual) == step],
    }


def _axis(name: Field) -> dict[str, Any]:
    """What the rows of a table are named by: units, a few choices, or a list that people add to."""
    listed: list[dict[str, Any]] = [{"value": value, "label": label} for value, label in name.choices.items()]
    listed += [{"value": each.code, "label": each.label, "note": each.note, "needs": each.needs} for each in name.listed]
    return {"name": name.name, "label": name.label, "kind": "unit" if name.kind == WHOLE else "listed", "values": listed}


def _event(event: str) -> dict[str, Any]:
    methods = {method: list(lists_of(event, method)) for method in METHODS} if event in VALVE_EVENTS else {}
    lists = [] if methods else list(lists_of(event, None))
    step = CUT_OUT if event in CUT_OUT_EVENTS else ""
    needs = LIFT_OFF_GEAR if event == LIFT_OFF else ""
    return {"value": event, "label": EVENTS[event], "methods": methods, "lists": lists, "step": step, "needs": needs}


def face(field: Field, key: str) -> dict[str, Any]:
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
        "stamp": field.stamp,
        "beside": field.beside,
        "only": list(field.only),
        "choices": [{"value": value, "label": label} for value, label in field.choices.items()],
    }


def form_fields(root: type = Job) -> Iterator[tuple[str, Field]]:
    """Every field with one text in the form outside its tables, by key."""
    for key, _, field in _with_owners(root):
        yield key, field


@lru_cache(maxsize=8192)
def step_of(key: str) -> str:
    """The step of the job that a form key belongs to; empty for a key that the form has no field for.

    >>> step_of("engine.units"), step_of("readings/3/as_left/peak/ahead/plunger_lift_mm"), step_of("engine.cam_peak_deg")
    ('settings', 'left', 'turning')
    """
    table = _table_at(key)
    if table is None:
        return _STEPS.get(key, "")
    if table.key == CONFIRMED:
        return _CONFIRMED_STEPS.get(key.split("/")[1], "")
    if table.key == READINGS:
        _, _, stage, event, *_ = key.split("/")
        return CUT_OUT if event in CUT_OUT_EVENTS else _STAGE_STEPS[stage]
    field = table.fields[key.rpartition("/")[2]]
    return field.step or table.described.step or field_of(Job, table.key.partition(".")[0]).step


def place_of(key: str, root: type = Job) -> str:
    """The place of a form key in words, as messages about the job file say it too.

    >>> place_of("instruments.plunger_gauge.step_mm")
    'Instruments, plunger gauge, step'
    >>> place_of("readings/2/as_found/spill_opening/ahead/crank_angle_deg")
    'Readings, unit 2, as found, spill opening, crank angle'
    >>> place_of("reference.units/2/end_deg")
    'Reference settings, unit 2, end: crank angle'
    """
    table = _table_at(key, root)
    if table is None:
        parts = key.split(".")
        labels = [field_of(root, ".".join(parts[: depth + 1])).label for depth in range(len(parts))]
    else:
        row = {name.name: value for name, value in zip(table.names, table.row_of(key) or (), strict=True)}
        owner = field_of(root, table.key.partition(".")[0])
        named = entry_words({name: int(value) if value.isdigit() else value for name, value in row.items()}, 0)
        labels = [owner.label, named, table.fields[key.rpartition("/")[2]].label]
    words = ", ".join(labels)
    return words[:1].upper() + words[1:]


# ---------------------------------------------------------------- form to file


@dataclass(frozen=True, slots=True)
class Composed:
    """A job tree made from the form.

    tree: the job file's values, `drafts` included; its entries of lists are kept from one tree to the next, so they are
    not to be changed. slips: form key -> what was not understood. echoes: form key -> what was understood, in words.
    rows: by table, of each entry its row, and the key to go to for the entry as a whole.
    """

    tree: dict[str, Any]
    slips: Mapping[str, str]
    echoes: Mapping[str, str]
    rows: Mapping[str, Sequence[tuple[str, str]]]
    root: type = Job

    def key_of(self, where: str) -> str | None:
        """The form key for a JSON path; that of the nearest place above where the path itself has none.

        >>> texts = {"readings/2/as_found/peak/ahead/plunger_lift_mm": "40 40.1"}
        >>> compose(texts).key_of("readings[0].plunger_lift_mm[1]")
        'readings/2/as_found/peak/ahead/plunger_lift_mm'
        """
        return nearest(self._key_at, where)

    def _key_at(self, where: str) -> str | None:
        entry = _ENTRY.fullmatch(where)
        if entry is None or entry["table"] not in self.rows:
            return _single_keys(self.root).get(where)
        row_key, whole = self.rows[entry["table"]][int(entry["at"])]
        name = entry["name"]
        return f"{row_key}/{name}" if name in tables_of(self.root)[entry["table"]].fields else whole


@lru_cache
def _single_keys(root: type) -> Mapping[str, str]:
    """The form key for the JSON path of every value outside the lists, and of every group."""
    keys = {}
    for key, owners, _ in _with_owners(root):
        keys[key] = key
        group = key
        for _ in owners:
            group = group.rpartition(".")[0]
            keys[group] = f"{group}."
    return keys


def compose(texts: Mapping[str, str], base: Mapping[str, Any] | None = None, root: type = Job, program: str = "") -> Composed:
    """The job file that the form stands for.

    Parameters: texts by form key, blank ones are absent values; base: the tree that was opened, for everything that the
    form does not show; program: which puts its name to what it changes. Returns: tree, and what to say at each key.
    """
    composed = _Composer(texts, base or {}, root).run()
    # A file that was only looked at stays as it is, and so does its check sum.
    if program and _without_programs(composed.tree) != _without_programs(base or {}):
        composed.tree[_PROGRAMS] = with_program(composed.tree.get(_PROGRAMS), program)
    return composed


def _without_programs(tree: Mapping[str, Any]) -> dict[str, Any]:
    return {key: value for key, value in tree.items() if key != _PROGRAMS}


class _Composer:
    def __init__(self, texts: Mapping[str, str], base: Mapping[str, Any], root: type) -> None:
        self.texts = {key: text for key, text in texts.items() if text.strip()}
        self.base = base
        self.root = root
        self.slips: dict[str, str] = {}
        self.echoes: dict[str, str] = {}
        self.used: set[str] = set()
        self.rows: dict[str, list[tuple[str, str]]] = {}
        self.typed_rows = self._typed_rows()
        self.dials: dict[str, Dial] = {}

    def _typed_rows(self) -> dict[str, dict[str, _TypedRow]]:
        """Of each table the rows that something is typed in, by the row's own key."""
        found: dict[str, dict[str, _TypedRow]] = {}
        for key, text in self.texts.items():
            placed = _row_at(key, self.root)
            if placed is None:
                continue
            table, names = placed
            row_key, _, name = key.rpartition("/")
            row = found.setdefault(table.key, {}).setdefault(row_key, _TypedRow(names, []))
            row.texts.append((name, text))
        for key, rows in found.items():
            fields = tables_of(self.root)[key].fields
            found[key] = {row: typed for row, typed in rows.items() if any(fields[name].alone for name, _ in typed.texts)}
        return found

    def run(self) -> Composed:
        tree = self._record("", self.root, self.base)
        tree["format"], tree["version"] = FORMAT, VERSION
        for key in ("demo", _PROGRAMS):
            if key in self.base:
                tree[key] = self.base[key]
        drafts = {key: text for key, text in self.texts.items() if key in self.slips or key not in self.used}
        if drafts:
            tree["drafts"] = drafts
        return Composed(tree, self.slips, self.echoes, self.rows, self.root)

    def _value(self, key: str, field: Field) -> Any:
        """The value typed under a key, or None; notes what was (not) understood."""
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
            if key in _FIXED or field.kind == TEXTS:
                continue
            if field.kind == RECORDS:
                rows = self._rows(tables_of(self.root)[key], base.get(field.name))
                if rows:
                    tree[field.name] = rows
                continue
            if field.kind == RECORD and field.record is not None:
                inner = self._record(f"{key}.", field.record, _dict(base.get(field.name)))
                if inner:
                    tree[field.name] = inner
                continue
            value = self._value(key, field)
            if value is not None:
                tree[field.name] = value
        known = {field.name for field in described}
        tree.update({key: value for key, value in base.items() if key not in known})
        return tree

    def _rows(self, table: Table, base: Any) -> list[dict[str, Any]]:
        keyed = [(table.key_of(entry), entry) for entry in _list(base)]
        # The first of two equal entries is the one that the form shows.
        by_key = {key: entry for key, entry in reversed(keyed) if isinstance(entry, dict)}
        # Rows keep the order of the opened file; new ones follow in the order of the table.
        wanted = self.typed_rows.get(table.key, {})
        opened = dict.fromkeys(key for key, _ in keyed if key in wanted)
        order = _orders(table)
        added = sorted((key for key in wanted if key not in opened), key=lambda key: order(wanted[key].names))
        known = {*table.described.row_by, *table.fields}
        dials = tuple(self._dial(field.turns_of) for field in table.fields.values())
        rows: list[dict[str, Any]] = []
        places = self.rows[table.key] = []
        for row_key in (*opened, *added):
            opened_row = _dict(by_key.get(row_key))
            row = wanted[row_key]
            said_too = tuple(name.name for name in table.names if name.name in opened_row)
            read = _read_row(table, row_key, row.names, tuple(row.texts), dials, said_too, self.root)
            self.used.update(f"{row_key}/{name}" for name, _ in row.texts)
            self.slips.update(read.slips)
            self.echoes.update(read.echoes)
            extra = _extra(opened_row, known)
            if read.stands or extra:  # Else nothing in it was understood, and its drafts keep it.
                rows.append({**read.entry, **extra} if extra else read.entry)
                places.append((row_key, read.whole))
        return rows


@dataclass(frozen=True, slots=True)
class _TypedRow:
    """A row that something is typed in: what names it, and the texts by field."""

    names: tuple[str, ...]
    texts: list[tuple[str, str]]


@dataclass(frozen=True, slots=True)
class _ReadRow:
    """A row that was read: its entry; whether that has a value of its own; the key for it as a whole; what to say."""

    entry: KeptEntry
    stands: bool
    whole: str
    slips: Mapping[str, str]
    echoes: Mapping[str, str]


# Kept, since at each key one row changes of a hundred.
@lru_cache(maxsize=1024)
def _read_row(
    table: Table,
    row_key: str,
    names: tuple[str, ...],
    texts: tuple[tuple[str, str], ...],
    dials: tuple[Dial | None, ...],
    said_too: tuple[str, ...],
    root: type,
) -> _ReadRow:
    """A row of a table. Parameters: dials by field; said_too: names that the file spells out though it could leave them out."""
    entry: dict[str, Any] = {}
    for named, text in zip(table.names, names, strict=True):
        if text != named.left_out or named.name in said_too:
            entry[named.name] = int(text) if named.kind == WHOLE else text
    typed_texts = dict(texts)
    slips, echoes = {}, {}
    stands = False
    for (name, field), dial in zip(table.fields.items(), dials, strict=True):
        if name not in typed_texts:
            continue
        key = f"{row_key}/{name}"
        value, said, refused = _understood(field, typed_texts[name], dial)
        if refused:
            slips[key] = f"{place_of(key, root)}: {refused}"
        elif said and said != typed_texts[name].strip():
            echoes[key] = said
        if value is not None:
            entry[name] = [*value] if isinstance(value, list) else value
            stands = stands or field.alone
    return _ReadRow(KeptEntry(entry), stands, f"{row_key}/{_first_field(table, entry)}", slips, echoes)


def _first_field(table: Table, entry: Mapping[str, Any]) -> str:
    """Where a person is led who has to mend a row as a whole."""
    if table.described.record is Reading:
        return lists_of(entry["event"], entry.get("method"))[0]
    return next(iter(table.fields))


def _orders(table: Table) -> Any:
    """A row's place in the table, from what names it."""
    known = [[*name.choices, *(each.code for each in name.listed)] for name in table.names]
    places = [{value: at for at, value in enumerate(values)} for values in known]

    def order(row: tuple[str, ...]) -> tuple[tuple[int, str], ...]:
        return tuple(
            (int(text), "") if name.kind == WHOLE else (place.get(text, len(place)), text)
            for name, place, text in zip(table.names, places, row, strict=True)
        )

    return order


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
    for table in tables_of(root).values():
        for entry in _list(_at(tree, table.key)):
            _spread_row(texts, table, entry)
    texts.update({key: text for key, text in _dict(tree.get("drafts")).items() if isinstance(text, str)})
    return texts


def _spread_row(texts: dict[str, str], table: Table, entry: Any) -> None:
    row_key = table.key_of(entry)
    values = {name: value for name, value in _dict(entry).items() if name in table.fields and value is not None}
    keys = [f"{row_key}/{name}" for name in values]
    if not isinstance(entry, dict) or not all(map(table.row_of, keys)) or any(key in texts for key in keys) or not values:
        # No row of the form can show it, so it is kept whole; the file's own words go with it.
        texts[f"{table.key}/not shown {len(texts)}"] = json.dumps(entry, ensure_ascii=False)
        return
    for name, value in values.items():
        texts[f"{row_key}/{name}"] = typed(table.fields[name], value)


def _at(tree: Mapping[str, Any], path: str) -> Any:
    node: Any = tree
    for name in path.split("."):
        node = node.get(name) if isinstance(node, dict) else None
    return node
