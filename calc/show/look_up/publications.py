"""Every publication that the project rests on, once: its title, and how the code and the check values name it.

What is not a publication stands below: definitions, the project's own choices, common practice.
"""

from __future__ import annotations

import re
from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Publication:
    """One publication. `named`: a pattern of how it is named; `pages`: what the pages themselves take from it."""

    short: str
    title: str
    named: str
    serves: str
    pages: str = ""

    def names(self, text: str) -> bool:
        """Whether a text names it."""
        return re.search(self.named, text) is not None

    def place_in(self, text: str) -> str:
        """The place that a text names, its own name and title left out; empty where it names none.

        >>> PUBLICATIONS[0].place_in("JCGM 100:2008, F.2.2.1 (step)")
        'F.2.2.1 (step)'
        """
        if self.title[:20] in text:
            return text.partition(f"{self.title},")[2].strip()
        return re.sub(rf"^(?:{self.named})[^,]*,?\s*", "", text)


PUBLICATIONS = (
    Publication(
        "JCGM 100 (GUM)",
        "JCGM 100:2008, Evaluation of measurement data: Guide to the expression of uncertainty in measurement (GUM)",
        r"JCGM 100|GUM\b",
        "How doubt is expressed and added up.",
        "How it works: Uncertainty",
    ),
    Publication(
        "JCGM 106",
        "JCGM 106:2012, Evaluation of measurement data: The role of measurement uncertainty in conformity assessment",
        r"JCGM 106",
        "The probability that a value is inside its limits.",
        "How it works: Uncertainty",
    ),
    Publication(
        "ISO 14253-1",
        "ISO 14253-1:2017, Geometrical product specifications: Decision rules for verifying conformity",
        r"ISO 14253-1",
        "The 95 % limit of the verdicts.",
    ),
    Publication(
        "Fritsch and Butland 1984",
        'F. N. Fritsch, J. Butland, "A method for constructing local monotone piecewise cubic interpolants", SIAM J. Sci. '
        "Stat. Comput. 5 (1984) 300",
        r"Fritsch",
        "The curve through the lift table of a cam.",
    ),
    Publication("Moler 2004", 'C. Moler, "Numerical Computing with MATLAB" (2004)', r"Moler", "The ends of that curve."),
    Publication(
        "Abramowitz and Stegun 1964",
        'M. Abramowitz, I. A. Stegun, "Handbook of Mathematical Functions" (1964)',
        r"Abramowitz",
        "The normal distribution and Student's t.",
    ),
    Publication(
        "Hill 1970",
        'G. W. Hill, "Algorithm 395: Student\'s t-distribution", Communications of the ACM 13 (1970) 617',
        r"Hill\b",
        "Student's t for many degrees of freedom.",
    ),
    Publication(
        "Draper and Smith 1998",
        'N. R. Draper, H. Smith, "Applied Regression Analysis" (1998)',
        r"Draper",
        "The range of one new value, several runs with one slope.",
    ),
    Publication(
        "NIST StRD Norris",
        "NIST Statistical Reference Datasets, Norris",
        r"Norris",
        "Certified values of a straight line.",
    ),
    Publication(
        "NIST StRD Longley",
        "NIST Statistical Reference Datasets, Longley",
        r"Longley",
        "Certified values of a regression that loses digits easily.",
    ),
    Publication(
        "Analytical Methods Committee 1989",
        "Analytical Methods Committee, Analyst 114 (1989) 1693",
        r"Analytical Methods Committee",
        "A published median and median absolute deviation.",
    ),
    Publication(
        "Ezekiel 1930", "M. Ezekiel (1930), dataset cars of the language R", r"Ezekiel", "A published range of one new value."
    ),
    Publication(
        "Kendall and Stuart",
        'M. G. Kendall, A. Stuart, "The Advanced Theory of Statistics", vol. 1',
        r"Kendall",
        "The doubt of a median.",
    ),
    Publication(
        "Rousseeuw and Croux 1993",
        'P. J. Rousseeuw, C. Croux, "Alternatives to the median absolute deviation", J. Am. Stat. Assoc. 88 (1993) 1273',
        r"Rousseeuw, C\. Croux",
        "The spread of sound push rods.",
    ),
    Publication(
        "Rousseeuw 1984",
        "P. J. Rousseeuw (1984), least trimmed squares",
        r"Rousseeuw 1984",
        "A start that worn places of a cam cannot spoil.",
    ),
    Publication(
        "Hampel 1974",
        'F. R. Hampel, "The influence curve and its role in robust estimation", J. Am. Stat. Assoc. 69 (1974) 383',
        r"Hampel",
        "The median absolute deviation as a measure of scatter.",
    ),
    Publication(
        "Steele, Lea and Flood 2014",
        'G. Steele, D. Lea, C. Flood, "Fast splittable pseudorandom number generators", OOPSLA 2014',
        r"Steele",
        "The numbers that questions are drawn with.",
    ),
    Publication("Tukey", "J. W. Tukey, biweight", r"Tukey", "The weights of a cam survey."),
    Publication(
        "Sivia and Skilling 2006",
        'D. S. Sivia, J. Skilling, "Data Analysis: A Bayesian Tutorial" (2006)',
        r"Sivia",
        "How reading mistakes are weighed against honest causes.",
    ),
    Publication(
        "ASTM D1250",
        "ASTM D1250 / API Manual of Petroleum Measurement Standards, chapter 11.1, generalised products",
        r"D1250|API MPMS",
        "Density and volume at a temperature.",
    ),
    Publication("ASTM D341", "ASTM D341", r"D341\b", "Viscosity at a temperature."),
    Publication("ASTM D4740", "ASTM D4740", r"D4740", "The spot test of a mixture.", "Calculate: Fuel"),
    Publication("ISO 8217", "ISO 8217, annexes", r"ISO 8217", "Ignition index and specific energy of a fuel."),
    Publication("ASTM D4868", "ASTM D4868", r"D4868", "Specific energy of a distillate."),
    Publication("ISO 3046-1", "ISO 3046-1", r"ISO 3046-1", "The calorific value that a distillate is expected to have."),
    Publication("Refutas", "Refutas blending index", r"Refutas", "Viscosity of a mixture."),
    Publication("ISO 724, ISO 68-1", "ISO 724 and ISO 68-1", r"ISO 724|ISO 68-1", "Geometry of a thread."),
    Publication("ISO 898-1", "ISO 898-1", r"ISO 898-1", "Stress area and strength of bolts."),
    Publication("VDI 2230", "VDI 2230:2003", r"VDI 2230", "Torque and tension of a bolt."),
    Publication(
        "ISO 4014, ISO 273", "ISO 4014 and ISO 273", r"ISO 4014|ISO 273", "Heads and holes of bolts, for the check of torques."
    ),
    Publication("ASME PCC-1", "ASME PCC-1", r"PCC-1", "The order in which bolts are drawn."),
    Publication("NIST SP 811", "NIST Special Publication 811 (2008)", r"SP 811", "Units."),
    Publication("CGPM 1901", "General Conference on Weights and Measures (CGPM), 1901", r"CGPM", "Standard gravity."),
    Publication(
        "Mathur and Sharma",
        'M. L. Mathur, R. P. Sharma, "Internal Combustion Engine"',
        r"Mathur",
        "Worked examples of fuel injection.",
    ),
    Publication("Keswani", 'H. B. Keswani, "Internal Combustion Engines"', r"Keswani", "Worked examples of fuel injection."),
    Publication(
        "Textbook companions",
        "Public companions to textbooks on internal combustion engines, titles unknown",
        r"textbooks|title unknown, chapter|^title unknown$",
        "Worked examples of fuel injection.",
    ),
    Publication(
        "Heywood 1988",
        'J. B. Heywood, "Internal Combustion Engine Fundamentals" (1988), chapters 10 and 11 (from memory)',
        r"Heywood",
        "What timing does to combustion.",
        "How it works: What timing does to combustion",
    ),
    Publication(
        "Payri and others 2006",
        "F. Payri, J. Benajes, J. Arrègle, J. M. Riesco, Oil and Gas Science and Technology 61 (2006) 247 (abstract read)",
        r"Payri",
        "Late injection: less nitrogen oxide, more fuel.",
        "How it works: What timing does to combustion",
    ),
    Publication(
        "NOx Technical Code",
        "IMO, NOx Technical Code 2008 (read in public interpretations)",
        r"NOx Technical Code",
        "Timing and parts are bound by the engine's technical file.",
        "the cautions; How it works: What timing does to combustion",
    ),
    Publication(
        "ISO 3864-2, ANSI Z535.6",
        "ISO 3864-2 and ANSI Z535.6 (from memory)",
        r"ISO 3864|Z535",
        "The signal words danger, warning, caution and notice.",
        "the cautions",
    ),
)

# What a source can be when it is no publication; a text that is neither stops the tests.
OWN_CHOICE = "This project's own choice"
WORKED_OUT = "Definitions, geometry and balances"
PRACTICE = "Common practice, no source"
INVENTED = "Invented values and independent calculations"
OTHER = {
    OWN_CHOICE: r"own choice",
    PRACTICE: r"common practice",
    WORKED_OUT: (
        r"geometry|[Dd]efinition of|[Dd]efinitions|[Bb]alance of|Bayes' rule|Bonferroni's inequality|Hooke's law|slider crank|"
        r"cycloidal motion|linear in the (?:fuel )?index|cycles in an hour|earliest of|exact by definition"
    ),
    INVENTED: r"[Ii]nvented|this project's own practice engine|independent|No published source",
}


def named_in(text: str) -> list[Publication]:
    """The publications that a text names."""
    return [each for each in PUBLICATIONS if each.names(text)]


def kinds_of(text: str) -> list[str]:
    """What a source is, where it is no publication.

    >>> kinds_of("geometry of the slider crank"), kinds_of("a book that nobody entered")
    (['Definitions, geometry and balances'], [])
    """
    return [kind for kind, pattern in OTHER.items() if re.search(pattern, text)]
