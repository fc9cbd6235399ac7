"""Plain language, as DEVELOPERS.md asks for it: what is wrong with a piece of text, and how hard a page is to read.

It knows forms, not meaning: what it lets through still has to be read by a person.
"""

import re
from collections.abc import Iterable, Iterator
from functools import lru_cache

import pyphen

from .article import CELL, STEP, Piece

MOST_WORDS, MOST_WORDS_IN_STEP = 25, 20

_WORD = re.compile(r"[^\W\d_]+(?:[’'-][^\W\d_]+)*")
_COUNTED = re.compile(r"\S*\w\S*")
# A point between digits or within an abbreviation ends no sentence.
_END = re.compile(r"(?<=[.?!])[”\")]*\s+(?=[“\"(]*[A-Z0-9])|(?<=[.?!])[”\")]*$")

FORBIDDEN = re.compile(r"\b(please|simply|invalid|error occurred|obviously|of course|basically)\b", re.IGNORECASE)

# Irregular participles that a maintenance text can hold; the regular ones end in -ed.
_IRREGULAR = (
    "born|bought|bound|broken|brought|built|caught|chosen|cut|done|drawn|driven|fed|felt|found|given|gone|ground|held|"
    "hidden|hit|kept|known|laid|led|left|lost|made|meant|met|moved|put|read|said|seen|sent|set|shown|shut|spent|split|"
    "spoken|stuck|taken|taught|thrown|told|torn|understood|worn|written"
)
# What states how a thing is, not what somebody does to it: no hidden person, so nothing to ask who.
_STATES = "tight|shut|open|needed|allowed|supposed|used to|left alone"
PASSIVE = re.compile(
    rf"\b(?:is|are|was|were|be|been|being|gets?|got)\s+(?:(?:not|never|also|only|then|still|already|\w+ly)\s+){{0,2}}"
    rf"(?!(?:{_STATES})\b)(?:\w+ed|{_IRREGULAR})\b",
    re.IGNORECASE,
)

# Words that people use elsewhere, and the word of this project for the same thing. One thing, one word.
WORDS = {
    r"plunger (?:rise|travel|stroke)": "plunger lift",
    r"pre ?stroke": "pre-stroke",
    r"(?:useful|active|working|delivery) stroke": "effective stroke",
    r"injection (?:timing )?angle": "crank angle of the start, or delivery angle",
    r"(?:start|beginning|commencement) of injection": "start of delivery",
    r"end of injection": "end of delivery",
    r"(?:relief|by-?pass|overflow) valve": "spill valve",
    r"(?:non-return|check) valve of the pump": "delivery valve",
    r"pushrods?": "push rod",
    r"rocker arms?": "rocker",
    r"locknuts?": "lock nut",
    r"(?:fuel )?racks?": "fuel index",
    r"fuel (?:setting|mark|notch)": "fuel index",
    r"fuel pump units?|cylinders? (?:pump|unit)s?": "unit",
    r"clock gauges?|dial indicators?": "dial gauge",
    r"(?:barring|jacking) gear|turning engine": "turning gear",
    r"turn(?:ed|ing)? (?:forwards?|clockwise|backwards?)": "turning ahead, turning astern",
    r"(?:top|upper) dead (?:center|point)|top dead-centre": "top dead centre, TDC",
    r"cam (?:lobe|nose|tip)": "cam peak",
    r"(?:cam|base) dwell": "base circle",
    r"backlash": "play",
    r"utili[sz]e[sd]?": "use",
    r"prior to": "before",
    r"in order to": "to",
    r"commenc(?:e|es|ed|ing)": "begin",
    r"subsequent(?:ly)?": "then, next",
    r"approximately": "about",
    r"sufficient(?:ly)?": "enough",
    r"via": "by, through",
    r"perform(?:s|ed|ing)?": "do",
    r"ensur(?:e|es|ed|ing)": "make sure",
    r"verif(?:y|ies|ied)": "check",
    r"obtain(?:s|ed)?": "get",
    r"whilst": "while",
    r"in the event (?:of|that)": "if",
}
ALSO = ("Also called ", "Also written ")
_WRONG = {re.compile(rf"\b(?:{wrong})\b", re.IGNORECASE): right for wrong, right in WORDS.items()}

# Abbreviations that readers know, names, units and symbols. No letter codes for strokes, valves or devices.
KNOWN = {
    *("TDC", "CCAI", "JSON", "CSV", "HTML", "SVG", "UTF", "PDF", "SHA"),
    *("MIT", "BSD", "ISC", "GPL", "LGPL", "MPL", "PSF", "OR", "ESR", "GTC", "AMD", "EPYC"),
    *("JCGM", "GUM", "ISO", "IEC", "ANSI", "ASTM", "API", "MPMS", "ASME", "PCC", "NIST", "SP", "VDI", "JIS", "IMO", "MARPOL"),
    *("CGPM", "SIAM", "ACM", "VI"),
    *("MJ", "MB", "VCF", "RSS", "ODE", "IC"),
    *("WCAG", "AA"),
}
_LETTERS = re.compile(r"(?<![\w.-])[A-Z]{2,5}(?!\w)")


def sentences(text: str) -> list[str]:
    """The sentences of a piece.

    >>> sentences("Read 12.31 mm. Is it right? Stop.")
    ['Read 12.31 mm.', 'Is it right?', 'Stop.']
    """
    return [each.strip() for each in _END.split(text) if each.strip()]


def length(sentence: str) -> int:
    """How many words a sentence has; a number with its unit, or a formula's sign between spaces, is read as one each.

    >>> length("Turn 1.5 mm – not more.")
    5
    """
    return len(_COUNTED.findall(sentence))


def troubles(piece: Piece) -> Iterator[str]:
    """What is wrong with a piece, each with how to mend it."""
    most = MOST_WORDS_IN_STEP if piece.kind == STEP else MOST_WORDS
    for sentence in sentences(piece.text):
        words = length(sentence)
        # What ends without a point in a table's cell is no sentence: a list of choices, a formula, a key.
        if words > most and (piece.kind != CELL or sentence[-1] in ".?!"):
            yield f"{words} words where {most} are allowed; make two sentences of it: {sentence}"
        chain = PASSIVE.findall(sentence)
        if len(chain) > 1:
            yield f"a chain of passives ({', '.join(chain)}); say who does it: {sentence}"
        for found in FORBIDDEN.findall(sentence):
            yield f'"{found}" is a word to leave out: {sentence}'
        # A glossary has to name what others call a thing.
        if sentence.startswith(ALSO):
            continue
        for wrong, right in _WRONG.items():
            for match in wrong.finditer(sentence):
                yield f'"{match[0]}" is not in the word list; write {right}: {sentence}'
        for code in _LETTERS.findall(sentence):
            if code not in KNOWN:
                yield f"{code}: no letter codes; write the word, or add it to KNOWN if the page spells it out: {sentence}"


def passive_share(found: Iterable[Piece]) -> float:
    """Share of the sentences that hold a passive, 0 to 1."""
    said = [sentence for piece in found for sentence in sentences(piece.text)]
    return sum(bool(PASSIVE.search(each)) for each in said) / len(said) if said else 0.0


@lru_cache
def _hyphens() -> pyphen.Pyphen:
    return pyphen.Pyphen(lang="en_GB", left=1, right=1)


@lru_cache(maxsize=8192)
def syllables(word: str) -> int:
    """Syllables of a word, by where it can be hyphenated.

    >>> syllables("correction"), syllables("shut")
    (3, 1)
    """
    return 1 + len(_hyphens().positions(word.lower()))


def reading_level(found: Iterable[Piece]) -> float:
    """Flesch-Kincaid grade of running text: about the years of school that it asks for.

    0.39 words/sentence + 11.8 syllables/word - 15.59. Source: Kincaid, Fishburne, Rogers, Chissom (1975), Research Branch
    Report 8-75; the figures are from memory. With the syllables of a pronouncing dictionary instead of hyphens, no page of this
    site came out more than one grade higher or lower.
    """
    said = [sentence for piece in found for sentence in sentences(piece.text)]
    words = [word for sentence in said for word in _WORD.findall(sentence)]
    if not words:
        return 0.0
    return 0.39 * len(words) / len(said) + 11.8 * sum(map(syllables, words)) / len(words) - 15.59
