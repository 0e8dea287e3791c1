"""Compiled rigs as JavaScript: the same statements, so that a page reckons what the solver does."""

from __future__ import annotations

import re

_ASSIGN = re.compile(r"([gx]\d+(?:_\d+)?) = (.+)")
_PART = re.compile(r"multiply\(R, (.+), out\[(\d+)\]\)")
_SAFE = re.compile(r"[-+*/(). 0-9eRk\[\]gx_]+")
_LEAST = re.compile(r"return (.+)")


def as_javascript(program: str) -> str:
    """Return the tensions of a compiled rig as a JavaScript function ``(k, R) => tensions``.

    Parameters
    ----------
    program : str
        Source of a compiled rig; of its two functions the one of all parts is taken.

    Returns
    -------
    str
        An arrow function: ratios k in the order of the contacts, load R [N]; tensions [N], all not-a-number where a
        part would have to push.

    Raises
    ------
    ValueError
        For a statement that is none of a compiled rig: nothing else may enter a page.

    Examples
    --------
    >>> as_javascript("def tensions(k, R, out):\\n    g0_1 = k[0]\\n    multiply(R, 1.0, out[0])\\n    return None\\n")
    '(k,R)=>{const t=[];const g0_1=k[0];t[0]=R*(1.0);return t}'
    """
    body = program.partition("def tensions(k, R, out):")[2]
    said = [_statement(line.strip()) for line in body.splitlines() if line.strip() and "#" not in line]
    return f"(k,R)=>{{const t=[];{''.join(said)}}}"


def _statement(line: str) -> str:
    if found := _PART.fullmatch(line):
        return f"t[{found[2]}]=R*({_checked(found[1])});"
    if found := _ASSIGN.fullmatch(line):
        return f"const {found[1]}={_checked(found[2])};"
    if line == "return None":
        return "return t"
    if found := _LEAST.fullmatch(line):
        least = found[1].replace("minimum(", "Math.min(")
        _checked(found[1].replace("minimum", "").replace(",", ""))
        return f"return {least}>=TAUT?t:t.fill(NaN)"
    raise ValueError(f"{line!r} is no statement of a compiled rig")


def _checked(expression: str) -> str:
    if not _SAFE.fullmatch(expression):
        raise ValueError(f"{expression!r} is no arithmetic of a compiled rig")
    return expression.replace(" ", "")
