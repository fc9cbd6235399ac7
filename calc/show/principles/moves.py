"""Why the rod moves lift and the cam moves angle."""

from __future__ import annotations

from calc.job.model import SPILL_OPENING, SUCTION_CLOSING
from calc.job.words import angle_words, plain, signed
from calc.pump.correction import zero_index_opening_after
from calc.pump.reading import cam_part
from calc.pump.what_if import Moves, deviation_after, rod_from_flats, shift_from
from calc.show.draw import picture
from calc.show.markup import Markup
from calc.show.principles.chart import Chart, figure, page_part, spread, table
from calc.show.principles.example import Example

_LATE_DEG = 0.3
_ZOOM_DEG = 1.0


def same_angle_two_causes(given: Example) -> str:
    """The start late by the same angle, once by the rod and once by the cam, and what the gauges tell of it."""
    h, f = given.unit.lift_mm[SUCTION_CLOSING], given.unit.angle_deg[SUCTION_CLOSING]
    moved = given.lift_at(f + _LATE_DEG) - h
    reach = 1.1 * given.start.slope * _ZOOM_DEG
    angles = spread(-_ZOOM_DEG, _ZOOM_DEG)
    curve = [(angle, given.lift_at(f + angle) - h) for angle in angles]
    late = [(angle, given.lift_at(f + angle - _LATE_DEG) - h) for angle in angles]
    drawn: list[Markup] = []
    for i in range(2):
        rod = i == 0
        panel = Chart((-_ZOOM_DEG, _ZOOM_DEG), (-reach, reach), 24.0 + i * 196.0, 136.0)
        named = "the rod has changed" if rod else "the cam has moved"
        drawn += [
            panel.frame("degrees from the reference", f"mm from the reference: {named}"),
            panel.stretch(0.0, _LATE_DEG),
            panel.level_at(0.0),
            panel.cam(curve),
        ]
        if rod:
            drawn += [
                panel.level_at(moved, dashed=True),
                panel.words(-_ZOOM_DEG, moved, "closes here now", up=4.0),
                panel.dot(_LATE_DEG, moved, filled=True),
            ]
        else:
            drawn += [
                panel.cam(late, dashed=True),
                panel.words(-_ZOOM_DEG, 0.0, "closes here, as before", up=4.0),
                panel.dot(_LATE_DEG, 0.0, filled=True),
            ]
        drawn += [panel.dot(0.0, 0.0)]
    travel = given.start.travel(moved)
    rows = [
        ["Plunger lift at contact", f"{plain(h + moved, 2)} mm", f"{plain(h, 2)} mm"],
        ["Lift deviation *D*", f"{signed(moved, 2)} mm", f"{signed(0.0, 2)} mm"],
        ["Crank angle at contact", *[angle_words(round(f + _LATE_DEG, 2))] * 2],
        ["Angle deviation *A*", *[f"{signed(_LATE_DEG, 2)}°"] * 2],
        ["Travel of *D* along the cam", f"{signed(travel, 2)}°", f"{signed(0.0, 2)}°"],
        [
            "Cam part *P* = *A* − travel",
            f"{signed(cam_part(_LATE_DEG, travel), 2)}°",
            f"{signed(cam_part(_LATE_DEG, 0.0), 2)}°",
        ],
        ["So it is", "the push rod (or wear that acts like it)", "the cam, the drive or the pointer: no rod cures it"],
    ]
    said = (
        f"Above, the valve closes {plain(moved, 2)} mm higher on the same cam, so {plain(_LATE_DEG, 1)}° later. Below, the "
        f"valve closes at the same lift, but the cam itself comes {plain(_LATE_DEG, 1)}° later."
    )
    return page_part(
        figure(
            picture("causes", 408.0, "The same angle, two causes", said, drawn),
            f"Both starts are {plain(_LATE_DEG, 1)}° late. Hollow: the reference. Filled: now. Above, the point has run along "
            "the cam. Below, the cam itself (dashed) has moved sideways.",
        ),
        table(["What you read and compute", "Rod", "Cam"], rows),
    )


def what_each_moves(given: Example) -> str:
    """What a flat of either rod and a little of the cam do to the unit."""
    settings, unit = given.settings, given.unit
    assert settings.pitch_mm is not None
    flat = rod_from_flats(1.0, settings.pitch_mm)
    tries = [
        ("Suction rod 1 flat longer", Moves(suction_mm=flat)),
        ("Suction rod 1 flat shorter", Moves(suction_mm=-flat)),
        ("Spill rod 1 flat longer", Moves(spill_mm=flat)),
        ("Spill rod 1 flat shorter", Moves(spill_mm=-flat)),
        (f"Cam {plain(_LATE_DEG, 1)}° later", Moves(cam_deg=_LATE_DEG)),
    ]
    rows = []
    for name, moves in tries:
        shift = shift_from(moves, settings.ratio[SUCTION_CLOSING], settings.ratio[SPILL_OPENING], settings.lengthening_opens)
        start = deviation_after(0.0, 0.0, 0.0, shift.start_mm, shift.cam_deg, given.start)
        end = deviation_after(0.0, 0.0, 0.0, shift.end_mm, shift.cam_deg, given.end)
        opening = zero_index_opening_after(0.0, settings.ratio[SPILL_OPENING], shift.start_mm, shift.end_mm)
        share = 100.0 * shift.stroke_mm / unit.stroke_mm
        rows.append(
            [
                name,
                f"{signed(start, 2)}°",
                f"{signed(end, 2)}°",
                f"{signed(shift.stroke_mm, 2)} mm ({signed(share, 1)} %)",
                f"{signed(opening, 2)} mm",
            ]
        )
    return page_part(
        table(["What is moved", "Start", "End", "Effective stroke", "Opening at index 0"], rows),
        f"One flat is {plain(flat, 3)} mm of rod here: a pitch of {plain(settings.pitch_mm, 2)} mm, six flats a turn. A plus "
        "sign means later, longer or wider. On this invented engine a longer rod holds its valve further open.",
    )
