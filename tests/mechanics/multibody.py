"""A rig in a multibody engine, for the tests: bodies on slides, every line and every part of it a spatial tendon.

The engine measures lengths and their rates itself and moves bodies by Newton's second law; it knows neither blocks nor
friction nor balance. MuJoCo, Todorov, Erez and Tassa, IROS 2012: a general physics library.
"""

from itertools import pairwise

import mujoco
import numpy as np

AXES = ((1.0, 0.0, 0.0), (0.0, 1.0, 0.0), (0.0, 0.0, 1.0))
HEAD = '<mujoco><option gravity="0 0 0"/><worldbody>'


def _text(vector):
    return " ".join(repr(float(x)) for x in vector)


class Multibody:
    """A rig at the places it is drawn in, each part of a line and each whole line a tendon by a name of its own.

    The columns of all rates are the freedoms: the load along its travel (or along each axis, where nothing guides it),
    then each floating block, along the same direction or, if ``free``, along three axes each. ``placed`` puts floating
    blocks elsewhere than drawn.
    """

    def __init__(self, rig, free=False, placed=None):
        self.rig = rig
        self.moving = [rig.load.name, *(body.name for body in rig.floating)]
        sites = {name: [] for name in rig.bodies}
        self.parts, tendons = {}, []
        for r, (name, line) in enumerate(rig.lines.items()):
            ids = [f"s{r}.{i}" for i in range(len(line.points))]
            for site, point in zip(ids, line.points, strict=True):
                offset = np.subtract(rig.place(point), rig.bodies[point.body].at)
                sites[point.body].append(f'<site name="{site}" pos="{_text(offset)}"/>')
            self.parts[name] = [f"t{r}.{i}" for i in range(len(line.points) - 1)]
            tendons += zip(self.parts[name], pairwise(ids), strict=True)
            tendons.append((f"t{r}", ids))
        self.lines = {name: f"t{r}" for r, name in enumerate(rig.lines)}
        world = ""
        for name, body in rig.bodies.items():
            at = (placed or {}).get(name, body.at)
            own = rig.load_axes if name == self.moving[0] else (rig.direction,)
            slides = AXES if free and name in self.moving[1:] else own
            inside = "".join(f'<joint type="slide" axis="{_text(axis)}"/>' for axis in slides)
            inside += '<geom type="sphere" size="1" mass="1" contype="0" conaffinity="0"/>'
            number = self.moving.index(name) if name in self.moving else None
            tag = f'<body name="b{number}" pos="{_text(at)}">' if number is not None else None
            world += f"{tag}{inside}" if tag else f'<body pos="{_text(at)}">'
            world += "".join(sites[name]) + "</body>"
        spatial = "".join(
            f'<spatial name="{name}">' + "".join(f'<site site="{site}"/>' for site in ids) + "</spatial>"
            for name, ids in tendons
        )
        motors = "".join(f'<motor name="{name}" tendon="{name}"/>' for name, _ in tendons)
        self.model = mujoco.MjModel.from_xml_string(
            f"{HEAD}{world}</worldbody><tendon>{spatial}</tendon><actuator>{motors}</actuator></mujoco>"
        )
        self.data = mujoco.MjData(self.model)
        self.columns = []  # of the engine, in the order of the freedoms
        for number in range(len(self.moving)):
            body = self.model.body(f"b{number}")
            self.columns += range(body.dofadr[0], body.dofadr[0] + body.dofnum[0])
        self.fresh()

    def fresh(self):
        """Measure anew, after a change of places."""
        mujoco.mj_forward(self.model, self.data)

    def length(self, tendon):
        return float(self.data.ten_length[self.model.tendon(tendon).id])

    def rate(self, tendon):
        """Length rate of a tendon per unit speed of every freedom, measured one speed at a time."""
        row = []
        for column in self.columns:
            self.data.qvel[:] = 0.0
            self.data.qvel[column] = 1.0
            mujoco.mj_fwdVelocity(self.model, self.data)
            row.append(float(self.data.ten_velocity[self.model.tendon(tendon).id]))
        self.data.qvel[:] = 0.0
        return row

    def part_lengths(self, name):
        return [self.length(part) for part in self.parts[name]]

    def part_rates(self, name):
        return np.array([self.rate(part) for part in self.parts[name]])

    def line_rates(self):
        return np.array([self.rate(self.lines[name]) for name in self.rig.lines])

    def against(self):
        """Force on every freedom for a resistance of 1: the load's own, against its pull."""
        held = [-float(np.dot(self.rig.along, axis)) for axis in self.rig.load_axes]
        return np.array([*held, *[0.0] * (len(self.columns) - len(held))])

    def acceleration(self, tensions, resistance):
        """Acceleration of every freedom (masses of 1) under part tensions and the resistance of the load."""
        for name, parts in tensions.items():
            for tendon, tension in zip(self.parts[name], parts, strict=True):
                self.data.ctrl[self.model.actuator(tendon).id] = -tension
        self.data.qfrc_applied[self.columns] = resistance * self.against()
        self.fresh()
        return self.data.qacc[self.columns]
