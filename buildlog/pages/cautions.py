"""
The usual cautions, shown where a page speaks of something that can hurt.

Common practice, no source. They remind; they do not instruct, and they defer to the product's safety sheet, local rules
and licensed practice.
"""

from __future__ import annotations

import re

_FIRST = "The product's safety sheet, local rules and licensed practice come first."

_CAUTIONS = (
    (
        r"\b(?:spray\w*|airbrush\w*|aerosol\w*|rattle[- ]?can\w*)",
        "Spraying: ventilate well and wear a respirator that suits the paint.",
    ),
    (
        r"\b(?:solvent\w*|thinners?|lacquer\w*|enamels?|white spirit|acetone|naphtha)\b",
        "Solvents: keep them from flames and skin, ventilate, and shut the tin.",
    ),
    (
        r"\b(?:resin\w*|epox\w+|fibreglass|glass[- ]fibre)\b",
        "Resin: wear gloves, sand it wet, and keep the dust out of the lungs.",
    ),
    (
        r"\b(?:pigments?|weathering powders?|soot|chalk dust|sanding dust)\b",
        "Powders and dust: wear a dust mask and wipe up damp.",
    ),
    (
        r"\b(?:lipo|li-?po|lithium|batter(?:y|ies))\b",
        "Batteries: charge lithium cells attended, and take cells out before shipping.",
    ),
    (
        r"\b(?:live steam|boilers?|steam[- ]tight|safety valves?)\b",
        "Steam: a boiler that holds pressure needs the tests its local rules ask for.",
    ),
    (
        r"\b(?:solder\w*|flux|silver[- ]braz\w+)\b",
        "Soldering: ventilate, and wash off flux.",
    ),
)
"""What a page speaks of, and the caution it earns; in English."""


def cautions(*texts: str) -> tuple[str, ...]:
    """The cautions that some words earn, in a fixed order, the last saying what comes first; empty where none."""
    words = " ".join(texts)
    found = [caution for pattern, caution in _CAUTIONS if re.search(pattern, words, re.IGNORECASE)]
    return (*found, _FIRST) if found else ()
