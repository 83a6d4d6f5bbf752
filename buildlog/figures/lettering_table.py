"""
The widths of the shipped face's letters, taken from its font file into `lettering.json`.

Needs fontTools and brotli, which a run does not: after changing the font or the faces used, run
`python -m buildlog.figures.lettering_table`.
"""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from pathlib import Path
from typing import Any

from buildlog.figures.lettering import FACES, TABLE, Face

FONT = Path(__file__).parents[1] / "pages" / "assets" / "fonts" / "archivo-latin-wdth-normal.woff2"
_KERNED = "PairPos"


def render_table(font: Path = FONT) -> str:
    """
    The text of `lettering.json` as the font has it.

    Widths and kerning are in thousandths of the font size. Figures are the tabular ones, as the style sheet asks for.
    Pairs are kerned by class: a left letter's class and a right letter's class name a row and a column.
    """
    from fontTools.ttLib import TTFont
    from fontTools.varLib.instancer import instantiateVariableFont

    letters: list[str] = []
    widths: dict[str, list[int]] = {}
    kerns: dict[str, dict[tuple[str, str], int]] = {}
    for face in FACES:
        static = instantiateVariableFont(TTFont(font), {"wght": face.weight, "wdth": face.width})
        glyphs = _glyphs(static)
        letters = list(glyphs)
        scale = 1000 / static["head"].unitsPerEm
        widths[_name(face)] = [round(static["hmtx"][glyph][0] * scale) for glyph in glyphs.values()]
        kerns[_name(face)] = {pair: round(value * scale) for pair, value in _kerning(static, glyphs).items()}
    left = _classes(letters, kerns, is_left=True)
    right = _classes(letters, kerns, is_left=False)
    faces = {
        name: {
            "widths": widths[name],
            "kerning": [
                [kerns[name].get((row[0], column[0]), 0) for column in _groups(right)] for row in _groups(left)
            ],
        }
        for name in widths
    }
    table = {
        "letters": letters,
        "left": [left[letter] for letter in letters],
        "right": [right[letter] for letter in letters],
        "faces": faces,
    }
    lines = [f' "{key}": {_compact(value)}' for key, value in table.items() if key != "faces"]
    rows = [f'  "{name}": {_compact(face)}' for name, face in faces.items()]
    return "{\n" + ",\n".join(lines) + ',\n "faces": {\n' + ",\n".join(rows) + "\n }\n}\n"


def _compact(value: object) -> str:
    return json.dumps(value, ensure_ascii=True, separators=(",", ":"))


def _name(face: Face) -> str:
    return f"{face.weight}/{face.width}"


def _glyphs(font: Any) -> dict[str, str]:
    """The glyph each letter is drawn with, and those for letters that are drawn as one, such as "ffi"."""
    glyphs: dict[str, str] = {chr(code): name for code, name in sorted(font.getBestCmap().items())}
    of_glyph = {glyph: letter for letter, glyph in glyphs.items()}
    lookups = font["GSUB"].table.LookupList.Lookup
    together: dict[str, str] = {}
    for feature in font["GSUB"].table.FeatureList.FeatureRecord:
        tables = [table for number in feature.Feature.LookupListIndex for table in lookups[number].SubTable]
        if feature.FeatureTag == "tnum":
            for table in tables:
                glyphs |= {of_glyph[plain]: tabular for plain, tabular in table.mapping.items() if plain in of_glyph}
        elif feature.FeatureTag == "liga":
            for table in tables:
                for first, ligatures in table.ligatures.items():
                    for ligature in ligatures:
                        parts = [first, *ligature.Component]
                        together["".join(of_glyph[part] for part in parts)] = ligature.LigGlyph
    return {**glyphs, **dict(sorted(together.items()))}


def _kerning(font: Any, glyphs: Mapping[str, str]) -> dict[tuple[str, str], int]:
    """Every kerned pair of letters, in the font's units: the first pair table that covers a left letter prevails."""
    tables = [
        table
        for feature in font["GPOS"].table.FeatureList.FeatureRecord
        if feature.FeatureTag == "kern"
        for number in feature.Feature.LookupListIndex
        for table in font["GPOS"].table.LookupList.Lookup[number].SubTable
        if type(table).__name__ == _KERNED
    ]
    pairs = {}
    for left, first in glyphs.items():
        for right, second in glyphs.items():
            value = next((value for table in tables if (value := _pair(table, first, second)) is not None), 0)
            if value:
                pairs[left, right] = value
    return pairs


def _pair(table: Any, first: str, second: str) -> int | None:
    if first not in table.Coverage.glyphs:
        return None
    if table.Format == 1:
        for record in table.PairSet[table.Coverage.glyphs.index(first)].PairValueRecord:
            if record.SecondGlyph == second:
                return _advance(record.Value1)
        return None
    row = table.Class1Record[table.ClassDef1.classDefs.get(first, 0)]
    return _advance(row.Class2Record[table.ClassDef2.classDefs.get(second, 0)].Value1)


def _advance(value: Any) -> int:
    return getattr(value, "XAdvance", 0) if value else 0


def _classes(
    letters: Sequence[str], kerns: Mapping[str, Mapping[tuple[str, str], int]], *, is_left: bool
) -> dict[str, int]:
    """Letters that are kerned alike in every face share a class."""
    numbers: dict[tuple[int, ...], int] = {}
    classes = {}
    for letter in letters:
        pairs = [(letter, other) if is_left else (other, letter) for other in letters]
        alike = tuple(kern.get(pair, 0) for kern in kerns.values() for pair in pairs)
        classes[letter] = numbers.setdefault(alike, len(numbers))
    return classes


def _groups(classes: Mapping[str, int]) -> list[list[str]]:
    groups: list[list[str]] = [[] for _ in range(max(classes.values()) + 1)]
    for letter, number in classes.items():
        groups[number].append(letter)
    return groups


if __name__ == "__main__":
    TABLE.write_text(render_table(), encoding="utf-8", newline="\n")
