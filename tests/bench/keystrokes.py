"""How long typing takes to show: from a key in a real browser to the painted findings."""

import statistics
import time
from dataclasses import dataclass

from site_demo.measured import Figure
from tests.pages.chromium import ChromiumTab

from .engine import UNITS

FIELDS = 12
_APART_S = 0.15  # A quick typist.

# Watches the page from outside, so that what is measured is the page as it is. Times are those of the page's own clock.
#   input     the key event's own time stamp: when the browser got it from the system
#   begun     its first listener runs
#   handled   all listeners of the event have run
#   answered  Python's answer arrives on the page's thread
#   drawn     the page has put in what is new (mutation observers run once its listeners are through); never, if all of it
#             stays as it was
#   framed    the next frame begins
#   painted   style, layout and paint of that frame are done: a message sent from its callback arrives after its paint
_WATCH = """
const stroke = (globalThis.stroke = { done: true });
addEventListener("input", (event) => {
  const begun = performance.now();
  Object.assign(stroke, { input: event.timeStamp, begun, answered: 0, drawn: 0, painted: 0, done: false });
}, { capture: true });
addEventListener("input", () => (stroke.handled = performance.now()));
const { set } = Object.getOwnPropertyDescriptor(Worker.prototype, "onmessage");
Object.defineProperty(Worker.prototype, "onmessage", { set(listener) {
  set.call(this, (event) => {
    stroke.answered = performance.now();
    listener(event);
    setTimeout(() => (stroke.done ||= !stroke.drawn));
  });
} });
addEventListener("load", () => new MutationObserver(() => {
  if (stroke.done || stroke.drawn || !stroke.answered) return;
  stroke.drawn = performance.now();
  requestAnimationFrame(() => {
    stroke.framed = performance.now();
    const channel = new MessageChannel();
    channel.port1.onmessage = () => Object.assign(stroke, { painted: performance.now(), done: true });
    channel.port2.postMessage(null);
  });
}).observe(document.querySelector("#sheet"), { subtree: true, childList: true }));
"""


@dataclass(frozen=True)
class Stroke:
    """One key, in milliseconds from the event."""

    handled: float
    answered: float
    drawn: float
    painted: float
    blocked: float


def watch(tab: ChromiumTab) -> None:
    """Measure keystrokes in every page that this tab opens from now on."""
    tab.run_before_pages(_WATCH)


def strokes(tab: ChromiumTab, fields: int = FIELDS) -> list[Stroke]:
    """Type the last repeat of one reading after the other anew, key by key, each key waiting for its findings.

    Halfway through a number it is far off, as it is for everybody who types. A key that changes nothing is not counted.
    """
    found = []
    for at in range(fields):
        stage, event = ("as_found", "as_left")[at // 2 % 2], ("suction_closing", "spill_opening")[at // 4 % 2]
        name = ("plunger_lift_mm", "crank_angle_deg")[at % 2]
        field = f'[name="readings/{at % UNITS + 1}/{stage}/{event}/ahead/{name}"]'
        tab.focus(field)
        number: str = tab.evaluate(
            f"""(() => {{
                const field = document.querySelector('{field}');
                const from = field.value.lastIndexOf(" ") + 1;
                field.setSelectionRange(from, field.value.length);
                return field.value.slice(from);
            }})()"""
        )
        # Another last digit than before, by a step of the instrument or a few.
        for key in f"{number[:-1]}{(int(number[-1]) + 2) % 10}":
            time.sleep(_APART_S)
            tab.press(key)
            tab.wait_for("stroke.done", timeout_s=20)
            at_ms = tab.evaluate("stroke")
            if at_ms["painted"]:
                found.append(_stroke(at_ms))
    return found


def _stroke(at_ms: dict[str, float]) -> Stroke:
    pieces = (("begun", "handled"), ("answered", "drawn"), ("framed", "painted"))
    return Stroke(
        **{name: at_ms[name] - at_ms["input"] for name in ("handled", "answered", "drawn", "painted")},
        blocked=max(at_ms[last] - at_ms[first] for first, last in pieces),
    )


def figure(found: list[Stroke]) -> Figure:
    """The median, and where the time goes."""

    def median(name: str) -> float:
        return float(statistics.median(getattr(each, name) for each in found))

    slowest = max(each.painted for each in found)
    return Figure(
        name="type_to_paint_ms",
        value=median("painted"),
        unit="ms",
        goal=50.0,
        how=f"worksheet from file://, 12 units with lift table in both stages, all typed: from a key event's time stamp to "
        f"the end of the frame that painted the findings in sight (a message from that frame's callback), median of "
        f"{len(found)} keys in {FIELDS} fields, slowest {slowest:.0f}; listeners done after {median('handled'):.1f}, answer "
        f"of Python after {median('answered'):.1f}, findings put in after {median('drawn'):.1f}; longest piece on the "
        f"page's thread {median('blocked'):.1f} at the median, {max(each.blocked for each in found):.1f} at the worst; "
        "Chromium",
    )
