"""Numbers as people read them: before and after, early and late, flats in quarters."""

from __future__ import annotations

_QUARTERS = {0.25: "¼", 0.5: "½", 0.75: "¾"}


def plain(value: float, digits: int = 4) -> str:
    """A number with fixed digits, four as a working shows it, and a true minus sign; never "-0.00".

    >>> plain(-0.004, 2), plain(-0.432, 2), plain(3, 1)
    ('0.00', '−0.43', '3.0')
    """
    text = f"{abs(value):.{digits}f}"
    return f"−{text}" if value < 0 and float(text) else text


def signed(value: float, digits: int) -> str:
    """A number with its sign, for a deviation.

    >>> signed(0.4, 2), signed(-0.4, 2), signed(0.001, 2)
    ('+0.40', '−0.40', '0.00')
    """
    text = plain(value, digits)
    return f"+{text}" if value > 0 and float(text.replace("−", "")) else text


def short(value: float) -> str:
    """A number with no needless digits, at most six of them.

    >>> short(12.30), short(-4.5), short(36)
    ('12.3', '−4.5', '36')
    """
    return f"{value:.6g}".replace("-", "−")


def angle_words(angle_deg: float) -> str:
    """A crank angle against the unit's own top dead centre.

    >>> angle_words(-4.5), angle_words(10.4), angle_words(0)
    ('4.5° before TDC', '10.4° after TDC', 'at TDC')
    """
    if angle_deg == 0:
        return "at TDC"
    return f"{short(abs(angle_deg))}° {'before' if angle_deg < 0 else 'after'} TDC"


def late_words(deviation_deg: float) -> str:
    """An angle deviation: early, late, or neither.

    >>> late_words(0.421), late_words(-0.35), late_words(0.001)
    ('0.42° late', '0.35° early', 'on its reference')
    """
    text = plain(abs(deviation_deg), 2)
    if not float(text):
        return "on its reference"
    return f"{text}° {'late' if deviation_deg > 0 else 'early'}"


def flats_words(flats: float) -> str:
    """A number of flats, whole and quarter, without its sign.

    >>> flats_words(-1.75), flats_words(1.0), flats_words(0.25), flats_words(0)
    ('1¾ flats', '1 flat', '¼ flat', 'no flat')
    """
    whole, rest = divmod(abs(flats), 1.0)
    if not whole and not rest:
        return "no flat"
    text = (f"{whole:.0f}" if whole else "") + _QUARTERS.get(rest, "" if not rest else f" {rest:.2f}")
    return f"{text} {'flat' if abs(flats) <= 1.0 else 'flats'}"


def listed(words: list[str]) -> str:
    """Words in a row, with an "and" before the last.

    >>> listed(["1", "3", "4"]), listed(["2"])
    ('1, 3 and 4', '2')
    """
    return words[0] if len(words) == 1 else f"{', '.join(words[:-1])} and {words[-1]}" if words else ""


def units_words(numbers: list[int]) -> str:
    """A few units in a row.

    >>> units_words([3]), units_words([1, 2, 5])
    ('unit 3', 'units 1, 2 and 5')
    """
    return f"{'unit' if len(numbers) == 1 else 'units'} {listed([str(number) for number in numbers])}"


def spans_words(numbers: list[int]) -> str:
    """Many units in a row, in rising order, with runs of three and more drawn together.

    >>> spans_words([3]), spans_words([1, 2]), spans_words([1, 2, 3, 4, 6, 8, 9, 10])
    ('unit 3', 'units 1 and 2', 'units 1 to 4, 6 and 8 to 10')
    """
    runs: list[list[int]] = []
    for number in numbers:
        if runs and number == runs[-1][-1] + 1:
            runs[-1].append(number)
        else:
            runs.append([number])
    words = [text for run in runs for text in (map(str, run) if len(run) < 3 else (f"{run[0]} to {run[-1]}",))]
    return f"{'unit' if len(numbers) == 1 else 'units'} {listed(words)}"
