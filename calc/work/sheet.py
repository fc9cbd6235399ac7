"""What is typed so far, asked in the words of the job. Keys are those of the form (`calc.job.form`)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from functools import cached_property

from calc.job.catalogue import CAM_CONFIRMATIONS, CHANGE_CONFIRMATIONS, EVERY_CONFIRMATION, POSITIONS, Confirmation, Position
from calc.job.model import ADJUSTED, AHEAD, ASTERN, CAM, VALVE_EVENTS

_OWN = re.compile(r"positions/(?P<item>[a-z0-9_-]+)/")
_LISTED = {each.code for each in POSITIONS}
_YES = ("yes", "true")


class Worksheet:
    """The form's texts, and questions to them. A text counts when it is not blank, understood or not."""

    def __init__(self, texts: Mapping[str, str]) -> None:
        self._texts = {key: text.strip() for key, text in texts.items() if text.strip()}

    def has(self, key: str) -> bool:
        """Whether anything is typed there."""
        return key in self._texts

    def text(self, key: str) -> str:
        """What is typed there; empty where nothing is."""
        return self._texts.get(key, "")

    def yes(self, key: str) -> bool:
        """Whether a question was answered with yes."""
        return self.text(key).lower() in _YES

    def any(self, prefix: str) -> bool:
        """Whether anything is typed in a row or group."""
        return any(key.startswith(prefix) for key in self._texts)

    def __iter__(self) -> Iterator[str]:
        """Every key that something is typed under."""
        return iter(self._texts)

    def fits(self, needs: str) -> bool:
        """Whether this engine has what an entry of a list needs."""
        return not needs or self.yes(f"arrangement.{needs}")

    @cached_property
    def units(self) -> list[int]:
        """The engine's units; none while their number is not known."""
        digits = self.text("engine.units").lstrip("0")
        # `int` itself refuses thousands of digits.
        sound = digits.isascii() and digits.isdigit() and len(digits) <= 2 and int(digits) <= 24
        return list(range(1, int(digits) + 1)) if sound else []

    @cached_property
    def positions(self) -> list[Position]:
        """What is moved for this job: the list as far as it fits the engine, and what people have added."""
        own = dict.fromkeys(found["item"] for key in self._texts if (found := _OWN.match(key)))
        added = [item for item in own if item not in _LISTED]
        every = [each for each in POSITIONS if self.fits(each.needs)]
        every += [Position(item, self.text(f"positions/{item}/name") or item, "", "pumps") for item in added]
        return [each for each in every if not self.has(f"positions/{each.code}/not_needed")]

    def confirmations(self, step: str) -> list[Confirmation]:
        """What a step asks to be confirmed on this engine, in this job."""
        unasked = self.unasked
        return [each for each in EVERY_CONFIRMATION if each.step == step and self.fits(each.needs) and each not in unasked]

    @cached_property
    def unasked(self) -> tuple[Confirmation, ...]:
        """What only a moved cam, or only changed timing, asks for, as long as there is no such thing."""
        cam = any(CAM in parts for parts in self.adjusted.values())
        return (*(() if cam else CAM_CONFIRMATIONS), *(() if self.changed else CHANGE_CONFIRMATIONS))

    def settled(self, confirmation: Confirmation) -> bool:
        """Whether somebody has signed it, or said why it does not apply."""
        row = f"confirmations/{confirmation.code}"
        return self.has(f"{row}/by") or self.has(f"{row}/not_needed")

    def read(self, unit: int, stage: str, event: str) -> bool:
        """Whether there is a reading of this event."""
        name = "crank_angle_deg" if event in VALVE_EVENTS else "clearance_mm" if event == "lift_off" else "valve_lift_mm"
        return self.has(self.reading(unit, stage, event, name))

    def reading(self, unit: int, stage: str, event: str, name: str) -> str:
        """The form key of a reading that counts: one that is reached in the direction of the job."""
        return f"readings/{unit}/{stage}/{event}/{self.direction}/{name}"

    @cached_property
    def direction(self) -> str:
        """The direction of the job: ahead, where nothing else is chosen."""
        return ASTERN if self.text("reference.rotation").lower() == ASTERN else AHEAD

    def turned(self, unit: int, part: str) -> bool:
        """Whether a rod or cam was moved."""
        name = "cam_turned_deg" if part == CAM else "flats_turned"
        return self.has(f"adjustments/{unit}/{part}/{name}")

    @cached_property
    def adjusted(self) -> dict[int, list[str]]:
        """The parts that were moved, by unit."""
        parts = {unit: [part for part in ADJUSTED if self.turned(unit, part)] for unit in self.units}
        return {unit: moved for unit, moved in parts.items() if moved}

    @cached_property
    def changed(self) -> bool:
        """Whether timing or parts are not what they were."""
        return bool(self.adjusted) or any(key.startswith("inspections/") and key.endswith("/new_serial") for key in self._texts)
