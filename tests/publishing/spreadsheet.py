"""A small evaluator of the formulas a workbook holds, independent of what wrote them: openpyxl reads, Python reckons."""

from __future__ import annotations

import re

import numpy as np
from openpyxl import load_workbook
from openpyxl.utils import range_boundaries

REFERENCE = re.compile(r"(?:'((?:[^']|'')+)'!)?(\$?[A-Z]{1,3}\$?\d+(?::\$?[A-Z]{1,3}\$?\d+)?)")


class Spreadsheet:
    """A workbook whose formulas are reckoned from its cells; the cached results are not looked at."""

    def __init__(self, path):
        self.book = load_workbook(path)
        self.cached = load_workbook(path, data_only=True)
        self.known = {}

    def formulas(self):
        for sheet in self.book:
            for row in sheet.iter_rows():
                yield from ((sheet.title, one.coordinate) for one in row if one.data_type == "f")

    def value(self, sheet, at):
        key = (sheet, at.replace("$", ""))
        if key not in self.known:
            cell = self.book[sheet][key[1]]
            self.known[key] = self.reckon(sheet, cell.value) if cell.data_type == "f" else cell.value
        return self.known[key]

    def array(self, sheet, at):
        left, top, right, bottom = range_boundaries(at.replace("$", ""))
        cells = [
            self.value(sheet, f"{letter(column)}{row}")
            for row in range(top, bottom + 1)
            for column in range(left, right + 1)
        ]
        return np.array([np.nan if one is None else one for one in cells], dtype=float)

    def reckon(self, sheet, formula):
        names = {}

        def read(match):
            where, at = (match[1] or sheet).replace("''", "'"), match[2]
            name = f"_{len(names)}"
            names[name] = self.array(where, at) if ":" in at else self.value(where, at)
            return name

        text = REFERENCE.sub(read, formula.removeprefix("=")).replace("^", "**")
        return float(eval(text, {"__builtins__": {}}, {**FUNCTIONS, **names}))


def letter(column):
    text = ""
    while column:
        column, left = divmod(column - 1, 26)
        text = chr(65 + left) + text
    return text


def averageifs(values, flags, wanted):
    kept = values[(flags == wanted) & np.isfinite(values)]
    return kept.mean()


FUNCTIONS = {
    "SUM": np.nansum,
    "AVERAGEIFS": averageifs,
    "SUMPRODUCT": lambda *arrays: np.prod(arrays, axis=0).sum(),
    "SUMSQ": lambda values: (values**2).sum(),
    "SQRT": np.sqrt,
    "LN": np.log,
    "EXP": np.exp,
    "MIN": min,
    "AND": lambda *told: all(told),
    "ISNUMBER": lambda value: isinstance(value, int | float) and not isinstance(value, bool),
    "IF": lambda told, one, other: one if told else other,
}
