"""Quantities, catalogue, mechanics (its batch folder aside) and field run where nothing but Python itself is installed."""

import subprocess
import sys
from pathlib import Path

import haulwright

SRC = Path(haulwright.__file__).resolve().parents[1]
PROGRAM = '''
import importlib, math, pkgutil, sys

class NothingElse:
    """Refuses every module that is neither Python's nor ours, installed or not."""

    def find_spec(self, name, path=None, target=None):
        if name.partition(".")[0] not in sys.stdlib_module_names | {"haulwright"}:
            raise ImportError(f"{name} is not of the standard library")
        return None

sys.meta_path.insert(0, NothingElse())
sys.path.insert(0, sys.argv[1])
for name in ("numpy", "pydantic"):
    try:
        importlib.import_module(name)
    except ImportError:
        continue
    sys.exit(f"{name} was not kept out")

import haulwright
met = []
for room in ("quantities", "catalogue", "mechanics", "field"):
    package = importlib.import_module(f"haulwright.{room}")
    for info in pkgutil.walk_packages(package.__path__, f"haulwright.{room}."):
        if not f"{info.name}.".startswith("haulwright.mechanics.batch."):
            importlib.import_module(info.name)
            met.append(info.name)

from haulwright.catalogue import row
from haulwright.field.drum import layers
from haulwright.mechanics.rig import Block, Body, Line, Point, Rig
from haulwright.mechanics.sheave import ByWrap
from haulwright.mechanics.statics import solve_rig
from haulwright.mechanics.tackles import named_rig
from haulwright.quantities.measured import Measured
from haulwright.quantities.units import parse_force

three = solve_rig(named_rig("three-part/on-load"), Measured.normal(1.07, 0.01), load_N=parse_force("26 kN"))
corner = Rig(
    name="corner on a strap",
    bodies={
        "oak": Body("oak", "anchor", (0.0, 0.0, 0.0)),
        "helper": Body("helper", "anchor", (3.0, 11.0, 0.0)),
        "truck": Body("truck", "load", (16.0, -2.0, 0.0)),
        "corner": Body("corner", "floating", (1.5, 1.2, 0.0)),
    },
    blocks={"corner": Block("corner", "corner")},
    lines={
        "strap": Line("strap", (Point("oak", "oak"), Point("corner", "corner")), length_m=2.0, strap=True),
        "winch line": Line(
            "winch line",
            (Point("truck", "truck"), Point("corner", "corner", block="corner"), Point("helper", "helper")),
            drum="winch",
        ),
    },
    direction=(-1.0, 0.0, 0.0),
    resistance_N=20e3,
    law=ByWrap(1.08),
    mode="ground",
    placed=True,
)
ground = solve_rig(corner, letting_back=True)
print(len(met))
print(round(three.effort_N["winch"], 1), round(three.uncertainty["advantage"].value, 5))
print(round(ground.effort_N["winch"], 1), *(round(x, 6) for x in ground.positions_m["corner"][:2]))
print(round(layers(0.102, 0.224, 0.0127, 30.0, 75e3)[3].length_m, 3), row("surfaces", "reduction-both").si)
print(len(three.to_dict()["lines"]), ground.to_dict()["kind"])
'''


def test_a_line_rig_and_a_ground_rig_are_solved_with_the_standard_library_alone():
    # -I -S: no site-packages, no environment; the finder inside keeps out what might stand on the path all the same
    done = subprocess.run(
        [sys.executable, "-I", "-S", "-c", PROGRAM, str(SRC)], capture_output=True, text=True, check=False
    )
    assert done.returncode == 0, done.stderr
    count, line, ground, tables, records = done.stdout.splitlines()
    assert int(count) > 50
    assert line == "9259.2 2.80802"
    assert ground == "21244.2 1.619814 1.173117"
    assert tables == "7.553 0.5"
    assert records == "1 rig-solution"
