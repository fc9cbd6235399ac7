"""A person who has a keyboard and nothing else: the words of a tab, done by keys, and a look at every stop of the focus."""

import json
from typing import Any

from .chromium import ChromiumTab

# What has the focus: whether it is the wanted one, where that lies, and whether anybody can see where the focus is.
_STOP = """(selector => {
    const each = document.activeElement;
    const wanted = document.querySelector(selector);
    const box = each.getBoundingClientRect();
    // A hidden choice shows its focus on its label.
    const shown = each.matches(".md-option, .ws-chooser input") ? each.nextElementSibling : each;
    const {outlineStyle, outlineWidth} = getComputedStyle(shown);
    const at = shown.getBoundingClientRect();
    const on = document.elementFromPoint(at.left + Math.min(at.width, 30) / 2, at.top + Math.min(at.height, 30) / 2);
    const order = wanted ? each.compareDocumentPosition(wanted) : 0;
    return {
        there: each === wanted,
        before: Boolean(order & Node.DOCUMENT_POSITION_PRECEDING),
        lost: each === document.body,
        seen: each.checkVisibility({visibilityProperty: true}) && at.width > 1 && at.height > 1
            && at.bottom > 0 && at.top < innerHeight && at.right > 0 && at.left < innerWidth,
        ringed: (outlineStyle !== "none" && parseFloat(outlineWidth) >= 2) || each.matches(".md-search__input"),
        covered: !(on && (shown.contains(on) || on.contains(shown))),
        is: `${each.tagName} ${each.name || each.id || each.ariaLabel || each.innerText || each.className}`.slice(0, 80),
    };
})"""


class KeyboardTab(ChromiumTab):
    """A tab of Chromium in which nothing is clicked, chosen or focused but by keys. `stops` counts where the focus has been."""

    # Further than any two things of a page lie apart: whoever needs more is trapped or lost.
    most = 450

    def __init__(self, tab: ChromiumTab) -> None:
        # The same tab, with the same records of what the page did.
        self.__dict__.update(tab.__dict__)
        self.stops = 0
        self.faults: list[str] = []

    def stop(self, selector: str = "body") -> dict[str, Any]:
        """Where the focus is; what is wrong with that is noted."""
        found: dict[str, Any] = self.evaluate(f"{_STOP}({json.dumps(selector)})")
        if found["covered"] or not found["seen"]:
            # The theme's search takes a moment to clear the page and its head.
            self.evaluate("new Promise(done => setTimeout(done, 400))")
            found = self.evaluate(f"{_STOP}({json.dumps(selector)})")
        self.stops += 1
        if not found["lost"]:
            wrong = [word for word, holds in (("unseen", found["seen"]), ("unmarked", found["ringed"])) if not holds]
            wrong += ["covered"] if found["seen"] and found["covered"] else []
            if wrong:
                self.faults.append(f"{', '.join(wrong)}: {found['is']}")
        return found

    def walk(self, selector: str) -> None:
        """Go to the first match by Tab, or back to it by Shift+Tab."""
        self.wait_for_element(selector)
        at = self.evaluate(f"{_STOP}({json.dumps(selector)})")
        for _ in range(self.most):
            if at["there"]:
                return
            self.press("Shift+Tab" if at["before"] else "Tab")
            at = self.stop(selector)
        raise AssertionError(f"not reached by {self.most} keys: {selector}; at {at}")

    def follow(self, selector: str) -> None:
        """Go by a link to another page."""
        self.walk(selector)
        with self._page.expect_navigation():
            self.press("Enter")

    def uncover(self, selector: str) -> None:
        self.wait_for_element(selector)
        step, folded = self.evaluate(
            f"""(each => [each.closest("section[data-step][hidden]")?.dataset.step ?? "",
                Boolean(each.closest("details:not([open])")) && !each.closest("details:not([open]) > summary")])
                (document.querySelector({json.dumps(selector)}))"""
        )
        if step:
            self._click(f'nav a[data-step="{step}"]')
        if folded:
            self.evaluate(
                f"void document.querySelector({json.dumps(selector)}).closest('details:not([open])')"
                ".querySelector('summary').setAttribute('data-unfold', '')"
            )
            self._click("[data-unfold]")
            self.evaluate("void document.querySelector('[data-unfold]').removeAttribute('data-unfold')")

    def focus(self, selector: str) -> None:
        self.uncover(selector)
        self.walk(selector)

    def _click(self, selector: str) -> None:
        self.walk(selector)
        self.press("Enter")

    def _select(self, selector: str, value: str) -> None:
        self.walk(selector)
        at = self.evaluate(
            f"[...document.querySelector({json.dumps(selector)}).options].findIndex(each => each.value === {json.dumps(value)})"
        )
        self.press("Home")
        for _ in range(at):
            self.press("ArrowDown")
        assert self.value(selector) == value
